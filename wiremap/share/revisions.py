"""Two revisions from their paths: files, packs, or folders that hold one job."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from wiremap.base import Finding, Place, fault, only
from wiremap.check import Checked, check_job
from wiremap.files import Files, declared_kind
from wiremap.model import Entry, Job, Pinout, withdrawals
from wiremap.share.build_reports import build_reports
from wiremap.share.changes import Change
from wiremap.share.compare import compare_jobs, compare_pinouts
from wiremap.share.harm import harmful_slips
from wiremap.share.opening import open_pack

Paper = Job | Pinout


@dataclass(frozen=True, slots=True)
class Compared:
    """The differences, and for jobs what they do to the verdict and to the harmful slips.

    `verdict`, `harm` (how many harmful slips) and `built` (the build reports of its notebooks) hold
    an item for the old job and one for the new; they are empty for pinouts, and `harm` where the
    slips are not counted.  `withdrawn` are sentences about papers of either.
    """

    changes: tuple[Change, ...] = ()
    verdict: tuple[str, ...] = ()
    harm: tuple[int, ...] = ()
    withdrawn: tuple[str, ...] = ()
    built: tuple[tuple[Entry, ...], ...] = ()
    findings: tuple[Finding, ...] = ()


class Unread(Exception):
    """Carries the findings of a path that holds nothing to compare."""

    def __init__(self, *findings: Finding) -> None:
        super().__init__()
        self.findings = findings


def compare_paths(old: Path | str, new: Path | str, *, full: bool = False) -> Compared:
    """Compare two paths; what cannot be read comes back as findings.

    The harmful slips of jobs of more than FEW_CIRCUITS circuits are counted only if `full`.
    """
    read = read_papers((old, new))
    if read.findings:
        return Compared(findings=read.findings)
    return _compared(read.papers, read.withdrawn, new, full=full)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadPapers:
    """What two paths hold, which of it was withdrawn, and why one could not be read."""

    papers: tuple[Paper, ...]
    withdrawn: tuple[str, ...]
    findings: tuple[Finding, ...]


def read_papers(paths: Sequence[Path | str]) -> ReadPapers:
    """The job or pinout of each path: a file, a pack, or a folder that holds one job."""
    papers: list[Paper] = []
    findings: list[Finding] = []
    withdrawn_lines: list[str] = []
    with tempfile.TemporaryDirectory() as scratch:
        for number, path in enumerate(map(Path, paths)):
            folder = Path(scratch) / str(number)
            try:
                paper = _read_paper(path, folder)
            except Unread as unread:
                findings += unread.findings
                continue
            papers.append(paper)
            withdrawn_lines += [
                line.replace(folder.as_posix(), path.as_posix()) for line in withdrawal_lines(paper)
            ]
    return ReadPapers(
        papers=tuple(papers),
        withdrawn=tuple(dict.fromkeys(withdrawn_lines)),
        findings=tuple(findings),
    )


def _compared(
    papers: Sequence[Paper], withdrawn_lines: tuple[str, ...], path: Path | str, *, full: bool
) -> Compared:
    old, new = papers
    if isinstance(old, Pinout) and isinstance(new, Pinout):
        return Compared(tuple(compare_pinouts(old, new)), withdrawn=withdrawn_lines)
    if isinstance(old, Job) and isinstance(new, Job):
        return _compared_jobs(old, new, withdrawn_lines, full=full)
    unlike = fault(
        "unlike-kinds",
        "two jobs or two pinouts are compared, not one of each",
        Place(str(path)),
        fix="Name two files of one kind.",
    )
    return Compared(findings=(unlike,))


def _compared_jobs(old: Job, new: Job, withdrawn_lines: tuple[str, ...], *, full: bool) -> Compared:
    """Two jobs compared; of two that mean the same the new one alone is checked, for both."""
    changes = tuple(compare_jobs(old, new))
    checked = [check_job(new)]
    if changes:
        checked = [check_job(old), *checked]
    harm = _harm(checked, full=full)
    verdict = tuple(each.verdict for each in checked)
    return Compared(
        changes=changes,
        verdict=verdict if changes else (*verdict, *verdict),
        harm=harm if changes else (*harm, *harm),
        withdrawn=withdrawn_lines,
        built=(build_reports(old), build_reports(new)),
    )


def _harm(checked: Sequence[Checked], *, full: bool) -> tuple[int, ...]:
    """How many slips of the hand can do harm in each; empty where those of one are not counted."""
    counts = []
    for each in checked:
        count = None if each.harness is None else harmful_slips(each.harness, full=full)
        if count is None:
            return ()
        counts.append(count)
    return tuple(counts)


def withdrawal_lines(*papers: Paper) -> tuple[str, ...]:
    """What of the papers has been withdrawn, and why: a line each, a job's pinouts included."""
    lines = [
        f"{each.path} has been withdrawn: {each.withdrawn}"
        for paper in papers
        for each in withdrawals(paper)
    ]
    return tuple(dict.fromkeys(lines))


def _read_paper(path: Path, scratch: Path) -> Paper:
    """The job or pinout of a path; a pack is laid out in the scratch folder; raises Unread."""
    result = Files().any(_paper_file(path, scratch))
    faults = [found for found in result.findings if found.fault]
    if faults:
        raise Unread(*faults)
    if isinstance(result.value, Paper):
        return result.value
    raise Unread(fault("wrong-kind", "this is neither a job nor a pinout", Place(path.as_posix())))


def _paper_file(path: Path, scratch: Path) -> Path:
    """The file that a path stands for; raises Unread."""
    if path.is_file() and path.suffix.casefold() == ".zip":
        return _laid_out(path, scratch)
    if not path.is_dir():
        return path
    jobs = sorted(each for each in path.glob("*.yaml") if declared_kind(each)[0] == "job")
    job = only(jobs)
    if job is None:
        words = f"this folder holds {len(jobs)} jobs, and one is wanted"
        here = Place(path.as_posix())
        raise Unread(fault("no-one-job", words, here, fix="Name the job itself."))
    return job


def _laid_out(pack: Path, scratch: Path) -> Path:
    """The job of a pack, laid out with all its files; raises Unread."""
    opened = open_pack(pack)
    if opened.findings:
        raise Unread(*opened.findings)
    for name, data in opened.files.items():
        target = scratch / name
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(data)
    return scratch / str(opened.manifest["job"])
