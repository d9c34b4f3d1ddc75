"""A reading as builds are weighed against it: its points, and whether a short or an open fits it.

Sets of readings are numbers, bit k standing for reading k.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set
from typing import NamedTuple

from wiremap.mistakes.beeper import Beeper
from wiremap.mistakes.build import SHORT, Build
from wiremap.mistakes.drawn import Drawn
from wiremap.model import OPEN
from wiremap.ringout.readings import Taken


def bits(mask: int) -> Iterator[int]:
    """The places of the ones of a number, lowest first."""
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low


class Plain(NamedTuple):
    """A reading between two points alone, and whether a short or an open would fit it."""

    a: str
    b: str
    short: bool
    open: bool


class Comb(NamedTuple):
    """A reading between combs, and whether a short or an open would fit it.

    `by_net` has the black points of each net as drawn, `as_drawn` these nets.
    """

    red: tuple[str, ...]
    black: frozenset[str]
    by_net: Mapping[int, Sequence[str]]
    as_drawn: frozenset[int]
    short: bool
    open: bool

    def nets(self, build: Build) -> Set[int]:
        """The nets as built under the black probe; looks at what moved alone."""
        moved, merged = build.moved, build.merged
        if len(moved) > len(self.black):
            return {build.net(a) for a in self.black}
        here = [a for a in moved if a in self.black]
        nets: Set[int] = self.as_drawn
        if here:
            stays = {n for n, points in self.by_net.items() if any(a not in moved for a in points)}
            nets = stays.union(moved[a] for a in here)
        if merged.keys().isdisjoint(nets):
            return nets
        return {merged.get(n, n) for n in nets}


def plain_of(t: Taken, beeper: Beeper) -> Plain | None:
    """A reading between two points alone; None for combs, fuses and diodes."""
    if not t.is_alone or t.state or (t.diode_range and t.entry.ohms is None):
        return None
    return Plain(t.red[0], t.black[0], beeper.fits(t.entry, SHORT), beeper.fits(t.entry, OPEN))


def comb_of(t: Taken, drawn: Drawn) -> Comb | None:
    """A reading of a comb with nothing else about it."""
    if t.is_alone or t.state or t.diode_range:
        return None
    by_net: dict[int, list[str]] = {}
    for a in t.black:
        by_net.setdefault(drawn.net_of[a], []).append(a)
    fits = drawn.beeper.fits
    short, open_ = fits(t.entry, SHORT), fits(t.entry, OPEN)
    return Comb(t.red, frozenset(t.black), by_net, frozenset(by_net), short, open_)
