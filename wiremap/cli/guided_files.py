"""What a guided start writes: the pinouts, then a job for each way that is meant."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from wiremap.cli.common import say
from wiremap.cli.talk import DONT_KNOW, NotKept
from wiremap.files.schemas import first_lines, reference
from wiremap.files.write_several import write_several
from wiremap.model import Fed, Job, Pinout
from wiremap.propose import Proposal
from wiremap.propose.inline import InlineModule, left_open
from wiremap.propose.written import counted, job_text
from wiremap.reports.proposed import proposed_lines
from wiremap.share.beginning import ToldPinout, first_job

SPLICE, ADAPTER = "splice", "adapter"


@dataclass(frozen=True, kw_only=True)
class Plug:
    """One connector as told; `file` is its pinout where that is a file already, else None."""

    name: str
    paper: ToldPinout
    pinout: Pinout
    file: Path | None


@dataclass(frozen=True, kw_only=True)
class GuidedModule:
    """An in-line module: its own connector, what is told of it, and the plug that feeds it where
    that is another one.
    """

    plug: Plug
    told: InlineModule
    tap: Plug | None


@dataclass(frozen=True, kw_only=True)
class GuidedAnswers:
    """Everything that was answered."""

    old: list[Plug]
    new: list[Plug]
    way: str  # SPLICE, ADAPTER, or DONT_KNOW for both
    volts: float | None
    fed: Mapping[str, Mapping[str, Fed]]  # by plug and cavity
    module: GuidedModule | None


@dataclass
class _Draft:
    """What will be written, all or none, and what is told once it is there."""

    files: dict[Path, bytes] = field(default_factory=dict)
    lines: list[str] = field(default_factory=list)


def write_all(folder: Path, answers: GuidedAnswers) -> list[str]:
    """Write pinouts and jobs, all or none, none over a file that is there; the jobs' paths.

    Raises NotKept.
    """
    draft = _Draft()
    old = [(plug.name, _pinout_to_write(draft, folder, plug)) for plug in answers.old]
    new = [(plug.name, _pinout_to_write(draft, folder, plug)) for plug in answers.new]
    module = None if answers.module is None else _module_to_write(draft, folder, answers.module)
    ways = (SPLICE, ADAPTER) if answers.way == DONT_KNOW else (answers.way,)
    jobs: list[str] = []
    for way in ways:
        path = _free_path(folder, "job" if len(ways) == 1 else way)
        proposal, job = first_job(
            old,
            new,
            path=path,
            volts=answers.volts,
            fed=answers.fed,
            adapter=way == ADAPTER,
            module=module,
        )
        draft.files[path] = job_text(proposal, job).encode()
        draft.lines += _job_lines(path, proposal, job, first=not jobs)
        jobs.append(path.as_posix())
    open_yet = () if module is None else left_open(module)
    if open_yet:
        draft.lines.append(f"not told of the module: {', '.join(open_yet)}; it is not joined there")
        draft.lines.append("  yet; `wiremap next` asks for it: tell it there once it is known")
    wrong = write_several(draft.files)
    if wrong is not None:
        raise NotKept(wrong)
    for line in draft.lines:
        say(line)
    return jobs


def _pinout_to_write(draft: _Draft, folder: Path, plug: Plug) -> Pinout:
    """The pinout as it lies in the folder, or will: one from elsewhere is to be written there."""
    if plug.file is not None and plug.file.resolve().is_relative_to(folder.resolve()):
        return plug.pinout
    path = _free_path(folder, plug.name)
    text = plug.paper.text
    if not text.startswith("#"):
        text = "\n".join([*first_lines("pinout", reference("pinout", folder)), text])
    draft.files[path] = text.encode()
    draft.lines.append(f"written: {path.as_posix()}")
    return replace(plug.pinout, path=path.as_posix())


def _module_to_write(draft: _Draft, folder: Path, module: GuidedModule) -> InlineModule:
    """The module with its paper, and that of the plug that feeds it, as they will lie there."""
    inline = replace(module.told, pinout=_pinout_to_write(draft, folder, module.plug))
    if module.tap is None or inline.tap is None:
        return inline
    return replace(
        inline, tap=replace(inline.tap, pinout=_pinout_to_write(draft, folder, module.tap))
    )


def _free_path(folder: Path, stem: str) -> Path:
    """A name that no file bears yet."""
    path, number = folder / f"{stem}.yaml", 1
    while path.exists() or path.is_symlink():
        number += 1
        path = folder / f"{stem}-{number}.yaml"
    return path


def _job_lines(path: Path, proposal: Proposal, job: Job, *, first: bool) -> list[str]:
    """What is told of a job; its map once, for the ways differ in what is done, not in what is
    joined.
    """
    lines = [f"written: {path.as_posix()}: {counted(job)}"]
    return [*lines, *proposed_lines(proposal, job)] if first else lines
