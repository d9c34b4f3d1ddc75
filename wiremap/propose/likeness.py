"""How alike two wordings look: a means of ranking, never of grading."""

from __future__ import annotations

import re
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

LONGEST = 200  # characters looked at
_WORD = re.compile(r"[^\W\d_]{2,}|\d+[a-z]?", re.UNICODE)


class _Look(NamedTuple):
    words: frozenset[str]
    marks: frozenset[str]  # letters and digits, and each two characters that stand together


def likeness(one: str, two: str) -> float:
    """How alike two wordings look, 0 to 1: shared words, or shared letters and pairs (Dice)."""
    if not one or not two:
        return 0.0
    if one == two:
        return 1.0
    first = _look(one)
    second = _look(two)
    fewest = max(1, min(len(first.words), len(second.words)))
    words = len(first.words & second.words) / fewest
    both = max(1, len(first.marks) + len(second.marks))
    return max(words, 2 * len(first.marks & second.marks) / both)


@lru_cache(maxsize=8192)
def speaks(text: str) -> bool:
    """Whether a wording holds a letter or a digit."""
    return any(map(str.isalnum, text))


@lru_cache(maxsize=8192)
def _look(text: str) -> _Look:
    folded = text.casefold()[:LONGEST]
    letters = {letter for letter in folded if letter.isalnum()}
    letters |= {one + two for one, two in pairwise(folded) if " " not in (one, two)}
    return _Look(frozenset(_WORD.findall(folded)), frozenset(letters))
