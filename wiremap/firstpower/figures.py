"""Whether a figure read at first power is good, and whether one before it was."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from wiremap.evidence.meter import DEAD_VOLTS
from wiremap.firstpower.answering import figure_of
from wiremap.firstpower.bus_pair import CROSSED
from wiremap.firstpower.step import AMPS, PowerStage, PowerStep
from wiremap.model import Entry, Span
from wiremap.survey.loaded import FILE
from wiremap.trade.tables import figure

LIVE_VOLTS = figure(FILE, "row", "live")
COMES_AND_GOES = (
    "right since, with nothing mended: it comes and goes; find it and say what was mended, or "
    "strike the reading out"
)


class Wrong(NamedTuple):
    """A step whose figure is bad, and why."""

    step: PowerStep
    value: float
    why: str


@dataclass(frozen=True, slots=True)
class Figures:
    """Judges figures of first power.

    `seen` is the last figure of each step by its number, `lows` by the number of the reading of a
    bus's high wire the like reading of its low one.
    """

    asked: tuple[PowerStep, ...]
    seen: Mapping[int, float]
    lows: Mapping[int, PowerStep]

    def why(self, step: PowerStep, value: float | None) -> str | None:
        """Why a figure of a step is bad, empty if in order; None while nothing can be said."""
        if value is None:
            return None
        if step.quantity == AMPS:
            return self._drawn(step, value)
        if step.low is None or step.high is None:
            return None
        if not step.low <= value <= step.high:
            return _wrong(step, Span(step.low, step.high), value)
        return self._crossed(step, value)

    def was_wrong(self, step: PowerStep, before: Iterable[Entry]) -> Wrong | None:
        """The last figure before that was wrong, though nothing was mended; None if none was."""
        last = None
        for entry in before:
            value = figure_of(entry, step)
            why = self.why(step, value)
            if why:
                last = Wrong(step, value, f"{why}; {COMES_AND_GOES}")
        return last

    def _crossed(self, high: PowerStep, value: float) -> str:
        """Why the level of a high leg is wrong beside that of its low one; empty if right."""
        low = self.lows.get(high.n)
        beside = None if low is None else self.seen.get(low.n)
        if low is None or beside is None or value >= beside - DEAD_VOLTS:
            return ""
        return f"{value:g} V {CROSSED.format(low=f'the {beside:g} V of {low.red}')}"

    def _drawn(self, step: PowerStep, amps: float) -> str | None:
        """Why a current is wrong, empty if it is right; None where the one before was not read."""
        if step.high is None:
            return ""
        if amps == 0:
            return (
                "nothing flows: the meter's range is too coarse or its own fuse blown, "
                "else feed or ground is open"
            )
        most = f"{step.high:g} A is the most that belongs here; {step.why}"
        if step.stage is not PowerStage.SLEEP:
            return "" if amps <= step.high else f"too much flows: {amps:.4g} A, {most}"
        draws = (s for s in self.asked if s.quantity == AMPS and s.stage is PowerStage.LAMP)
        before = next((self.seen.get(s.n) for s in draws), None)
        if before is None:
            return None
        more = round(amps - before, 9)
        if more <= step.high:
            return ""
        return f"too much flows: {more:.4g} A more than the {before:g} A before, {most}"


def _wrong(step: PowerStep, band: Span, value: float) -> str:
    """Why a reading outside its limits is bad; above those of a feed it is no open joint."""
    if band.low > LIVE_VOLTS and value > band.high:
        most = f"{band.high:g} V is the most that belongs here"
        return f"{value:g} V, {most}: too many volts, do not mate"
    return step.why or f"{value:g} V where {band.low:g} to {band.high:g} V belong"
