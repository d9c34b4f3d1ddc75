"""One step of first power: one deed, or one reading."""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from enum import StrEnum
from typing import Any

from wiremap.entries.lines import MINUS, POSTS
from wiremap.firstpower.lamp import Lamp
from wiremap.model import CHASSIS, OnOff, Span, Stop

VOLTS, AMPS = "V", "A"
PLUGGED_AGAIN = "what was unplugged so that its lamp stayed dark is plugged in again"
# what a walk through the steps and the paper ask for, and the data of a plan leave out
ASKED_HERE = ("stop", "wait_minutes", "mates", "looks", "turns", "lamp", "fuse_lamps", "tries")


class PowerStage(StrEnum):
    """A stage of first power, in the order of work."""

    LOCK_OUT = "lock-out"  # nothing can move, what is fed apart is unplugged
    LAMP = "lamp"  # lamps stand in the place of fuses, the battery comes on
    VOLTS = "volts"  # read at the faces that are still unmated
    LOAD = "load"  # fuses in, a lamp over each feed
    IN_LINE = "in-line"  # the job's own fuses and in-line units
    MATE = "mate"  # plugs are mated
    WORK = "work"  # each output is tried by itself
    SLEEP = "sleep"  # all off, the current at rest


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerStep:
    """One deed, or one reading.

    `quantity` is `V` or `A` where a figure is written down and empty for a deed; the probes of a
    reading stand in `red` and `black` (those of the ammeter for amps), and `low` to `high` is what
    belongs there (None: nobody can say, write it down); `state` is what a notebook entry must name
    beside the key to speak of this reading; `source` is where the limits come from.  `stop` is the
    one that two people pass before it, `wait_minutes` how long it may take till it can be read.
    """

    n: int = 0  # its number in the plan, from 1; 0 before all steps are in order
    stage: PowerStage
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
    turns: OnOff | None = None  # how a deed leaves the ignition
    lamp: Lamp | None = None  # the lamp that it puts somewhere
    fuse_lamps: int = 0  # lamps that it puts in the place of fuses; below 0: takes out again
    tries: str = ""  # the unit's contact whose load is tried by itself

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
    def is_loss(self) -> bool:
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
        return self.is_loss and (black, red) == (self.red, self.black)

    def within(self, span: Span | None) -> PowerStep:
        """The step with the limits of a band; None where nobody can say."""
        if span is None:
            return replace(self, low=None, high=None)
        return replace(self, low=span.low, high=span.high)

    def as_dict(self) -> dict[str, Any]:
        """The step as plain data; what only a walk or the paper asks for is left out."""
        out = asdict(self)
        return {key: value for key, value in out.items() if key not in ASKED_HERE}


def deed(stage: PowerStage, do: str, why: str = "") -> PowerStep:
    """A step at which nothing is read."""
    return PowerStep(stage=stage, do=do, why=why)


def turned(stage: PowerStage, key: OnOff, do: str, why: str = "") -> PowerStep:
    """A deed that leaves the ignition on or off, in words that say so."""
    return replace(deed(stage, do, why), turns=key)


def lamp_in(stage: PowerStage, lamp: Lamp, place: str) -> PowerStep:
    """A deed that puts a lamp in the place of a fuse, where a short shall not burn a wire."""
    return replace(deed(stage, f"{lamp} {place}"), lamp=lamp, fuse_lamps=1)


def lamp_out(stage: PowerStage, then: str) -> PowerStep:
    """A deed that takes the lamp in a fuse's place out and puts the fuse in."""
    return replace(deed(stage, f"lamp out, {then}"), fuse_lamps=-1)


def look(stage: PowerStage, do: str, why: str = "") -> PowerStep:
    """A deed at which eyes tell whether the work is right: a lamp burns, one valve moves."""
    return PowerStep(stage=stage, do=do, why=why, looks=True)
