"""What all lines of readings share, whatever they tell of: dashes, commas, places, near names."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Iterator

from wiremap.base import Place

DASH = r"[-\u2010-\u2015\u2212]"  # hyphens, dashes and the minus sign: whatever a phone or a word processor makes of one
BETWEEN = re.compile(r"(?<!\d),|,(?!\d)")  # a comma between digits is a decimal comma


def pieces(text: str, shown: str) -> Iterator[tuple[Place, str]]:
    """Each reading, parted by commas or line ends, with the place where it begins; `#` begins a remark."""
    for number, line in enumerate(text.splitlines(), 1):
        start = 0
        for piece in BETWEEN.split(line.partition("#")[0]):
            if piece.strip():
                yield Place(shown, number, start + 1 + len(piece) - len(piece.lstrip())), piece.strip()
            start += len(piece) + 1


def taken_out(pattern: re.Pattern[str], text: str) -> tuple[list[re.Match[str]], str]:
    """What a pattern finds, and the words without it."""
    return list(pattern.finditer(text)), pattern.sub(" ", text)


def did_you_mean(name: str, known: Iterable[str]) -> str:
    """The names that come near a mistyped one, as the end of a sentence; empty if none does."""
    close = difflib.get_close_matches(name, list(known), n=3, cutoff=0.5)
    return f"; did you mean {' or '.join(close)}?" if close else ""
