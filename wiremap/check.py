"""The straight line from paths to a verdict: read, build, settle, graph, rules."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Any

from wiremap.base import Finding, Place, Severity, fault
from wiremap.evidence import alone, boxes, settle
from wiremap.files import Files, one_sweep
from wiremap.graph import Harness
from wiremap.model import Job, Pinout
from wiremap.rules import NotJudged, judge, ordered, run


class Verdict(StrEnum):
    """What a check says of a job: nothing holds it, something does, or it could not be read."""

    IN_ORDER = "in-order"
    HOLD = "hold"
    UNREAD = "unread"


IN_ORDER, HOLD, UNREAD = Verdict
_KIND = re.compile(rb"^wiremap\s*:\s*['\"]?(job|pinout|notebook)/", re.MULTILINE)
HEAD_BYTES = 4096
ASKED = "asked"  # the kind of a file that was named itself and is no job
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
    verdict: Verdict
    findings: tuple[Finding, ...]
    surveyed: tuple[int, int] = (0, 0)
    rung_out: tuple[int, int] = (0, 0)
    not_judged: tuple[NotJudged, ...] = ()
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
            "not_judged": [
                {"subject": list(each.subject), "why": each.why} for each in self.not_judged
            ],
        }


@dataclass(frozen=True)
class Report:
    """What a check found: every job's verdict, every finding once, and the texts for excerpts.

    `texts` holds what was read, by the name that places show.
    """

    jobs: tuple[Checked, ...]
    findings: tuple[Finding, ...]
    texts: dict[str, str]
    others: tuple[str, ...] = ()  # pinouts and notebooks looked at by themselves
    papers: tuple[Pinout, ...] = ()  # those of them that were asked for by name

    @property
    def exit_code(self) -> int:
        """0: nothing holds; 1: something holds; 2: unreadable, or nothing was there to check."""
        if any(finding.fault for finding in self.findings) or not (self.jobs or self.others):
            return 2
        return int(any(finding.holds for finding in self.findings))

    def as_dict(self) -> dict[str, Any]:
        """Verdicts and findings as plain data."""
        return {
            "jobs": [job.as_dict() for job in self.jobs],
            "findings": [f.as_dict() for f in self.findings],
        }


@dataclass(frozen=True, slots=True)
class _Looked:
    """What came of one file: its findings, and the texts that it was read from."""

    findings: tuple[Finding, ...]
    texts: dict[str, str]
    checked: Checked | None = None
    paper: Pinout | None = None


def check(paths: Iterable[str | Path]) -> Report:
    """Check files and folders: each job with all that it names, each other pinout by itself."""
    reader = Files()
    files, faults = listed(paths)
    looked = [_job(reader, path) for path in files if files[path] == "job"]
    jobs = [found.checked for found in looked if found.checked is not None]
    named = _named_by(jobs)
    others = [path for path in files if _is_other(path, files[path], named)]
    looked += [_other(reader, path, asked=files[path] == ASKED) for path in others]
    findings = list(faults)
    texts: dict[str, str] = {}
    for found in looked:
        findings += found.findings
        texts |= found.texts
    return Report(
        jobs=tuple(jobs),
        findings=tuple(ordered(findings)),
        texts=texts,
        others=tuple(others),
        papers=tuple(found.paper for found in looked if found.paper is not None),
    )


def _named_by(jobs: Iterable[Checked]) -> set[str]:
    """The pinouts and notebooks that the jobs name."""
    named: set[str] = set()
    for checked in jobs:
        if checked.job is not None:
            named.update(end.pinout.path for end in checked.job.ends.values())
            named.update(notebook.path for notebook in checked.job.notebooks)
    return named


def _is_other(path: str, kind: str, named: set[str]) -> bool:
    """Whether a file is looked at by itself: asked for, or named by no job."""
    if kind == "job":
        return False
    return kind == ASKED or path not in named


def check_job(job: Job, *, read: Iterable[Finding] = ()) -> Checked:
    """Check a job that has been loaded or built: answers laid over, graph built, the book run."""
    settled = settle(job)
    harness = Harness(settled)
    judgement = judge(harness)
    findings = tuple(ordered([*read, *judgement.findings]))
    counted = boxes(harness)
    holds = any(finding.holds for finding in findings)
    return Checked(
        path=job.path,
        verdict=Verdict.HOLD if holds else Verdict.IN_ORDER,
        findings=findings,
        surveyed=counted["surveyed"],
        rung_out=counted["rung_out"],
        not_judged=judgement.not_judged,
        job=settled,
        harness=harness,
    )


@one_sweep()
def _job(reader: Files, path: str) -> _Looked:
    loaded = reader.job(path)
    texts = {text.shown: text.text for text in loaded.texts}
    if loaded.value is None:
        checked = Checked(path, Verdict.UNREAD, tuple(loaded.findings))
    else:
        checked = check_job(loaded.value, read=loaded.findings)
    return _Looked(checked.findings, texts, checked)


def _other(reader: Files, path: str, *, asked: bool) -> _Looked:
    loaded = reader.any(path)
    texts = {text.shown: text.text for text in loaded.texts}
    findings = list(loaded.findings)
    paper = None
    if isinstance(loaded.value, Pinout):
        paper = loaded.value if asked else None
        book = run(Harness(alone(loaded.value)))
        findings += [finding for finding in book if finding.rule in PINOUT_RULES]
    return _Looked(tuple(findings), texts, paper=paper)


# -- which files ------------------------------------------------------------------------------


def listed(paths: Iterable[str | Path]) -> tuple[dict[str, str], list[Finding]]:
    """The files to look at with their kinds, in the order named; a folder stands for what it
    holds.
    """
    files: dict[str, str] = {}
    findings: list[Finding] = []
    for path in [os.fspath(path) for path in paths]:
        if not os.path.isdir(path):
            files[path] = "job" if _kind(path) == "job" else ASKED
            continue
        held = _held(path)
        for file, kind in held.items():
            files.setdefault(file, kind)
        if not held:
            findings.append(_nothing_in(path))
    return files, findings


def _held(folder: str) -> dict[str, str]:
    """The files of ours in a folder, each with its kind."""
    kinds = {file: _kind(file) for file in _within(folder)}
    return {file: kind for file, kind in kinds.items() if kind is not None}


def _nothing_in(folder: str) -> Finding:
    return fault(
        "nothing-to-check",
        "the folder holds no file of wiremap's",
        Place(folder),
        fix="Name a job, or a folder with `*.yaml` files that begin with `wiremap:`.",
    )


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
