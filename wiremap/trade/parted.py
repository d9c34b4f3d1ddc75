"""Compounds that people write apart, in the languages that write them as one word."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from itertools import pairwise
from typing import NamedTuple

from wiremap.trade.phrases import plain
from wiremap.trade.vocabulary import compounds

BEYOND = 2  # letters of the second word that the compound must reach
LEAST = 3  # letters that either word has,
LEAST_CUT = 4  # and that a first one has which a full stop cuts short
_START = 4
_PIECE = re.compile(r"([^\W\d_]+)(\.?)")


class _Piece(NamedTuple):
    """A word in plain letters; `cut`: with a full stop behind it."""

    word: str
    cut: bool


def put_together(wording: str, section: str) -> str:
    """The wording with such words of a section in one; as it is where there are none."""
    for (first, stop), (second, end) in pairwise(_PIECE.findall(wording)):
        if len(first) < LEAST or len(second) < LEAST:
            continue
        pieces = _Piece(plain(first), bool(stop)), _Piece(plain(second), bool(end))
        whole = _compound(*pieces, _stems(section))
        if whole:
            return re.sub(rf"{first}\W+{second}", whole, wording, count=1)
    return wording


def _compound(first: _Piece, second: _Piece, stems: Mapping[str, list[str]]) -> str:
    """The compound of two words, either of which a full stop may cut short; empty for none."""
    whole, letters = first.word + second.word, len(first.word)
    for stem in stems.get(whole[:_START], ()):
        if len(stem) >= letters + BEYOND and whole.startswith(stem):
            return whole
        if second.cut and stem.startswith(whole):
            return stem
        if first.cut and letters >= LEAST_CUT and stem.startswith(first.word):
            for at in range(letters, len(stem) - LEAST):
                if second.word.startswith(stem[at:]):
                    return stem[:at] + second.word
    return ""


@cache
def _stems(section: str) -> Mapping[str, list[str]]:
    """Words of a section that any word may follow, by what they begin with."""
    found: dict[str, list[str]] = {}
    for stem in compounds(section):
        found.setdefault(stem[:_START], []).append(stem)
    return found
