"""Ohms that are read once the wires are cut: kept as readings of the survey, under their state."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum

from wiremap.evidence.expected import Quantity
from wiremap.evidence.meter import DEAD_VOLTS, says
from wiremap.evidence.reading_spot import probes_at, spot_of
from wiremap.model import Entry, EntryKind, Job, Side, Span
from wiremap.survey.rows import Survey

AFTER_CUT = "after the cut"
BOLTED = "bolted"
OWN_FACE = "at its own face"
_MATED = " mated"  # behind the name of an in-line unit
_FOR_GOOD = " mated for good"
ANY_OHMS = Span(0.0, math.inf)


class LaterVerdict(StrEnum):
    """What the last reading between two points says."""

    LEFT = "left"  # nobody has read it yet
    LIVE = "live"  # volts stood there: no ohms count
    FITS = "fits"
    WRONG = "wrong"


@dataclass(frozen=True, slots=True, kw_only=True)
class LaterReading:
    """Ohms between two points after the cut, in a state, within a band where one is known.

    `as_before` are the two points of the old plug between which the same was read.
    """

    red: str
    black: str
    state: str | None = None
    low: float | None = None
    high: float | None = None
    as_before: tuple[str, str] | None = None

    @property
    def band(self) -> Span:
        """What the display may show; any ohms at all where nobody can say."""
        if self.low is None:
            return ANY_OHMS
        return Span(self.low, math.inf if self.high is None else self.high)

    @property
    def points(self) -> frozenset[str]:
        """Both points, whichever probe is on which."""
        return probes_at((self.red, self.black))

    def entries(self, entries: Iterable[Entry]) -> list[Entry]:
        """Every entry that reads this, in its order."""
        spot = (self.points, Quantity.OHMS, None, self.state)
        kept = [entry for entry in entries if entry.kind == EntryKind.SURVEY and entry.red]
        return [entry for entry in kept if spot_of(entry) == spot]

    def verdict(self, entries: Iterable[Entry]) -> LaterVerdict:
        """What the last of these entries says."""
        found = self.entries(entries)
        if not found:
            return LaterVerdict.LEFT
        *_, last = found
        if last.volts is not None and abs(last.volts) > DEAD_VOLTS:
            return LaterVerdict.LIVE
        shown = last.ohms or says(last)
        if shown is None:
            return LaterVerdict.LEFT
        return LaterVerdict.FITS if shown.overlaps(self.band) else LaterVerdict.WRONG


def mated(unit: str) -> str:
    """The state in which an in-line unit is mated for a reading."""
    return f"{unit}{_MATED}"


def mated_for_good(unit: str) -> str:
    """The state in which an in-line unit is mated at first power, the battery off again."""
    return f"{unit}{_FOR_GOOD}"


def later_states(job: Job) -> list[str]:
    """Every state in which something is read after the cut, as a line names it."""
    units = [end.name for end in job.ends.values() if end.side == Side.BETWEEN]
    return [AFTER_CUT, BOLTED, OWN_FACE, *map(mated, units), *map(mated_for_good, units)]


def is_later(entry: Entry) -> bool:
    """Whether an entry was read in one of these states."""
    named = entry.state in (AFTER_CUT, BOLTED, OWN_FACE)
    of_unit = is_read_mated(entry) or is_read_mated_for_good(entry)
    return entry.kind == EntryKind.SURVEY and (named or of_unit)


def is_read_mated(entry: Entry) -> bool:
    """Whether an in-line unit was mated for a reading."""
    return (entry.state or "").endswith(_MATED)


def is_read_mated_for_good(entry: Entry) -> bool:
    """Whether an in-line unit was mated at first power when this was read."""
    return (entry.state or "").endswith(_FOR_GOOD)


def as_before_ohms(survey: Survey) -> Iterator[LaterReading]:
    """The ohms that must be seen at the new faces as they were at the old plug."""
    for again in survey.as_before:
        if again.quantity == Quantity.OHMS:
            red, black = again.after
            yield LaterReading(
                red=red, black=black, low=again.low, high=again.high, as_before=again.before
            )
