"""Which return a sensor, or the supply of some, comes back by: what the paper says of it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from wiremap.evidence.expected import refused
from wiremap.model import Cavity, End

_WORD = re.compile(r"[^\W_]+")


class OwnReturn(NamedTuple):
    """A return, and whether the paper tells that it is the one."""

    name: str
    told: bool


def own_return(end: End, cavity: Cavity) -> OwnReturn | None:
    """The return of a contact at one connector; None where there is no return.

    That is the return that names the contact as served, else the only one that names nothing, else
    the one whose name has most words of the contact's own, as "supply B" and "return B" have
    (common practice).  Otherwise the first stands for all, and the paper does not tell.
    """
    returns = [c for c in end.pinout.cavities.values() if _is_return(c)]
    if not returns:
        return None
    named = [c.name for c in returns if cavity.name in c.serves]
    if named:
        return OwnReturn(named[0], told=True)
    free = [c for c in returns if not c.serves]
    if len(free) == 1:
        return OwnReturn(free[0].name, told=True)
    return _by_words(cavity, free) or OwnReturn((free or returns)[0].name, told=False)


def perhaps_returns(end: End, cavity: Cavity) -> list[OwnReturn]:
    """Every return that a contact may come back by: one where the paper tells which."""
    own = own_return(end, cavity)
    if own is None or own.told:
        return [] if own is None else [own]
    returns = [c for c in end.pinout.cavities.values() if _is_return(c)]
    free = [c for c in returns if not c.serves] or returns
    return [OwnReturn(each.name, told=False) for each in free]


def _is_return(cavity: Cavity) -> bool:
    return cavity.function == "sensor-return" and not refused(cavity)


def _by_words(cavity: Cavity, returns: Sequence[Cavity]) -> OwnReturn | None:
    """The one return whose name has more words of the contact's than each other's has."""
    own = _words(cavity)
    shared = [len(own & _words(each)) for each in returns]
    if len(returns) < 2 or shared.count(max(shared)) > 1:
        return None
    return OwnReturn(returns[shared.index(max(shared))].name, told=True)


def _words(cavity: Cavity) -> set[str]:
    return set(_WORD.findall(cavity.signal.casefold()))
