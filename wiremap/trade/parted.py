"""Compounds that people write apart, in the languages that write them as one word."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from itertools import pairwise

from wiremap.trade.phrases import plain
from wiremap.trade.vocabulary import compounds

BEYOND = 2  # letters of the second word that the compound must reach
LEAST = 3  # letters that either word has
_START = 4
_PIECE = re.compile(r"[^\W\d_]+")


def put_together(wording: str) -> str:
    """The wording with such words in one; as it is where there are none."""
    words = _PIECE.findall(wording)
    for first, second in pairwise(words):
        if len(first) >= LEAST and len(second) >= LEAST and _is_compound(first, second):
            return re.sub(rf"{first}\W+{second}", first + second.lower(), wording, count=1)
    return wording


def _is_compound(first: str, second: str) -> bool:
    whole = plain(first + second)
    reached = len(plain(first)) + BEYOND
    stems = _stems().get(whole[:_START], ())
    return any(len(stem) >= reached and whole.startswith(stem) for stem in stems)


@cache
def _stems() -> Mapping[str, list[str]]:
    """Words of danger of those languages by what they begin with."""
    found: dict[str, list[str]] = {}
    for stem in compounds():
        found.setdefault(stem[:_START], []).append(stem)
    return found
