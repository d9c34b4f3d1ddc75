"""Resistors and diodes between a source and what it meets: watts, volts and amperes."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from wiremap.trade.tables import figure

FILE = "parts.toml"


@dataclass(frozen=True, slots=True)
class Stress:
    """What a part bears and what it is good for, in one unit; `rated` is None if not stated."""

    bears: float
    rated: float | None
    unit: str

    @property
    def over(self) -> bool:
        """Whether it bears more than it is good for; False where nobody states the latter."""
        return self.rated is not None and self.bears > self.rated

    @property
    def known(self) -> bool:
        """Whether it can be judged at all."""
        return self.rated is not None


def rule(name: str) -> float:
    """A figure of parts, in the unit of its row; raises KeyError."""
    return figure(FILE, "rules", name)


def resistor_watts(volts: float, ohms: float) -> float:
    """Watts in a resistor across a supply [W]: U2/R; infinite for none.

    Worked by hand, 12 V across 1 ohm:
    >>> resistor_watts(12, 1)
    144.0
    """
    return volts * volts / ohms if ohms > 0 else inf


def resistor_stress(volts: float, ohms: float, rated_watts: float | None) -> Stress:
    """Watts in a resistor [W] against the share of its rating that it may bear for ever [W].

    Half the rating is the common practice for a resistor in a sleeve.
    """
    rated = None if rated_watts is None else rated_watts * rule("resistor_share")
    return Stress(resistor_watts(volts, ohms), rated, "W")


def volts_behind(volts: float, ohms: float, to_ohms: float = inf) -> float:
    """Volts that reach an input through a resistor [V], `to_ohms` lying from there to ground.

    Into an input that draws nothing all of them: a resistor keeps no volts away.
    >>> volts_behind(12, 100), volts_behind(12, 100, 100)
    (12, 6.0)
    """
    if to_ohms == inf:
        return volts
    return volts * to_ohms / (ohms + to_ohms)


def amps_behind(volts: float, ohms: float, held_volts: float = 0.0) -> float:
    """Amperes that a resistor drives into a point held at some volts [A]: (U - U2)/R."""
    return (volts - held_volts) / ohms if ohms > 0 else inf


def diode_stress(amps: float, rated_amps: float | None) -> Stress:
    """Amperes through a diode against what it is good for [A]."""
    return Stress(amps, rated_amps, "A")


def diode_drop_volts() -> float:
    """Volts that a silicon diode in the way costs [V], the most expected."""
    return rule("diode_volts")
