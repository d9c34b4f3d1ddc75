"""What a fuse is to carry with all outputs on, and what it carries for hours where it sits."""

from __future__ import annotations

import math
from collections.abc import Iterator

from wiremap.ringout.fuses import Fuse
from wiremap.sizing.feed_parts import Judged
from wiremap.sizing.fuse_limits import FILE, asked_amps
from wiremap.sizing.job_sizes import JobSizes
from wiremap.sizing.sized import source_title

SOURCE = f"what a fuse carries for hours where it sits: {source_title(FILE, 'protection-terms')}"


def carried_amps(fuse: Fuse, sizes: JobSizes) -> float | None:
    """What a fuse of a stated rating carries continuously [A], rounded down to hundredths.

    None if no rating is stated.  Where nothing tells how warm it sits, the ambient counts.
    """
    if fuse.amps is None:
        return None
    warm = (each.case.fuse_at_C for each in _judged(fuse, sizes))
    rating_for_one_amp = asked_amps(1.0, max(warm, default=sizes.ambient_C))
    return math.floor(round(fuse.amps / rating_for_one_amp * 100, 6)) / 100


def expected_amps(fuse: Fuse, sizes: JobSizes) -> float | None:
    """What all loads behind a fuse draw together by what is stated [A]; None if one is not."""
    if fuse.own:
        sized = sizes.fuses.get(fuse.name)
        loads = [each.case.load_amps for each in sized.judged] if sized else []
        known = [load for load in loads if load is not None]
        return max(known) if known and len(known) == len(loads) else None
    feeds = [feed for feed in sizes.feeds if feed.address in fuse.feeds]
    drawn = [feed.load_amps for feed in feeds if feed.load_amps is not None and not feed.undrawn]
    return sum(drawn) if drawn and len(drawn) == len(fuse.feeds) else None


def _judged(fuse: Fuse, sizes: JobSizes) -> Iterator[Judged]:
    """The cases in which wires behind a fuse were judged."""
    if fuse.name in sizes.fuses:
        yield from sizes.fuses[fuse.name].judged
    for feed in sizes.feeds:
        if feed.address in fuse.feeds:
            yield from feed.judged
