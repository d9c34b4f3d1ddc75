"""What the commands at the bench share: reading a job or pinout with its notebook, telling faults, saving entries."""

from __future__ import annotations

import argparse
import os
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from wiremap.base import Finding
from wiremap.cli import common
from wiremap.cli.common import note, tell_withdrawn
from wiremap.graph import Harness
from wiremap.model import Entry, Job


@dataclass(frozen=True)
class Bench:
    """A settled job with its graph, where its notebook lies, and whether it stands for one pinout alone."""

    job: Job
    harness: Harness
    notebook: Path
    named: bool  # the job names that notebook, or it is found beside the pinout
    bare: bool


def notebook_options(parser: argparse.ArgumentParser) -> None:
    """Add who writes, when, and where the entries go."""
    parser.add_argument("--by", default="", metavar="NAME", help="who reads the meter")
    parser.add_argument("--date", default="", metavar="DAY", help="the day, as 2026-03-02 (default: today)")
    parser.add_argument("--notebook", metavar="FILE", help="the notebook to write to (default: the job's own)")


def day(args: argparse.Namespace) -> str:
    """The day that entries are dated with."""
    if args.date:
        return str(args.date)
    from datetime import date

    return date.today().isoformat()


def open_bench(path: str, notebook: str | None = None) -> tuple[Bench | None, tuple[Finding, ...]]:
    """A job, or a pinout by itself, with all that its notebooks answer laid over it."""
    from wiremap.base import Place, fault
    from wiremap.evidence import alone, settle
    from wiremap.files import load_any, load_notebook
    from wiremap.model import Pinout

    loaded = load_any(path)
    value, findings = loaded.value, loaded.findings
    if isinstance(value, Job | Pinout):
        tell_withdrawn(value)
    if isinstance(value, Job):
        first = Path(value.notebooks[0].path) if value.notebooks else beside(path)
        chosen = Path(notebook) if notebook else first
        named = any(os.path.abspath(n.path) == os.path.abspath(chosen) for n in value.notebooks)
        job = settle(value)
        return Bench(job, Harness(job), chosen, named, False), findings
    if isinstance(value, Pinout):
        chosen = Path(notebook) if notebook else beside(path)
        books = ()
        if chosen.exists():
            read = load_notebook(chosen)
            findings = (*findings, *read.findings)
            books = (read.value,) if read.value else ()  # type: ignore[assignment]
        job = settle(alone(value, books))
        return Bench(job, Harness(job), chosen, True, True), findings
    if value is not None:
        findings = (*findings, fault("wrong-kind", "a job or a pinout is wanted, this is a notebook", Place(path)))
    return None, findings


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


def save(bench: Bench, entries: Sequence[Entry]) -> Finding | None:
    """Append entries to the bench's notebook, stamped with what they speak of."""
    from dataclasses import replace

    from wiremap.ringout.notebook import append, stamped

    whole = [stamped(bench.harness, e) for e in entries]
    if bench.bare:
        whole = [replace(e, about=bare(e.about), red=tuple(map(bare, e.red)), black=tuple(map(bare, e.black))) for e in whole]
    fault = append(bench.notebook, whole)
    if fault is None and not bench.named:
        note(f"saved in {bench.notebook.as_posix()}; the job does not name it yet: add `readings: [{bench.notebook.name}]`")
    return fault


def bare(address: str) -> str:
    """An address of a pinout by itself without the end's name."""
    return address.removeprefix("end.")


def shown(bench: Bench, value: Any) -> Any:
    """Plain data with the bare names that the user gave, if the job stands for one pinout."""
    if not bench.bare:
        return value
    if isinstance(value, dict):
        return {k: shown(bench, v) for k, v in value.items()}
    if isinstance(value, list):
        return [shown(bench, v) for v in value]
    return value.replace("end.", "") if isinstance(value, str) else value
