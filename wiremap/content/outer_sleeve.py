"""What goes over all joints of a run, and where it waits until they are made."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from wiremap.content.given import Given
from wiremap.content.joint_work import sleeve_mm
from wiremap.content.reaches import leaving
from wiremap.content.words import number
from wiremap.sizing.outer import most_shortened, outer_mm
from wiremap.sizing.placing import RunLayout


@dataclass(frozen=True, slots=True, kw_only=True)
class OuterSleeve:
    """The sleeve over one run: what it passes, how long it is, where it waits [mm].

    `left_at_mm` are the places at which new wires leave the run between its joints.  No tube can be
    slid over those: it is wrapped round at the end instead (common practice).
    """

    run: str
    thick_mm: float
    long_mm: float
    cut_mm: float  # that it is so long once shrunk, whatever its kind
    left_at_mm: tuple[float, ...]
    parked: str

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
        long_mm = math.ceil(max(at) - min(at) + max(sleeves, default=0.0))
        cut_mm = math.ceil(round(long_mm / (1 - most_shortened()), 6))
        left = sorted({each.at_mm for each in leaving(given, run).values()})
        yield OuterSleeve(
            run=run.run,
            thick_mm=math.ceil(outer_mm(given.harness, run)),
            long_mm=long_mm,
            cut_mm=cut_mm,
            left_at_mm=tuple(left),
            parked=_parked(run, min(at), cut_mm),
        )


def _parked(run: RunLayout, first_mm: float, cut_mm: float) -> str:
    """On the unit's tail where that has room behind its longest cut, else on the machine's loom."""
    free = run.window.unit_tail_mm - (run.window.run_mm - first_mm)
    if free >= cut_mm:
        return f"over the free end of {run.unit}, pushed up to its plug"
    return (
        f"onto {run.machine}, pushed back past its last tie, which is opened for it: "
        f"{number(cut_mm)} mm, and none of it over the joints' places"
    )
