"""What goes over all joints of a run, and where it waits until they are made."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from wiremap.content.given import Given
from wiremap.content.joint_sleeves import sleeve_mm
from wiremap.content.reaches import run_exits
from wiremap.content.words import number
from wiremap.sizing.outer import most_shortened, outer_mm
from wiremap.sizing.placing import RunLayout


@dataclass(frozen=True, slots=True, kw_only=True)
class OuterSleeve:
    """The sleeve over all joints of one run.

    No tube can be slid over wires that leave the run between its joints, nor over a loom that is
    cut off wire by wire: it must wait on the unit's tail.  Where that has no room for it, a sleeve
    is wrapped round at the end (common practice).
    """

    run: str
    thick_mm: float  # what it must pass over
    long_mm: float  # once shrunk
    cut_mm: float  # so that it is so long once shrunk, whatever its kind
    left_at_mm: tuple[float, ...]  # where new wires leave the run between its joints
    waits: str  # the end over whose tail it waits; empty: it is wrapped round

    @property
    def left_words(self) -> str:
        """Where wires leave, in words."""
        return f"{' and '.join(number(round(mm)) for mm in self.left_at_mm)} mm"


def outer_sleeves(given: Given) -> Iterator[OuterSleeve]:
    """One for each run that has joints."""
    for run in given.runs:
        if run.layout is None or not run.layout.placed:
            continue
        at = [placed.at_mm for placed in run.layout.placed]
        sleeves = [sleeve_mm(given, placed.name) for placed in run.layout.placed]
        long_mm = math.ceil(max(at) - min(at) + max(sleeves))
        cut_mm = math.ceil(round(long_mm / (1 - most_shortened()), 6))
        left = sorted({each.at_mm for each in run_exits(given, run).values()})
        yield OuterSleeve(
            run=run.run,
            thick_mm=math.ceil(outer_mm(given.harness, run)),
            long_mm=long_mm,
            cut_mm=cut_mm,
            left_at_mm=tuple(left),
            waits="" if left else _waits(run, min(at), cut_mm),
        )


def _waits(run: RunLayout, first_mm: float, cut_mm: float) -> str:
    """The unit's tail, where that has room behind its longest cut."""
    free = run.window.unit_tail_mm - (run.window.run_mm - first_mm)
    return run.unit if free >= cut_mm else ""
