"""The straight line from paths to a verdict: read, build, settle, graph, rules."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Any

from wiremap.base import Finding, Place, Severity, fault
from wiremap.evidence import NONE_YET, Count, alone, rung_out_nets, settle, surveyed_cavities
from wiremap.evidence.equipment import equipment_of
from wiremap.files import Files, one_sweep
from wiremap.files.head import head_of
from wiremap.graph import Harness
from wiremap.model import Entry, EntryKind, Job, Pinout
from wiremap.rules import NotJudged, judge, ordered, run

if TYPE_CHECKING:
    from wiremap.firstpower.judge import PowerVerdict


class PaperVerdict(StrEnum):
    """What a check says of a job: nothing holds it, something does, or it could not be read."""

    IN_ORDER = "in-order"
    HOLD = "hold"
    UNREAD = "unread"


JOB = "job"
ENDINGS = (".yaml", ".yml")
ASKED = "asked"  # the kind of a file that was named by whoever asks, and is no job
PINOUT_RULES = frozenset(  # what rules may say of a pinout without a job: all others need circuits
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
    verdict: PaperVerdict
    findings: tuple[Finding, ...]
    surveyed: Count = NONE_YET  # cavities
    rung_out: Count = NONE_YET  # nets
    not_judged: tuple[NotJudged, ...] = ()
    job: Job | None = None  # with its notebooks' answers laid over
    harness: Harness | None = None
    first_power: PowerVerdict | None = None  # over what is kept of it; None if nothing is
    digest: str = ""  # over job, pinouts and notebooks, as the sheet bears it; empty if unread

    @property
    def wrong_at_power(self) -> bool:
        """Whether something at first power is wrong or not so, and was not mended since."""
        return self.first_power is not None and bool(self.first_power.halt)

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
            "wrong_at_power": self.wrong_at_power,
            "not_judged": [
                {"subject": list(each.subject), "why": each.told} for each in self.not_judged
            ],
            "hash": self.digest,
        }


@dataclass(frozen=True)
class Report:
    """What a check found: every job's verdict, every finding once, and the texts for excerpts.

    `texts` holds what was read, by the name that places show.
    """

    jobs: tuple[Checked, ...]
    findings: tuple[Finding, ...]
    texts: dict[str, str]
    others: tuple[str, ...] = ()  # paths of pinouts and notebooks looked at by themselves
    papers: tuple[Pinout, ...] = ()  # the pinouts among `others` that were asked for by name
    not_ours: tuple[str, ...] = ()  # YAML files of the folders that are none of wiremap's

    @property
    def exit_code(self) -> int:
        """0: nothing holds; 1: something holds; 2: unreadable, or nothing was there to check."""
        if any(finding.fault for finding in self.findings) or not (self.jobs or self.others):
            return 2
        wrong = any(job.wrong_at_power for job in self.jobs)
        return int(wrong or any(finding.holds for finding in self.findings))

    def as_dict(self) -> dict[str, Any]:
        """Verdicts and findings as plain data."""
        data: dict[str, Any] = {
            "jobs": [job.as_dict() for job in self.jobs],
            "findings": [f.as_dict() for f in self.findings],
        }
        if self.not_ours:
            data["not_ours"] = len(self.not_ours)
        return data


@dataclass(frozen=True, slots=True)
class _OfFile:
    """What came of one file: its findings, and the texts that it was read from."""

    findings: tuple[Finding, ...]
    texts: dict[str, str]
    checked: Checked | None = None
    paper: Pinout | None = None


def check(paths: Iterable[str | Path]) -> Report:
    """Check files and folders: each job with all that it names, each other pinout by itself."""
    reader = Files()
    to_read = listed(paths)
    files = to_read.files
    of_jobs = [_job(reader, path) for path in files if files[path] == JOB]
    jobs = [each.checked for each in of_jobs if each.checked is not None]
    named = _named_by(jobs)
    other_paths = [path for path in files if _is_other(path, files[path], named)]
    of_others = [_other(reader, path, asked=files[path] == ASKED) for path in other_paths]
    findings = to_read.findings
    texts: dict[str, str] = {}
    for each in (*of_jobs, *of_others):
        findings += each.findings
        texts |= each.texts
    read = zip(other_paths, of_others, strict=True)
    return Report(
        jobs=tuple(jobs),
        findings=tuple(ordered(findings)),
        texts=texts,
        others=tuple(path for path, each in read if each.texts),
        papers=tuple(each.paper for each in of_others if each.paper is not None),
        not_ours=tuple(to_read.not_ours),
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
    if kind == JOB:
        return False
    return kind == ASKED or path not in named


def check_job(job: Job, *, read: Iterable[Finding] = ()) -> Checked:
    """Check a job that has been loaded or built: answers laid over, graph built, every rule run.

    `read` is what was found on reading it.
    """
    return check_harness(Harness(settle(job)), read=read)


def check_harness(
    harness: Harness,
    *,
    read: Iterable[Finding] = (),
    rung_out: Count | None = None,
) -> Checked:
    """Run every rule over the graph of a job over which its notebooks' answers are laid.

    `read` is what was found on reading it, `rung_out` is counted here if not given.
    """
    judgement = judge(harness)
    findings = tuple(ordered([*read, *judgement.findings]))
    surveyed, countable = surveyed_cavities(harness)
    holds = any(finding.holds for finding in findings)
    return Checked(
        path=harness.job.path,
        verdict=PaperVerdict.HOLD if holds else PaperVerdict.IN_ORDER,
        findings=findings,
        surveyed=Count(len(surveyed), len(countable)),
        rung_out=_rung_out(harness) if rung_out is None else rung_out,
        not_judged=judgement.not_judged,
        job=harness.job,
        harness=harness,
        first_power=_first_power(harness),
        digest=harness.job.digest,
    )


def _first_power(harness: Harness) -> PowerVerdict | None:
    """The verdict over first power; None where nothing of it is kept."""
    entries = harness.job.entries
    if not any(entry.kind in (EntryKind.POWER, EntryKind.DONE) for entry in entries):
        return None
    from wiremap.firstpower.judge import power_kept  # sizes the job: few checks get so far

    return power_kept(harness, entries)


def _rung_out(harness: Harness) -> Count:
    """How many nets are rung out, and of how many.

    Where clips are at hand, one probe touches a comb of contacts: it proves nets apart that were
    never read against each other alone, so only the verdict over the whole plan can count them.
    """
    entries = list(harness.job.entries)
    equipment = equipment_of(entries)
    probed = any(entry.kind == EntryKind.PROBE for entry in entries)
    if equipment is None or not equipment.holds or not probed:
        done, nets = rung_out_nets(harness)
        return Count(len(done), len(nets))
    return _passed(harness, entries)


def _passed(harness: Harness, entries: list[Entry]) -> Count:
    """How many nets a plan's verdict passes, and of how many; a harness too large has none."""
    from wiremap.diagnose.judge import judge as judge_readings  # half of a cold start, seldom asked
    from wiremap.ringout.plan import TooLarge  # as above

    try:
        counts = judge_readings(harness, entries).counts
    except TooLarge:
        return Count(0, len(rung_out_nets(harness)[1]))
    return Count(counts["pass"], counts["nets"])


