"""Small quantities that files speak of: a span of volts, a band of ohms, a wire."""

from __future__ import annotations

import math
from dataclasses import KW_ONLY, dataclass
from typing import TYPE_CHECKING

from wiremap.model.words import Wall

if TYPE_CHECKING:
    from wiremap.trade.colours import Colour


@dataclass(frozen=True, slots=True, order=True)
class Span:
    """A closed range of one quantity, `low` <= `high`; a single value has both alike."""

    low: float
    high: float

    def __post_init__(self) -> None:
        if math.isnan(self.low) or math.isnan(self.high) or self.low > self.high:
            raise ValueError(f"a span runs from low to high (got {self.low!r} to {self.high!r})")

    @classmethod
    def of(cls, value: float) -> Span:
        """The span of one exact value."""
        return cls(value, value)

    @property
    def exact(self) -> bool:
        """Whether both ends are the same value."""
        return self.low == self.high

    @property
    def most(self) -> float:
        """The end that lies farther from zero, without its sign."""
        return max(-self.low, self.high)

    def overlaps(self, other: Span) -> bool:
        """Whether the two ranges have a value in common."""
        return self.low <= other.high and other.low <= self.high

    def __str__(self) -> str:
        if self.exact:
            return _plain_or_open(self.low)
        return f"{_plain_or_open(self.low)} to {_plain_or_open(self.high)}"


OPEN = Span(math.inf, math.inf)  # ohms: no connection at all


def plain(value: float) -> str:
    """A figure to six digits as people write it, never with an exponent: 4700, 1000000, 0.00002."""
    text = f"{value:g}"
    if "e" not in text:
        return text
    return f"{value:.0f}" if abs(value) >= 1 else f"{value:.12f}".rstrip("0")


def band_ohms(low: float, high: float) -> str:
    """A band of ohms to three digits: `6.75 to 8.75 ohm`, `10500 ohm or more`."""
    first, last = (plain(float(f"{x:.3g}")) for x in (low, high))
    if math.isinf(high):
        return f"{first} ohm or more"
    return f"{first} ohm" if first == last else f"{first} to {last} ohm"


def read_ohms(ohms: Span) -> str:
    """Ohms that were read, to three digits as a meter shows them: `1.23 ohm`, `open`."""
    return "open" if ohms == OPEN else band_ohms(ohms.low, ohms.high)


def _plain_or_open(value: float) -> str:
    return "open" if math.isinf(value) else plain(value)


@dataclass(frozen=True, slots=True)
class Wire:
    """A conductor as a file words it: `0.5 GN/WH`, `0.5? RD`, `GN`, `0.5 bare`, `20 AWG RD`.

    `csa_mm2` is None while the size is unknown; `doubtful` marks a size written with a question
    mark; `gauge` keeps the gauge as written (`20 AWG`), `wall` is thin, thick or None.
    """

    written: str
    csa_mm2: float | None = None
    _: KW_ONLY
    colour: Colour | None = None
    doubtful: bool = False
    bare: bool = False
    tinned: bool = False
    gauge: str | None = None
    wall: Wall | None = None
    outside_mm: float | None = None
