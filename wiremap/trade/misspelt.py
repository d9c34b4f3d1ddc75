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
MOST_WAYS = 8  # ways to mean one wording that are looked at
INFLECTED = 2  # letters that may follow a harmless word
_WORD = re.compile(r"\b[^\W\d_]/[^\W\d_]\b|[^\W\d_]+")  # S/O is one word: shut off


@lru_cache(maxsize=16384)
def respelt(wording: str) -> tuple[str, ...]:
    """The wording with misspelt words as the table of dangers has them, in each way to mean them;
    none where no word is misspelt.
    """
    return tuple(islice(_with_meant(wording, _dangers()), MOST_WAYS))


def in_full(wording: str) -> str:
    """The wording with its shorthand written out."""
    return _WORD.sub(lambda word: _dangers().in_full(plain(word[0])) or word[0], wording)


@lru_cache(maxsize=16384)
def respelt_harmless(wording: str) -> str:
    """The wording with misspelt words as the tables of false friends and lamps have them."""
    return next(_with_meant(wording, _harmless()), wording)


def _with_meant(wording: str, speller: Speller) -> Iterator[str]:
    """The wording with misspelt words as a speller has them, in each way to mean them."""
    if len(wording) > LONGEST_TYPED:
        return
    words = _WORD.findall(wording)[:MOST]
    meant = {word: found for word in words if (found := speller.meant(plain(word)))}
    for chosen in product(*meant.values()) if meant else ():
        instead = dict(zip(meant, chosen, strict=True))
        yield _WORD.sub(partial(_instead, instead), wording)


def _instead(instead: Mapping[str, str], word: re.Match[str]) -> str:
    return instead.get(word[0], word[0])


# ---- the words of the tables


@cache
def _dangers() -> Speller:
    """The words of dangers, and the shorthand for them."""
    return Speller(options("word"), _shorthand(harmless=False))


@cache
def _harmless() -> Speller:
    """The words of false friends and lamps.

    Shorthand for a thing of the dangers may be part of a harmless wording, that for what moves is
    not.
    """
    stems = [*options("friend"), *options("lamp")]
    endings = {stem: INFLECTED * (len(stem) > STEM) for stem in stems}
    dangers = _shorthand(harmless=False).items()
    things = {short: word for short, word in dangers if word not in moving()}
    return Speller(endings, things | _shorthand(harmless=True), strict=True)


def _shorthand(*, harmless: bool) -> dict[str, str]:
    """Each shorthand of the table with the word that it is written for."""
    found: dict[str, str] = {}
    for row in table(TABLE).section("short", words=tuple, meant=str):
        if row.get("harmless", False) is harmless:
            found.update(dict.fromkeys(row["words"], row["meant"]))
    return found
