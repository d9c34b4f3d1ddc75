"""Two revisions from their paths: files, packs, or folders that hold one job."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from wiremap.base import Finding, Place, fault
from wiremap.check import Checked, check_job
from wiremap.files import Files, declared_kind
from wiremap.model import Entry, Job, Pinout, withdrawals
from wiremap.share.built import built
from wiremap.share.changes import Change
from wiremap.share.compare import compare_jobs, compare_pinouts
from wiremap.share.opening import open_pack
from wiremap.slips import slips

Paper = Job | Pinout
FEW_CIRCUITS = 60  # up to so many, counting every slip of the hand takes no time to speak of


@dataclass(frozen=True, slots=True)
class Compared:
    """The differences, and for jobs what they do to the verdict and to the harmful slips.

    `built` holds, of either job, what its notebooks say of pieces built.
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
class Papers:
    """What two paths hold, which of it was withdrawn, and why one could not be read."""

    papers: tuple[Paper, ...]
    withdrawn: tuple[str, ...]
    findings: tuple[Finding, ...]


def read_papers(paths: Sequence[Path | str]) -> Papers:
    """The job or pinout of each path: a file, a pack, or a folder that holds one job."""
    papers: list[Paper] = []
    findings: list[Finding] = []
    gone: list[str] = []
    with tempfile.TemporaryDirectory() as scratch:
        for number, path in enumerate(map(Path, paths)):
            place = Path(scratch) / str(number)
            try:
                paper = _loaded(path, place)
            except Unread as unread:
                findings += unread.findings
                continue
            papers.append(paper)
            gone += [
                line.replace(place.as_posix(), path.as_posix(), 1) for line in withdrawn(paper)
            ]
    return Papers(
        papers=tuple(papers),
        withdrawn=tuple(dict.fromkeys(gone)),
        findings=tuple(findings),
    )


def _compared(
    papers: Sequence[Paper], gone: tuple[str, ...], path: Path | str, *, full: bool
) -> Compared:
    old, new = papers
    if isinstance(old, Pinout) and isinstance(new, Pinout):
        return Compared(tuple(compare_pinouts(old, new)), withdrawn=gone)
    if isinstance(old, Job) and isinstance(new, Job):
        return _jobs(old, new, gone, full=full)
    unlike = fault(
        "unlike-kinds",
        "two jobs or two pinouts are compared, not one of each",
        Place(str(path)),
        fix="Name two files of one kind.",
    )
    return Compared(findings=(unlike,))


def _jobs(old: Job, new: Job, gone: tuple[str, ...], *, full: bool) -> Compared:
    """Two jobs; of those that mean the same one is checked for both."""
    changes = tuple(compare_jobs(old, new))
    checked = [check_job(new)]
    if changes:
        checked.insert(0, check_job(old))
    large = max(len(old.circuits), len(new.circuits)) > FEW_CIRCUITS
    harm = () if large and not full else _harm(checked)
    verdict = tuple(each.verdict for each in checked)
    return Compared(
        changes=changes,
        verdict=verdict if changes else verdict * 2,
        harm=harm if changes else harm * 2,
        withdrawn=gone,
        built=(built(old), built(new)),
    )


def _harm(checked: Sequence[Checked]) -> tuple[int, ...]:
    """How many slips of the hand can do harm in each."""
    found = []
    for each in checked:
        if each.harness is not None:
            report = slips(each.harness)
            if report.refused is not None:
                return ()
            found.append(sum(slip.grade == "harm" for slip in report.slips))
    return tuple(found)


def withdrawn(*papers: Paper) -> tuple[str, ...]:
    """What of the papers has been withdrawn, and why: a line each, a job's pinouts included."""
    lines = [
        f"{each.path} has been withdrawn: {each.withdrawn}"
        for paper in papers
        for each in withdrawals(paper)
    ]
    return tuple(dict.fromkeys(lines))


def _loaded(path: Path, scratch: Path) -> Paper:
    """The job or pinout of a path; a pack is laid out in the scratch folder; raises Unread."""
    result = Files().any(_file(path, scratch))
    faults = [found for found in result.findings if found.fault]
    if faults:
        raise Unread(*faults)
    if isinstance(result.value, Paper):
        return result.value
    raise Unread(fault("wrong-kind", "this is neither a job nor a pinout", Place(path.as_posix())))


def _file(path: Path, scratch: Path) -> Path:
    """The file that a path stands for; raises Unread."""
    if path.is_file() and path.suffix.casefold() == ".zip":
        return _laid_out(path, scratch)
    if not path.is_dir():
        return path
    jobs = sorted(each for each in path.glob("*.yaml") if declared_kind(each)[0] == "job")
    if len(jobs) != 1:
        words = f"this folder holds {len(jobs)} jobs, and one is wanted"
        here = Place(path.as_posix())
        raise Unread(fault("no-one-job", words, here, fix="Name the job itself."))
    return jobs[0]


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
