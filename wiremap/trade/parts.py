"""Parts of machines whose motion crushes, cuts, drops or draws in, and what says that they move.

A part and a motion anywhere in a wording are a danger of the part's class: `ramp up`, `Mastheben`.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache, lru_cache
from typing import NamedTuple

from wiremap.trade.phrases import COMPOUNDING, FAR, SHORTEST_STEM, plain
from wiremap.trade.tables import Row, table

SHORTEST = 2  # letters of a beginning or an end that are looked up


class Found(NamedTuple):
    """A stretch of text that a section of the table has, and the row it stands in."""

    start: int
    end: int
    row: Row


class _Words(NamedTuple):
    """The rows of a section by their words: whole, or with a star where they go on.

    `within`: what words begin with that may also begin within a longer one.
    """

    rows: Mapping[str, Row]
    within: frozenset[str]


@cache
def vague() -> frozenset[str]:
    """The parts whose word means other things too: a danger only beside what moves them."""
    rows = table("parts.toml").section("vague", words=str)
    return frozenset(plain(" ".join(row["words"] for row in rows)).split())


@lru_cache(maxsize=16384)
def met(section: str, text: str) -> tuple[Found, ...]:
    """What a plain text has of a section; its words are parted by one space."""
    known = _known(section)
    found: list[Found] = []
    words = text.split(" ")
    at = 0
    for word, following in zip(words, [*words[1:], ""], strict=True):
        if word:
            found += (
                each._replace(start=at + each.start, end=at + each.end)
                for each in _in_word(section, word)
            )
            pair = f"{word}_{following}"
            size = _begun(known.rows, pair, len(word) + 1)
            if size:
                found.append(Found(at, at + len(size.rstrip("*")), known.rows[size]))
        at += len(word) + 1
    return tuple(found)


@lru_cache(maxsize=16384)
def _in_word(section: str, word: str) -> tuple[Found, ...]:
    rows, within = _known(section)
    found = []
    key = _begun(rows, word, SHORTEST)
    if key:
        found.append(Found(0, len(key.rstrip("*")), rows[key]))
    for start in range(len(word) - SHORTEST):
        row = rows.get(f"*{word[start:]}")
        if row is not None:
            found.append(Found(start, len(word), row))
            break
    for start in range(1, len(word) - SHORTEST_STEM + 1):
        if word[start : start + SHORTEST_STEM] in within:
            key = _begun(rows, word[start:], SHORTEST_STEM - 1)
            if key and rows[key].get("language") in COMPOUNDING:
                found.append(Found(start, start + len(key.rstrip("*")), rows[key]))
                break
    return tuple(found)


def _begun(rows: Mapping[str, Row], word: str, least: int) -> str:
    """The word of some rows that a word is or begins with; empty for none."""
    if word in rows:
        return word
    for size in range(len(word), least, -1):
        key = f"{word[:size]}*"
        if key in rows:
            return key
    return ""


@cache
def _known(section: str) -> _Words:
    rows: dict[str, Row] = {}
    within: set[str] = set()
    for row in table("parts.toml").section(section, words=str):
        words = row["words"]
        found = plain(words).split()
        if not words.isascii():
            found += plain(words.translate(FAR)).split()
        for word in found:
            rows.setdefault(word, row)
        if row.get("language") in COMPOUNDING:
            within.update(word[:SHORTEST_STEM] for word in found if word[-1] == "*")
    return _Words(rows, frozenset(within))
