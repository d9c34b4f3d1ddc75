"""Folders of thousands of files checked on every core: the same report as file by file."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Executor, Future, ProcessPoolExecutor, as_completed
from dataclasses import replace
from pathlib import Path

from wiremap.check import ASKED, JOB, Report, check, listed
from wiremap.rules import ordered
from wiremap.share.limits import FEW_FILES

MOST_AT_ONCE = 64  # files handed to a worker in one go
Part = tuple[Report, tuple[str, ...]]  # a report without graphs, and the files that its jobs name
Progress = Callable[[int, int], None]


def cores() -> int:
    """How many processors this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def check_many(
    paths: Iterable[str | Path], *, workers: int | None = None, progress: Progress | None = None
) -> Report:
    """Check files and folders as `check` does, spread over `workers` processes (or every core).

    `progress` is told how many files are done, of how many.  Jobs of the report carry no graph.
    """
    paths = list(paths)
    found = listed(paths)
    files, findings = found.files, found.findings
    workers = workers or cores()
    if workers == 1 or len(files) <= FEW_FILES:
        return check(paths)
    jobs = [f for f, kind in files.items() if kind == JOB]
    done: list[Part] = []
    with ProcessPoolExecutor(workers) as pool:
        done += _spread(pool, jobs, workers, lambda n: progress and progress(n, len(files)))
        named = {name for _, names in done for name in names}
        alone = [
            f for f, kind in files.items() if kind != JOB and (kind == ASKED or f not in named)
        ]
        skipped = len(files) - len(alone)
        done += _spread(
            pool, alone, workers, lambda n: progress and progress(skipped + n, len(files))
        )
    reports = [report for report, _ in done]
    texts = {shown: text for report in reports for shown, text in sorted(report.texts.items())}
    told = ordered([*findings, *(f for report in reports for f in report.findings)])
    return Report(
        tuple(j for r in reports for j in r.jobs),
        tuple(told),
        texts,
        tuple(o for r in reports for o in r.others),
        not_ours=found.not_ours,
    )


def _spread(
    pool: Executor, files: Sequence[str], workers: int, tell: Callable[[int], object]
) -> list[Part]:
    """Every portion's report in the order of the files, however the workers finish."""
    waiting: dict[Future[Part], int] = {
        pool.submit(_portion, p): len(p) for p in _portions(files, workers)
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
    size = max(1, min(MOST_AT_ONCE, -(-len(files) // (workers * 4))))
    for start in range(0, len(files), size):
        yield tuple(files[start : start + size])


def _portion(files: tuple[str, ...]) -> Part:
    """One portion checked; what travels back is small: no graphs, only texts with findings."""
    report = check(files)
    named = {e.pinout.path for c in report.jobs if c.job for e in c.job.ends.values()}
    named |= {n.path for c in report.jobs if c.job for n in c.job.notebooks}
    shown = {f.place.path for f in report.findings if f.place}
    texts = {name: text for name, text in report.texts.items() if name in shown}
    jobs = tuple(replace(c, job=None, harness=None) for c in report.jobs)
    return Report(jobs, report.findings, texts, report.others), tuple(sorted(named))
