"""A reading as builds are weighed against it: its points, and whether a short or an open fits it.

Sets of readings are numbers, bit k standing for reading k.
"""

from __future__ import annotations

from collections.abc import Set
from typing import NamedTuple

from wiremap.mistakes.beeper import Beeper
from wiremap.mistakes.build import SHORT, Build
from wiremap.mistakes.comb import Comb
from wiremap.mistakes.drawn import Drawn
from wiremap.model import OPEN
from wiremap.ringout.taken import Taken


class Plain(NamedTuple):
    """A reading between two points alone, and whether a short or an open would fit it."""

    a: str
    b: str
    short: bool
    open: bool


class CombRead(NamedTuple):
    """A reading between combs, and whether a short or an open would fit it."""

    red: tuple[str, ...]
    black: Comb
    short: bool
    open: bool

    def nets(self, build: Build) -> Set[int]:
        """The nets as built under the black probe."""
        return self.black.as_built(build.moved, build.merged)


def plain_of(taken: Taken, beeper: Beeper) -> Plain | None:
    """A reading between two points alone; None for combs, fuses and diodes."""
    if not taken.is_alone or taken.state or (taken.diode_range and taken.entry.ohms is None):
        return None
    return Plain(
        taken.red[0],
        taken.black[0],
        beeper.fits(taken.entry, SHORT),
        beeper.fits(taken.entry, OPEN),
    )


def comb_read(taken: Taken, drawn: Drawn) -> CombRead | None:
    """A reading of a comb with nothing else about it."""
    if taken.is_alone or taken.state or taken.diode_range:
        return None
    fits = drawn.beeper.fits
    return CombRead(
        taken.red, drawn.comb(taken.black), fits(taken.entry, SHORT), fits(taken.entry, OPEN)
    )
