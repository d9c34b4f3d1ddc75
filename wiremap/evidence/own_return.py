"""Which return a sensor, or the supply of some, comes back by: what the paper says of it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from wiremap.base import only
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
    for each in returns:
        if cavity.name in each.serves:
            return OwnReturn(each.name, told=True)
    free = [c for c in returns if not c.serves]
    lone = only(free) or _by_words(cavity, free)
    if lone is not None:
        return OwnReturn(lone.name, told=True)
    first, *_ = free or returns
    return OwnReturn(first.name, told=False)


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


def _by_words(cavity: Cavity, returns: Sequence[Cavity]) -> Cavity | None:
    """The one return whose name has more words of the contact's than each other's has."""
    own = _words(cavity)
    shared = [len(own & _words(each)) for each in returns]
    most = max(shared, default=None)
    return only(each for each, count in zip(returns, shared, strict=True) if count == most)


def _words(cavity: Cavity) -> set[str]:
    return set(_WORD.findall(cavity.signal.casefold()))
