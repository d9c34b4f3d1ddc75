"""One thing that a slip does: how bad it is, what kind of thing, in one plain sentence."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from enum import IntEnum

from wiremap.model import CHASSIS, Address
from wiremap.rules import View
from wiremap.rules.signals import Signal
from wiremap.trade.functions import called

GRADES = ("harm", "dead", "quiet", "none")


class Gravity(IntEnum):
    """How bad an effect is, the worst first; its words stand in GRADES."""

    HARM = 0  # something can break or move
    DEAD = 1  # it does not work and shows it
    QUIET = 2  # it works, but wrong or unprotected
    NONE = 3

    @property
    def words(self) -> str:
        """The grade as reports name it."""
        return GRADES[self]


@dataclass(frozen=True, slots=True)
class Effect:
    """One thing that goes wrong: how bad, what kind of thing, the sentence, the points in it.

    Points stand in the sentence as marks, which `alike.Outcomes` turns into names: so an effect
    that was worked out for one slip can be told of every like one.
    """

    grade: Gravity
    cause: str
    sentence: str
    points: tuple[str, ...] = ()


NOTHING = Effect(Gravity.NONE, "no change", "nothing changes")
RANK = {  # of causes, among effects of one grade
    "over-voltage": 0,
    "sources-joined": 0,
    "supply-to-ground": 1,
    "supply-on-signal": 2,
    "ground lost": 3,
    "guard": 3,
    "wrong load": 4,
}
LAST_RANK = 50  # of any other cause


def worst_first(view: View, effects: Iterable[Effect]) -> list[Effect]:
    """Effects by grade, then by kind; of one kind those with a supply behind them first."""

    def order(effect: Effect) -> tuple[int, int, bool, tuple[str, ...]]:
        rank = RANK.get(effect.cause, LAST_RANK)
        return effect.grade, rank, not _is_fed(view, effect), effect.points

    return sorted(effects, key=order)


def _is_fed(view: View, effect: Effect) -> bool:
    """Whether a supply stands behind an effect."""
    for point in effect.points:
        signal = view.signal(Address.read(point))
        if signal is not None and signal.row.electrical == "supply":
            return True
    return False


# -- the points of a sentence ---------------------------------------------------------------------

NAMED, BARE, END = "\x01", "\x02", "\x03"  # no text of a file holds control characters
MARK = re.compile(f"(?P<how>[{NAMED}{BARE}])(?P<at>[^{END}]*){END}")


def named(signal: Signal) -> str:
    """The mark of a signal that is told by its wording and its address."""
    return f"{NAMED}{signal.address}{END}"


def spot(address: str) -> str:
    """The mark of a point that is told by its address alone."""
    return f"{BARE}{address}{END}"


def words_for(view: View, address: str) -> str:
    """A point by its wording and its address."""
    if address == CHASSIS:
        return "the chassis"
    cavity = view.points[address].cavity
    words = cavity.signal if cavity else ""
    return f"{words} ({address})" if words else address


def voltage(signal: Signal) -> str:
    """The volts that a signal brings: `12 V`, or what its function calls them."""
    if signal.volts is None:
        return f"{called(signal.row.slug).replace('-', ' ')} voltage"
    return f"{signal.volts.high:g} V"
