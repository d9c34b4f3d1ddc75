"""What the order of a wording's words tells: of two nouns one is the thing, the other says which.

Of an English pair the last is the thing (a lamp return is a return, a return valve a valve); where
a language or a list puts the thing first, only words that are never an adjunct are taken so.
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
    """The ideas `adjunct`, `headed` and `strange`, as far as the order of the words gives them."""
    if len(stretches) < 2:
        return frozenset()
    return frozenset(_ideas(stretches))


def _ideas(stretches: Sequence[Stretch]) -> Iterator[str]:
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
    """Whether it reads as the supply `for` a switch, with none between but silent words and those
    that a way goes through.
    """
    way = False
    between = 0
    for stretch in stretches:
        if stretch.ideas & _WAYS:
            way = True
            between = 0
        elif way and stretch.ideas & _SWITCHES:
            return between > 0
        elif not stretch.silent or stretch.words in _THROUGH:
            way = False
        else:
            between += 1
    return False
