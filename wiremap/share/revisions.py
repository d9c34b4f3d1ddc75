"""Two revisions from their paths: files, packs, or folders that hold one job."""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from pathlib import Path

from wiremap.base import Finding, Place, fault
from wiremap.check import check_job
from wiremap.files import Reader, kind_of
from wiremap.model import Entry, Job, Pinout, withdrawals
from wiremap.share.built import built
from wiremap.share.compare import Change, compare_jobs, compare_pinouts
from wiremap.share.opening import open_pack
from wiremap.slips import slips


@dataclass(frozen=True, slots=True)
class Compared:
    """The differences, and what they do to the verdict and to the number of harmful slips (jobs only)."""

    changes: tuple[Change, ...] = ()
    verdict: tuple[str, ...] = ()
    harm: tuple[int, ...] = ()
    withdrawn: tuple[str, ...] = ()
    built: tuple[tuple[Entry, ...], ...] = ()  # what the notebooks of either say of pieces built
    findings: tuple[Finding, ...] = ()


def compare_paths(old: Path | str, new: Path | str) -> Compared:
    """Compare two paths; what cannot be read comes back as findings."""
    with tempfile.TemporaryDirectory() as scratch:
        found: list[Finding] = []
        loaded = [_loaded(Path(p), Path(scratch) / str(i), found) for i, p in enumerate((old, new))]
        if found:
            return Compared(findings=tuple(found))
        a, b = loaded
        gone = _unscratched(withdrawn(a, b), Path(scratch), (old, new)) if a and b else ()
        if isinstance(a, Pinout) and isinstance(b, Pinout):
            return Compared(tuple(compare_pinouts(a, b)), withdrawn=gone)
        if isinstance(a, Job) and isinstance(b, Job):
            changes = tuple(compare_jobs(a, b))
            checked = [check_job(a), check_job(b)]
            harm = tuple(
                sum(s.grade == "harm" for s in slips(c.harness).slips)
                for c in checked
                if c.harness is not None
            )
            return Compared(
                changes, tuple(c.verdict for c in checked), harm, gone, (built(a), built(b))
            )
        return Compared(
            findings=(
                fault(
                    "unlike-kinds",
                    "two jobs or two pinouts are compared, not one of each",
                    Place(str(new)),
                    fix="Name two files of one kind.",
                ),
            )
        )


def withdrawn(*papers: Job | Pinout) -> tuple[str, ...]:
    """What of the papers has been withdrawn, and why: a line each, the pinouts of a job included."""
    return tuple(
        dict.fromkeys(
            f"{one.path} has been withdrawn: {one.withdrawn}"
            for paper in papers
            for one in withdrawals(paper)
        )
    )


def _unscratched(
    lines: tuple[str, ...], scratch: Path, names: tuple[Path | str, Path | str]
) -> tuple[str, ...]:
    """Lines that name the pack a paper came from, not the place where it was laid out to be read."""
    for i, name in enumerate(names):
        lines = tuple(
            line.replace((scratch / str(i)).as_posix(), Path(name).as_posix(), 1) for line in lines
        )
    return tuple(dict.fromkeys(lines))


def _loaded(path: Path, scratch: Path, found: list[Finding]) -> Job | Pinout | None:
    if path.is_file() and path.suffix.casefold() == ".zip":
        opened = open_pack(path)
        found += opened.findings
        if opened.findings:
            return None
        for name, data in opened.files.items():
            target = scratch / name
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(data)
        path = scratch / str(opened.manifest["job"])
    elif path.is_dir():
        jobs = sorted(p for p in path.glob("*.yaml") if kind_of(p)[0] == "job")
        if len(jobs) != 1:
            found.append(
                fault(
                    "no-one-job",
                    f"this folder holds {len(jobs)} jobs, and one is wanted",
                    Place(path.as_posix()),
                    fix="Name the job itself.",
                )
            )
            return None
        path = jobs[0]
    result = Reader().any(path)
    found += [f for f in result.findings if f.fault]
    if isinstance(result.value, (Job, Pinout)):
        return result.value
    if not found:
        found.append(
            fault("wrong-kind", "this is neither a job nor a pinout", Place(path.as_posix()))
        )
    return None
