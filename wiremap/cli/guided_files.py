"""What a guided start writes: the pinouts, then a job for each way that is meant."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from wiremap.base import plural
from wiremap.cli.common import say
from wiremap.cli.talk import DONT_KNOW, NotKept
from wiremap.files.schemas import first_lines, reference
from wiremap.files.write import write_text
from wiremap.model import Fed, Job, Pinout
from wiremap.propose import Proposal
from wiremap.propose.result import GRADES
from wiremap.propose.written import job_text
from wiremap.reports.proposed import proposed_lines
from wiremap.share.beginning import ToldPinout, begun, paper_of_file

SPLICE, ADAPTER = "splice", "adapter"


@dataclass(frozen=True, kw_only=True)
class Plug:
    """One connector as told; `file` is set where it is a pinout of the folder already."""

    name: str
    paper: ToldPinout
    pinout: Pinout
    file: Path | None


@dataclass(frozen=True, kw_only=True)
class GuidedAnswers:
    """Everything that was answered."""

    old: list[Plug]
    new: list[Plug]
    way: str
    volts: float | None
    fed: Mapping[str, Mapping[str, Fed]]


def write_all(folder: Path, told: GuidedAnswers) -> list[str]:
    """Write pinouts and jobs, none over a file that is there; the jobs' paths.  Raises NotKept."""
    old = [(plug.name, _kept(folder, plug)) for plug in told.old]
    new = [(plug.name, _kept(folder, plug)) for plug in told.new]
    ways = (SPLICE, ADAPTER) if told.way == DONT_KNOW else (told.way,)
    jobs: list[str] = []
    for way in ways:
        path = _free(folder, "job" if len(ways) == 1 else way)
        proposal, job = begun(
            old, new, path=path, volts=told.volts, fed=told.fed, adapter=way == ADAPTER
        )
        _written(path, job_text(proposal, job))
        _tell_job(path, proposal, job, first=not jobs)
        jobs.append(path.as_posix())
    return jobs


def _kept(folder: Path, plug: Plug) -> Pinout:
    """The pinout as it lies in the folder; one from elsewhere is written there."""
    if plug.file is not None and plug.file.resolve().is_relative_to(folder.resolve()):
        return plug.pinout
    path = _free(folder, plug.name)
    text = plug.paper.text
    if not text.startswith("#"):
        text = "\n".join([*first_lines("pinout", reference("pinout", folder)), text])
    _written(path, text)
    say(f"written: {path.as_posix()}")
    loaded = paper_of_file(path, title=plug.name).pinout
    return plug.pinout if loaded is None else loaded


def _free(folder: Path, stem: str) -> Path:
    """A name that no file bears yet."""
    path, number = folder / f"{stem}.yaml", 1
    while path.exists() or path.is_symlink():
        number += 1
        path = folder / f"{stem}-{number}.yaml"
    return path


def _written(path: Path, text: str) -> None:
    wrong = write_text(path, text)
    if wrong is not None:
        raise NotKept(wrong)


def _tell_job(path: Path, proposal: Proposal, job: Job, *, first: bool) -> None:
    """The job's file; its map once, for the ways differ in what is done, not in what is joined."""
    count = Counter(circuit.grade for circuit in proposal.circuits)
    grades = ", ".join(f"{count[grade]} {grade}" for grade in GRADES)
    say(f"written: {path.as_posix()}: {plural(len(job.circuits), 'circuit')}, {grades}")
    if first:
        for line in proposed_lines(proposal, job):
            say(line)
