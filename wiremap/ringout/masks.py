"""Sets of points, nets or readings as whole numbers, a bit each: a thousand are met at once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import reduce
from operator import or_
from typing import TypeVar

Key = TypeVar("Key")
EMPTY = 0  # the set of nothing


class Masks(dict[Key, int]):
    """Sets by what they belong to; what has none has the empty one."""

    def __missing__(self, key: Key) -> int:
        """The empty set, which is not kept."""
        return EMPTY


def joined(sets: Iterable[int]) -> int:
    """All that is in any of these sets."""
    return reduce(or_, sets, EMPTY)


def ones_of(number: int) -> Iterator[int]:
    """The places of the bits that are set in a number, the lowest first."""
    if number:
        yield from (i for i, digit in enumerate(reversed(f"{number:b}")) if digit == "1")
