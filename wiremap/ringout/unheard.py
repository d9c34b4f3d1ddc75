"""What would not show at contacts that are only read silent, counted without making it.

There are many of them where stops hold the joints: no beep is asked for.  A wire that comes into
another circuit shows at such a contact only if it beeps where silence belongs.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.swap import is_as_drawn
from wiremap.ringout.finder import Finder


@dataclass(frozen=True, slots=True)
class Unheard:
    """A quiet contact, those that it may be exchanged with, and the nets its wire may lie in.

    None of these would show.
    """

    point: str
    seats: tuple[str, ...] = ()
    nets: tuple[int, ...] = ()


class Quiet:
    """The quiet contacts of a harness, and the nets in which the wire of each would beep."""

    def __init__(self, drawn: Drawn, finder: Finder, points: Iterable[str]) -> None:
        self.drawn, self.finder = drawn, finder
        self.sounds_in = {point: finder.sounds_in(point) for point in points}

    def laid(self, wire: str, nets: Iterable[int]) -> Unheard:
        """Of these nets, none of which a tie ends at, those where the wire would stay unheard."""
        sounds = self.sounds_in[wire]
        return Unheard(wire, nets=tuple(n for n in nets if n not in sounds))

    def exchanged(self, seats: Sequence[str]) -> Iterator[Unheard]:
        """The quiet contacts of one end: those that stay unheard in each other's seats."""
        for place, one in enumerate(seats, 1):
            others = tuple(two for two in seats[place:] if self._stays(one, two))
            if others:
                yield Unheard(one, seats=others)

    def _stays(self, one: str, two: str) -> bool:
        if is_as_drawn(self.drawn, one, two):
            return False
        return not self._beeps(one, two) and not self._beeps(two, one)

    def _beeps(self, point: str, left: str) -> bool:
        """Whether a contact beeps in the net of another which leaves that net for it."""
        net = self.drawn.net_of[left]
        if net not in self.sounds_in[point]:
            return False
        others = (a for a in self.drawn.members[net] if a != left)
        return self.finder.shows_move(point, others)
