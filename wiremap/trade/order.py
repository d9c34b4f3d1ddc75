"""What the order of a wording's words tells: of two nouns one is the thing, the other says which.

Of an English pair the last is the thing: a lamp return is a return, a return valve a valve.  Other
languages, and lists, put the thing first (`return, lamp`).  So `return` before `valve` is read as
saying which, since it is marked as an adjunct in the table; `minus`, which is not, is the thing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Protocol

from wiremap.trade.names import Term

_WAYS = frozenset({"supply", "feed", "return", "ground", "minus", "common"})
_POSITIVE = frozenset({"supply", "feed"})
_THINGS = frozenset({"load", "measure"})
_SWITCHES = frozenset({"switch", "digital-input"})
_THROUGH = frozenset({"via", "by", "controlled", "through"})


class Stretch(Protocol):
    """Words of a wording, and what the tables say of them."""

    @property
    def words(self) -> str:
        """The words themselves."""

    @property
    def terms(self) -> tuple[Term, ...]:
        """The terms that explain them."""

    @property
    def ideas(self) -> frozenset[str]:
        """The ideas that they give."""

    @property
    def silent(self) -> bool:
        """Whether they say nothing."""


def by_order(stretches: Sequence[Stretch]) -> frozenset[str]:
    """The ideas that the order of the words gives, for the rules of `names.toml`.

    `adjunct`: a word that only says which stands right before a load or a measure.  `headed`: the
    wording names the supply or return of a switch.  `strange`: a supply stands beside a word that
    no table knows.  `live`: volts with a plus before them.
    """
    if len(stretches) < 2:
        return frozenset()
    return frozenset(_ideas(stretches))


def _ideas(stretches: Sequence[Stretch]) -> Iterator[str]:
    if any("volts" in each.ideas and each.words.startswith("+") for each in stretches):
        yield "live"
    for one, two in pairwise(stretches):
        adjunct = any(term.adjunct for term in one.terms)
        if adjunct and two.ideas & _THINGS:
            yield "adjunct"
        if one.ideas & _SWITCHES and two.ideas & _WAYS:
            yield "headed"
        if one.ideas & _WAYS and two.ideas & _SWITCHES and not adjunct:
            yield "headed"
        for known, other in ((one, two), (two, one)):
            if known.ideas & _POSITIVE and not other.terms:
                yield "strange"
    if _headed_far(stretches):
        yield "headed"


def _headed_far(stretches: Sequence[Stretch]) -> bool:
    """Whether a supply or return stands before a switch with only silent words between (`supply for
    door switch`): none of them says that the supply comes through the switch.
    """
    way = far = False
    for stretch in stretches:
        if stretch.ideas & _WAYS:
            way, far = True, False
        elif way and stretch.ideas & _SWITCHES:
            return far
        elif not stretch.silent or stretch.words in _THROUGH:
            way = False
        else:
            far = True
    return False
