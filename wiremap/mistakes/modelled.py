"""What a file with a kind of mistake says of it; see `every.py`, which finds the files."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.mistake import Mistake, MistakeKind

LAST = 100  # the place of a file that states none


@dataclass(frozen=True, slots=True, kw_only=True)
class Modelled:
    """How every mistake of some kinds is made, and who makes it.

    `order` is its place among the files: in this order mistakes are made, counted and told.
    `sampled`: a few values stand for all between, so the plan's coverage makes it and `every` does
    not.  `supposed`: the diagnosis supposes it at every reading of a circuit that it concerns; of
    other kinds `diagnose/candidates.py` says at which reading.
    """

    kinds: tuple[MistakeKind, ...]
    make: Callable[[Drawn], Iterator[Mistake]]
    order: int = LAST
    sampled: bool = False
    supposed: bool = True
