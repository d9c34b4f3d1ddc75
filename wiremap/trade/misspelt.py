"""Words of a wording that a slip of the hand keeps from being one of the table of dangers.

A `Speller` says what was meant; shorthand counts as what it is written for.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache, lru_cache, partial
from itertools import islice, product

from wiremap.trade.phrases import TABLE, plain
from wiremap.trade.speller import Speller
from wiremap.trade.tables import table
from wiremap.trade.vocabulary import LONGEST_TYPED, STEM, moving, options

MOST = 6  # words of one wording that are looked at
MOST_WAYS = 8  # of reading one
INFLECTED = 2  # letters that may follow a harmless one
_PIECE = re.compile(r"\b[^\W\d_]/[^\W\d_]\b|[^\W\d_]+")  # S/O is one piece: shut off


@lru_cache(maxsize=16384)
def respelt(wording: str) -> tuple[str, ...]:
    """The wording with such words as the table of dangers has them, in each way to mean them."""
    return tuple(islice(_with_meant(wording, _dangers()), MOST_WAYS))


def in_full(wording: str) -> str:
    """The wording without shorthand."""
    return _PIECE.sub(lambda piece: _dangers().short(plain(piece[0])) or piece[0], wording)


@lru_cache(maxsize=16384)
def respelt_harmless(wording: str) -> str:
    """The wording with such words as the tables of false friends and lamps have them."""
    return next(_with_meant(wording, _harmless()), wording)


def _with_meant(wording: str, speller: Speller) -> Iterator[str]:
    if len(wording) > LONGEST_TYPED:
        return
    words = _PIECE.findall(wording)[:MOST]
    meant = {word: found for word in words if (found := speller.meant(plain(word)))}
    for chosen in product(*meant.values()) if meant else ():
        instead = dict(zip(meant, chosen, strict=True))
        yield _PIECE.sub(partial(_instead, instead), wording)


def _instead(instead: Mapping[str, str], piece: re.Match[str]) -> str:
    return instead.get(piece[0], piece[0])


# ---- the words of the tables


@cache
def _dangers() -> Speller:
    """The words of dangers, and what is written short for one."""
    return Speller(options("word"), _short(harmless=False))


@cache
def _harmless() -> Speller:
    """The words of false friends and lamps."""
    stems = [*options("friend"), *options("lamp")]
    endings = {stem: INFLECTED * (len(stem) > STEM) for stem in stems}
    things = {
        short: meant for short, meant in _short(harmless=False).items() if meant not in moving()
    }
    return Speller(endings, things | _short(harmless=True), strict=True)


def _short(*, harmless: bool) -> dict[str, str]:
    """What words are written short for."""
    found: dict[str, str] = {}
    for row in table(TABLE).section("short", words=tuple, meant=str):
        if row.get("harmless", False) is harmless:
            found.update(dict.fromkeys(row["words"], row["meant"]))
    return found
