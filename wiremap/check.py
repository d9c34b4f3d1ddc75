"""The straight line from paths to a verdict: read, build, settle, graph, rules."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from wiremap.base import Finding, Place, Severity, fault
from wiremap.evidence import alone, boxes, settle
from wiremap.files import Reader, one_sweep
from wiremap.graph import Harness
from wiremap.model import Job, Pinout
from wiremap.rules import run

IN_ORDER, HOLD, UNREAD = "in-order", "hold", "unread"
_KIND = re.compile(rb"^wiremap\s*:\s*['\"]?(job|pinout|notebook)/", re.MULTILINE)
HEAD_BYTES = 4096
PINOUT_RULES = frozenset(
    {
        "face-unlike-cavities",
        "left-alone",
        "sources-disagree",
        "survey-contradicts",
        "table-misread",
        "withdrawn",
    }
)


@dataclass(frozen=True)
class Checked:
    """One job with its verdict; `job` and `harness` are None where it could not be read."""

    path: str
    verdict: str  # in-order, hold, unread
    findings: tuple[Finding, ...]
    surveyed: tuple[int, int] = (0, 0)
    rung_out: tuple[int, int] = (0, 0)
    job: Job | None = None  # with its notebooks' answers laid over
    harness: Harness | None = None

    @property
    def cautions(self) -> int:
        """How many cautions it has, signed or not."""
        return sum(f.severity is Severity.CAUTION for f in self.findings)

    def as_dict(self) -> dict[str, Any]:
        """The verdict as plain data."""
        return {
            "file": self.path,
            "verdict": self.verdict,
            "boxes": {"surveyed": list(self.surveyed), "rung_out": list(self.rung_out)},
            "cautions": self.cautions,
        }


@dataclass(frozen=True)
class Report:
    """What a check found: every job's verdict, every finding once, and the texts for excerpts by the name shown."""

    jobs: tuple[Checked, ...]
    findings: tuple[Finding, ...]
    texts: dict[str, str]
    others: tuple[str, ...] = ()  # pinouts and notebooks looked at by themselves

    @property
    def exit_code(self) -> int:
        """0: nothing holds; 1: something holds; 2: something could not be read, or nothing was there to check."""
        if any(f.fault for f in self.findings) or not (self.jobs or self.others):
            return 2
        return 1 if any(f.holds for f in self.findings) else 0

    def as_dict(self) -> dict[str, Any]:
        """Verdicts and findings as plain data."""
        return {
            "jobs": [job.as_dict() for job in self.jobs],
            "findings": [f.as_dict() for f in self.findings],
        }


def check(paths: Iterable[str | Path]) -> Report:
    """Check files and folders: each job with all that it names, each pinout that no job names by itself."""
    reader = Reader()
    files, findings = listed(paths)
    jobs: list[Checked] = []
    texts: dict[str, str] = {}
    others: list[str] = []
    for path in (f for f in files if files[f] == "job"):
        checked, read = _job(reader, path)
        jobs.append(checked)
        texts.update(read)
        findings += checked.findings
    named = {e.pinout.path for c in jobs if c.job for e in c.job.ends.values()}
    named |= {n.path for c in jobs if c.job for n in c.job.notebooks}
    for path in (f for f in files if files[f] != "job"):
        if path in named and not files[path].startswith("asked"):
            continue
        found, read = _other(reader, path)
        texts.update(read)
        findings += found
        others.append(path)
    return Report(tuple(jobs), tuple(ordered(findings)), texts, tuple(others))


def check_job(job: Job, *, read: Iterable[Finding] = ()) -> Checked:
    """Check a job that has been loaded or built: answers laid over, graph built, the whole book run."""
    settled = settle(job)
    harness = Harness(settled)
    findings = tuple(ordered([*read, *run(harness)]))
    counted = boxes(harness)
    verdict = HOLD if any(f.holds for f in findings) else IN_ORDER
    return Checked(
        job.path, verdict, findings, counted["surveyed"], counted["rung_out"], settled, harness
    )


@one_sweep()
def _job(reader: Reader, path: str) -> tuple[Checked, dict[str, str]]:
    loaded = reader.job(path)
    texts = {t.shown: t.text for t in loaded.texts}
    if loaded.value is None:
        return Checked(path, UNREAD, tuple(loaded.findings)), texts
    return check_job(loaded.value, read=loaded.findings), texts


def _other(reader: Reader, path: str) -> tuple[list[Finding], dict[str, str]]:
    loaded = reader.any(path)
    texts = {t.shown: t.text for t in loaded.texts}
    found = list(loaded.findings)
    if isinstance(loaded.value, Pinout):
        book = run(Harness(alone(loaded.value)))
        found += [f for f in book if f.rule in PINOUT_RULES]
    return found, texts


# -- which files ---------------------------------------------------------------------------------------


def listed(paths: Iterable[str | Path]) -> tuple[dict[str, str], list[Finding]]:
    """The files to look at with their kinds, in the order named; a folder stands for what it holds."""
    files: dict[str, str] = {}
    findings: list[Finding] = []
    for path in (os.fspath(p) for p in paths):
        if os.path.isdir(path):
            held = {f: k for f in _within(path) if (k := _kind(f)) is not None}
            if not held:
                findings.append(
                    fault(
                        "nothing-to-check",
                        "the folder holds no file of wiremap's",
                        Place(path),
                        fix="Name a job, or a folder with `*.yaml` files that begin with `wiremap:`.",
                    )
                )
            for f, k in held.items():
                files.setdefault(f, k)
        else:
            files[path] = "job" if _kind(path) == "job" else "asked"
    return files, findings


def _within(folder: str) -> Iterator[str]:
    for root, folders, names in os.walk(folder):
        folders[:] = sorted(f for f in folders if not f.startswith("."))
        for name in sorted(names):
            if name.endswith((".yaml", ".yml")) and not name.startswith("."):
                yield os.path.join(root, name)


def _kind(path: str) -> str | None:
    """The kind that a file's head declares, looked at without reading it as YAML."""
    try:
        if not os.path.isfile(path):
            return None
        with open(path, "rb") as file:
            found = _KIND.search(file.read(HEAD_BYTES))
    except OSError:
        return None
    return found.group(1).decode() if found else None


def ordered(findings: Iterable[Finding]) -> list[Finding]:
    def key(f: Finding) -> tuple[bool, int, str, int, int, str, tuple[str, ...], str]:
        place = f.place or Place("")
        return (
            not f.fault,
            f.severity.rank,
            place.path,
            place.line,
            place.col,
            f.rule,
            f.subject,
            f.message,
        )

    return sorted(dict.fromkeys(findings), key=key)
