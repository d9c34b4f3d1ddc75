"""One ring-out reading with what it says, a reading that no longer counts, and a repair."""

from __future__ import annotations

from dataclasses import dataclass

from wiremap.evidence import is_silent
from wiremap.mistakes.expectation import Shows
from wiremap.model import Entry, Seen, State, split
from wiremap.model.quantities import read_ohms

DIODE_RANGE = "diode range"  # the state of a reading that was taken in it
NEVER = -1  # before the first entry


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """One reading that counts: the last of its kind at these points, and how often it was seen so.

    `agrees` is None where it proves nothing (silence where ohms were asked for, or well only once
    after it was wrong).
    """

    entry: Entry
    at: int = NEVER  # its place among all entries
    times: int = 1
    diode_range: bool
    state: State  # what was so for this reading alone
    agrees: bool | None = None  # whether it is as drawn
    before: Entry | None = None  # what was wrong here, until it has read well twice in a row
    was_well: bool = False  # it had read well before it was wrong
    unsure: bool  # somebody was not sure of it, then or when it was taken again
    on_hold: bool = False  # it is as it must be while a joint or part on hold is not there

    @property
    def red(self) -> tuple[str, ...]:
        """The points under the red probe."""
        return self.entry.red

    @property
    def black(self) -> tuple[str, ...]:
        """The points under the black probe."""
        return self.entry.black

    @property
    def points(self) -> tuple[str, ...]:
        """Every point under a probe."""
        return (*self.red, *self.black)

    @property
    def is_alone(self) -> bool:
        """Whether it stands between two points, no comb."""
        return len(self.red) == len(self.black) == 1

    @property
    def is_quiet(self) -> bool:
        """Whether a wire off its crimp would have read so too."""
        return is_silent(self.entry) or self.entry.seen == Seen.SILENT

    @property
    def wavers(self) -> bool:
        """Whether it is good now and was wrong before: a wire that comes and goes does so too."""
        return self.before is not None and self.agrees is not False

    @property
    def unit(self) -> Shows:
        """What was read: a beep or silence, ohms, or a diode's drop."""
        if self.diode_range:
            return Shows.DIODE
        return Shows.BEEP if self.entry.ohms is None else Shows.OHMS

    @property
    def told(self) -> str:
        """The reading in words."""
        state = f" ({self.state})" if self.state else ""
        return f"{'+'.join(self.red)} to {'+'.join(self.black)}{state}: {seen(self.entry)}"

    def as_dict(self) -> dict[str, object]:
        """The reading as plain data."""
        return {"red": list(self.red), "black": list(self.black), "seen": seen(self.entry)}


@dataclass(frozen=True, slots=True)
class Stale:
    """A reading that no longer counts, and what was changed."""

    entry: Entry
    why: str


@dataclass(frozen=True, slots=True)
class Repair:
    """What was mended, where it stands among the entries, and every net that it touched."""

    entry: Entry
    at: int
    nets: frozenset[int]


@dataclass(frozen=True, slots=True)
class Cure:
    """A wrong reading, and the one at the same points that replaced it: well after a repair, or
    well for the second time in a row.
    """

    wrong: Entry
    well: Taken


def seen(entry: Entry) -> str:
    """What the display did."""
    if entry.ohms is not None:
        return read_ohms(entry.ohms)
    if entry.seen:
        return entry.seen
    return "nothing noted" if entry.volts is None else f"{entry.volts:g} V"


def owner(point: str) -> str:
    """The end or extra of a point."""
    return split(point)[0]
