"""Folders of thousands of files checked on every core: the same report as file by file."""

from __future__ import annotations

import os
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Executor, Future, ProcessPoolExecutor, as_completed
from dataclasses import replace
from pathlib import Path

from wiremap.check import ASKED, JOB, Report, ToRead, check, listed
from wiremap.files import load_any
from wiremap.model import Pinout
from wiremap.rules import ordered
from wiremap.share.limits import FEW_FILES

PORTIONS = 4  # that a worker gets, so that none waits long for the last
MOST_AT_ONCE = 64  # files handed to a worker in one go
Part = tuple[Report, tuple[str, ...]]  # a report without graphs, and the files that its jobs name
Progress = Callable[[int, int], None]  # told how many files are done, of how many


def cores() -> int:
    """How many processors this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(os.getpid()))
    return os.cpu_count() or 1


def check_many(
    paths: Iterable[str | Path], *, workers: int | None = None, progress: Progress | None = None
) -> Report:
    """Check files and folders as `check` does, spread over `workers` processes (or every core).

    Jobs of the report carry no graph: it would cost more to hand over than to make.
    """
    paths = list(paths)
    listing = listed(paths)
    files = listing.files
    workers = workers or cores()
    if workers == 1 or len(files) <= FEW_FILES:
        return check(paths)

    def tell(done: int) -> None:
        if progress is not None:
            progress(done, len(files))

    jobs = [file for file, kind in files.items() if kind == JOB]
    with ProcessPoolExecutor(workers) as pool:
        parts = _spread(pool, jobs, workers, tell)
        named = {name for _, names in parts for name in names}
        alone = _not_judged_yet(files, named)
        skipped = len(files) - len(alone)
        parts += _spread(pool, alone, workers, lambda done: tell(skipped + done))
    return _joined([report for report, _ in parts], listing)


def _not_judged_yet(files: Mapping[str, str], named: Collection[str]) -> list[str]:
    """The files that are no jobs: those that were asked for, and those that no job names."""
    return [
        file for file, kind in files.items() if kind != JOB and (kind == ASKED or file not in named)
    ]


def _joined(reports: Sequence[Report], listing: ToRead) -> Report:
    """The reports of all portions in one."""
    texts: dict[str, str] = {}
    findings = list(listing.findings)
    for report in reports:
        texts.update(sorted(report.texts.items()))
        findings += report.findings
    return Report(
        tuple(job for report in reports for job in report.jobs),
        tuple(ordered(findings)),
        texts,
        tuple(other for report in reports for other in report.others),
        tuple(_papers(listing)),
        not_ours=tuple(listing.not_ours),
    )


def _papers(listing: ToRead) -> Iterator[Pinout]:
    """The pinouts that were asked for by name, read once more: no worker can hand one over."""
    for file, kind in listing.files.items():
        if kind == ASKED:
            read = load_any(file).value
            if isinstance(read, Pinout):
                yield read


def _spread(
    pool: Executor, files: Sequence[str], workers: int, tell: Callable[[int], object]
) -> list[Part]:
    """Every portion's report in the order of the files, however the workers finish."""
    waiting: dict[Future[Part], int] = {
        pool.submit(_checked_portion, portion): len(portion)
        for portion in _portions(files, workers)
    }
    finished = 0
    try:
        for future in as_completed(waiting):
            finished += waiting[future]
            tell(finished)
        return [future.result() for future in waiting]
    except BaseException:  # interrupted: what has not begun need not begin
        pool.shutdown(wait=False, cancel_futures=True)
        raise


def _portions(files: Sequence[str], workers: int) -> Iterator[tuple[str, ...]]:
    """Equal portions, several for each worker so that none waits long for the last."""
    size = max(1, min(MOST_AT_ONCE, -(-len(files) // (workers * PORTIONS))))
    for start in range(0, len(files), size):
        yield tuple(files[start : start + size])


def _checked_portion(files: tuple[str, ...]) -> Part:
    """One portion checked; what travels back is small: no graphs, only texts with findings."""
    report = check(files)
    named: set[str] = set()
    for checked in report.jobs:
        if checked.job is not None:
            named |= {end.pinout.path for end in checked.job.ends.values()}
            named |= {notebook.path for notebook in checked.job.notebooks}
    shown = {finding.place.path for finding in report.findings if finding.place}
    texts = {name: text for name, text in report.texts.items() if name in shown}
    jobs = tuple(replace(checked, job=None, harness=None) for checked in report.jobs)
    return Report(jobs, report.findings, texts, report.others), tuple(sorted(named))