@one_sweep()
def _job(reader: Files, path: str) -> _OfFile:
    loaded = reader.job(path)
    texts = {text.shown: text.text for text in loaded.texts}
    if loaded.value is None:
        checked = Checked(path, PaperVerdict.UNREAD, tuple(loaded.findings))
    else:
        checked = check_job(loaded.value, read=loaded.findings)
    return _OfFile(checked.findings, texts, checked)


def _other(reader: Files, path: str, *, asked: bool) -> _OfFile:
    """A pinout or a notebook by itself; `asked`: it was named by whoever asks."""
    loaded = reader.any(path)
    texts = {text.shown: text.text for text in loaded.texts}
    findings = list(loaded.findings)
    paper = None
    if isinstance(loaded.value, Pinout):
        paper = loaded.value if asked else None
        by_rules = run(Harness(alone(loaded.value)))
        findings += [finding for finding in by_rules if finding.rule in PINOUT_RULES]
    return _OfFile(tuple(findings), texts, paper=paper)


# -- which files ------------------------------------------------------------------------------


@dataclass(slots=True)
class ToRead:
    """The files to look at, each path with its kind; what is wrong with others; and which YAML
    files are not ours.
    """

    files: dict[str, str] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)
    not_ours: list[str] = field(default_factory=list)

    def add_named(self, path: str) -> None:
        """Take up a file that was named itself."""
        self.files[path] = JOB if head_of(path).kind == JOB else ASKED

    def add_folder(self, folder: str) -> None:
        """Take up what a folder holds of ours, at any depth, and what of it cannot be read."""
        holds_ours = False
        for path in self._within(folder):
            head = head_of(path)
            holds_ours = holds_ours or head.is_ours
            self.findings += head.faults
            if head.kind is not None:
                self.files.setdefault(path, head.kind)
            elif not head.faults:
                self.not_ours.append(path)
        if not holds_ours:
            self.findings.append(_nothing_in(folder))

    def _within(self, folder: str) -> Iterator[str]:
        for root, folders, names in os.walk(folder, onerror=self._unreadable):
            folders[:] = sorted(name for name in folders if not name.startswith("."))
            for name in sorted(names):
                if name.lower().endswith(ENDINGS) and not name.startswith("."):
                    yield os.path.join(root, name)

    def _unreadable(self, error: OSError) -> None:
        words = (error.strerror or "unknown reason").lower()
        place = Place(os.fsdecode(error.filename))
        fix = "Change its permissions, or check it from a place where it can be read."
        message = f"the folder cannot be looked into: {words}"
        self.findings.append(fault("unreadable-file", message, place, fix=fix))


def listed(paths: Iterable[str | Path]) -> ToRead:
    """The files to look at, in the order named; a folder stands for what it holds."""
    to_read = ToRead()
    for path in [os.fspath(path) for path in paths]:
        if os.path.isdir(path):
            to_read.add_folder(path)
        else:
            to_read.add_named(path)
    return to_read


def _nothing_in(folder: str) -> Finding:
    return fault(
        "nothing-to-check",
        "the folder holds no file of wiremap's",
        Place(folder),
        fix="Name a job, or a folder with `*.yaml` files that begin with `wiremap:`.",
    )
