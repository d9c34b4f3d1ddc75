"""What the commands beside the machine share: reading a job or pinout with its notebook, telling faults, saving entries."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any

from wiremap.base import Finding, Place, Severity, fault
from wiremap.cli import common
from wiremap.cli.common import note
from wiremap.cli.withdrawn import tell_withdrawn
from wiremap.entries.lines import text_of
from wiremap.entries.notebook import append
from wiremap.evidence import alone, answers, settle, unusable
from wiremap.evidence.stamping import stamped
from wiremap.files import load_any, load_notebook
from wiremap.graph import Harness
from wiremap.model import Address, Entry, Job, Notebook, Pinout


@dataclass(frozen=True)
class OpenJob:
    """A settled job with its graph, where its notebook lies, and whether it stands for one pinout alone."""

    job: Job
    harness: Harness
    notebook: Path
    named: bool  # the job names that notebook, or it is found beside the pinout
    bare: bool
    filed: Job  # the same as its files say it, no answer laid over it
    unnamed: tuple[str, ...] = ()  # notebooks that count here although the job does not name them


def notebook_options(parser: argparse.ArgumentParser) -> None:
    """Add who writes, when, and where the entries go."""
    parser.add_argument("--by", default="", metavar="NAME", help="who reads the meter")
    parser.add_argument(
        "--date", default="", metavar="DAY", help="the day, as 2026-03-02 (default: today)"
    )
    parser.add_argument(
        "--notebook",
        metavar="FILE",
        help="the notebook to read and write (default: the job's own, else the one beside the file)",
    )


def day(args: argparse.Namespace) -> str:
    """The day that entries are dated with."""
    if args.date:
        return str(args.date)

    return date.today().isoformat()


def not_yet(args: argparse.Namespace) -> Finding | None:
    """A fault for a `--date` that is still to come: nobody has seen anything on it; None for all others."""

    try:
        ahead = date.fromisoformat(args.date.strip()) > (today := date.today())
    except ValueError:
        return None
    return (
        fault(
            "future-date",
            f"the date {args.date.strip()} is later than today ({today.isoformat()}); nothing was saved",
            fix="give the day on which it was seen, or leave --date out for today",
        )
        if ahead
        else None
    )


def stdin_text() -> str:
    """Standard input, without the mark that some editors put first."""
    return sys.stdin.read().removeprefix("\ufeff")


def typed(path: str) -> tuple[str, str] | Finding:
    """The text of a file of lines, or of standard input (`-`), and the name it is shown under."""

    if path == "-":
        return "standard input", stdin_text()
    text = text_of(path)
    return text if isinstance(text, Finding) else (path, text)


def open_job(path: str, notebook: str | None = None) -> tuple[OpenJob | None, tuple[Finding, ...]]:
    """A job, or a pinout by itself, with all that its notebooks answer laid over it.

    A notebook given by name, or lying beside the file under the usual name, counts too, whether the job names it or not.
    """

    loaded = load_any(path)
    value, findings = loaded.value, loaded.findings
    if isinstance(value, Job | Pinout):
        tell_withdrawn(value)
    if isinstance(value, Job):
        first = Path(value.notebooks[0].path) if value.notebooks else beside(path)
        chosen = Path(notebook) if notebook else first
        named = any(_same(n.path, chosen) for n in value.notebooks)
        also = [chosen] if named or _same(chosen, beside(path)) else [beside(path), chosen]
        unnamed, more = _read(p for p in also if not any(_same(n.path, p) for n in value.notebooks))
        job = settle(replace(value, notebooks=(*value.notebooks, *unnamed)))
        return OpenJob(
            job, Harness(job), chosen, named, False, value, tuple(n.path for n in unnamed)
        ), (*findings, *more)
    if isinstance(value, Pinout):
        chosen = Path(notebook) if notebook else beside(path)
        books, more = _read([chosen])
        findings = (*findings, *more)
        job = settle(alone(value, books))
        return OpenJob(job, Harness(job), chosen, True, True, alone(value)), findings
    if value is not None:
        findings = (
            *findings,
            fault("wrong-kind", "a job or a pinout is wanted, this is a notebook", Place(path)),
        )
    return None, findings


def _same(a: Path | str, b: Path | str) -> bool:
    return os.path.abspath(a) == os.path.abspath(b)


def _read(paths: Iterable[Path]) -> tuple[tuple[Notebook, ...], tuple[Finding, ...]]:
    """Those of the notebooks that are there, and what is wrong in them."""

    books: list[Notebook] = []
    findings: list[Finding] = []
    for path in paths:
        if path.exists():
            read = load_notebook(path)
            findings += read.findings
            books += [read.value] if read.value is not None else []
    return tuple(books), tuple(findings)


def beside(path: str) -> Path:
    """The notebook that lies beside a file that names none."""
    file = Path(path)
    return file.with_name(f"{file.stem}-notebook.yaml")


def unread(args: argparse.Namespace, command: str, findings: Iterable[Finding]) -> int:
    """Tell what could not be read, in words and, if asked for, as JSON; exit code 2."""
    found = list(findings)
    return common.unread(args.json, command, [f for f in found if f.fault] or found)


def tell(findings: Iterable[Finding]) -> None:
    """Findings as lines on stderr: where, what, how to mend."""
    common.unread(False, "", findings)


def save(opened: OpenJob, entries: Sequence[Entry]) -> Finding | None:
    """Append entries to its notebook, stamped with what they speak of."""

    whole = [stamped(opened.harness, e, opened.filed) for e in entries]
    if opened.bare:
        whole = [
            replace(
                e, about=bare(e.about), red=tuple(map(bare, e.red)), black=tuple(map(bare, e.black))
            )
            for e in whole
        ]
    fault = append(opened.notebook, whole)
    if fault is None and not opened.named:
        note(f"saved in {opened.notebook.as_posix()}; {_name_it(opened, opened.notebook)}")
    return fault


def save_readings(opened: OpenJob, read: Sequence[Entry], fresh: Sequence[Entry]) -> Finding | None:
    """Save those of the readings that were not there already, and say how many were."""
    fault = save(opened, fresh)
    if fault is None:
        gone = len(read) - len(fresh)
        known = f"; {gone} {'was' if gone == 1 else 'were'} there already" if gone else ""
        note(
            f"{len(fresh)} reading{'s' * (len(fresh) != 1)} saved in {opened.notebook.as_posix()}{known}"
        )
    return fault


def _name_it(opened: OpenJob, notebook: Path) -> str:
    """What to add to the job so that a notebook counts everywhere."""
    folder = os.path.dirname(os.path.abspath(opened.job.path))
    names = [
        os.path.relpath(os.path.abspath(n.path), folder).replace(os.sep, "/")
        for n in opened.job.notebooks
        if n.path not in opened.unnamed
    ]
    names.append(os.path.relpath(os.path.abspath(notebook), folder).replace(os.sep, "/"))
    return (
        f"the job does not name it: `next`, `survey` and `ringout` read it, `check` and the sheet do not until "
        f"{Path(opened.job.path).name} says `readings: [{', '.join(names)}]`"
    )


def notebook_plain(opened: OpenJob) -> dict[str, Any]:
    """Where entries go, whether the job names that file, and the unnamed notebooks that were read, as plain data."""
    return {
        "path": opened.notebook.as_posix(),
        "named": opened.named,
        "read_unnamed": list(opened.unnamed),
    }


def not_counted(opened: OpenJob) -> tuple[Finding, ...]:
    """A caution for every answer of the notebooks that its question does not allow; each is asked again."""

    known = answers(opened.job)
    return tuple(
        Finding(
            "answer-not-counted",
            Severity.CAUTION,
            shown(opened, f"{why}; it does not count, and the question stands"),
            (shown(opened, e.about),),
            e.place,
            fix="answer it again; the last answer counts",
        )
        for e, why in unusable(opened.job)
        if e.about not in known
    )


def tell_not_counted(opened: OpenJob, found: Sequence[Finding]) -> None:
    """Say on stderr which answers do not count, and which notebooks the job does not name."""
    for f in found:
        note(f"{f.place}: {f.message}" if f.place else f.message)
    for path in opened.unnamed:
        note(f"{Path(path).as_posix()} is read; {_name_it(opened, Path(path))}")


def full_address(opened: OpenJob, about: str) -> str:
    """An address as the job knows it: of a pinout by itself, with the end's name before it."""
    bare_one = opened.bare and about and not about.startswith(("end.", "supply.", "surroundings."))
    return f"end.{about}" if bare_one else about


def bare(address: str) -> Address:
    """An address of a pinout by itself without the end's name."""
    return Address.read(address.removeprefix("end."))


def shown(opened: OpenJob, value: Any) -> Any:
    """Plain data with the bare names that the user gave, if the job stands for one pinout."""
    if not opened.bare:
        return value
    if isinstance(value, dict):
        return {k: shown(opened, v) for k, v in value.items()}
    if isinstance(value, list):
        return [shown(opened, v) for v in value]
    return value.replace("end.", "") if isinstance(value, str) else value
