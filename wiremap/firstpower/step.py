"""One step of first power: one deed, or one reading."""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from typing import Any

from wiremap.entries.lines import MINUS, POSTS
from wiremap.model import CHASSIS, OnOff, Span, Stop

STAGES = ("lock-out", "lamp", "volts", "load", "in-line", "mate", "work", "sleep")
VOLTS, AMPS = "V", "A"
WALKED = ("stop", "wait_minutes", "mates", "looks")


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerStep:
    """One deed, or one reading.

    `quantity` is `V` or `A` where a figure is written down and empty for a deed; the probes of a
    reading stand in `red` and `black` (those of the ammeter for amps), and `low` to `high` is what
    belongs there (None: nobody can say, write it down); `state` is what a notebook entry must name
    beside the key to speak of this reading; `source` is where the limits come from.  `stop` is the
    one that two people pass before it, `wait_minutes` how long it may take till it can be read.
    """

    n: int = 0
    stage: str
    do: str
    red: str | None = None
    black: str | None = None
    key: OnOff | None = None
    low: float | None = None
    high: float | None = None
    why: str = ""
    quantity: str = ""
    state: str | None = None
    source: str = ""
    stop: Stop | None = None
    wait_minutes: int = 0
    mates: str = ""  # the end that this deed mates
    looks: bool = False  # a deed at which eyes tell whether the work is right

    @property
    def blank(self) -> str:
        """The unit to print beside a line to write on; empty for a deed."""
        return self.quantity

    @property
    def when(self) -> str:
        """The ignition and the state in which the reading is taken."""
        words = [f"ignition {self.key}"] if self.key else []
        return ", ".join([*words, self.state] if self.state else words)

    @property
    def label(self) -> str:
        """Which reading this is: its number, its probes, how the machine stands."""
        where = f"{self.n}. {self.red} to {self.black}"
        return f"{where}, {self.when}" if self.when else where

    @property
    def lost(self) -> bool:
        """Whether volts lost on the way are read: they count without their sign."""
        return self.quantity == VOLTS and self.black in POSTS

    def at(self, red: str, black: str | None) -> bool:
        """Whether a reading between these points is this one's.

        A black probe that is not named stands where it belongs.
        """
        if self.black == CHASSIS and self.quantity == VOLTS and black == MINUS:
            black = CHASSIS
        if (red, black or self.black) == (self.red, self.black):
            return True
        return self.lost and (black, red) == (self.red, self.black)

    def within(self, span: Span | None) -> PowerStep:
        """The step with the limits of a band; None where nobody can say."""
        if span is None:
            return replace(self, low=None, high=None)
        return replace(self, low=span.low, high=span.high)

    def as_dict(self) -> dict[str, Any]:
        """The step as plain data; what only a walk through the steps asks for is left out."""
        out = asdict(self)
        return {key: value for key, value in out.items() if key not in WALKED}


def deed(
    stage: str, do: str, why: str = "", *, stop: Stop | None = None, wait_minutes: int = 0
) -> PowerStep:
    """A step at which nothing is read."""
    return PowerStep(stage=stage, do=do, why=why, stop=stop, wait_minutes=wait_minutes)


def look(stage: str, do: str, why: str = "") -> PowerStep:
    """A deed at which eyes tell whether the work is right: a lamp burns, one valve moves."""
    return PowerStep(stage=stage, do=do, why=why, looks=True)
