"""The sizes of a job, worked out once for all rules that ask."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.rules.view import View
from wiremap.sizing.feed_parts import Feed, FuseSize
from wiremap.sizing.job import JobSizes, size_job

GUIDE = "common practice: what is not known is asked for"


def sizes(view: View) -> JobSizes:
    """Everything that could be sized of the job in view."""
    return view.once(_sizes)


def _sizes(view: View) -> JobSizes:
    return size_job(view.harness)


def fuses(view: View) -> Iterator[tuple[Feed | FuseSize, str, str, float | None]]:
    """Every fuse that matters, the upstream ones first: what was worked out, its subject, its name, its rating."""
    for feed in sizes(view).feeds:
        name = feed.fed.fuse if feed.fed and feed.fed.fuse else f"the fuse before {feed.address}"
        yield feed, feed.address, name, feed.fuse_amps
    for fuse in sizes(view).fuses.values():
        yield fuse, fuse.name, fuse.name, fuse.amps
