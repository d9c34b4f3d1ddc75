"""The words of the tables by themselves, without the wordings that they are part of."""

from __future__ import annotations

import re
from functools import cache

from wiremap.trade.phrases import COMPOUNDING, TABLE, plain
from wiremap.trade.slipping import SHORT
from wiremap.trade.tables import table

LONGEST_TYPED = 60  # characters: longer wordings are no labels
NO_ENDING = 0  # of a word that stands without a star
ENDING = 3  # letters that may follow a stem that goes on,
STEM = 7  # and letters of a stem that any word may follow where words are run together
SHORTHAND = 4  # letters of a word without vowels
EVERYDAY = "everyday.toml"
_LETTERS = re.compile(r"[^\W\d_]{4,}")


@cache
def options(section: str) -> dict[str, int]:
    """The words of a section without their stars, and how many letters may follow each."""
    found: dict[str, int] = {}
    for row in table(TABLE).section(section, words=tuple):
        joined = row.get("language") in COMPOUNDING
        words = plain(" ".join(row["words"])).replace("|", " ").replace("+", " ")
        for option in words.split():
            stem = option.strip("*")
            ending = NO_ENDING
            if option.endswith("*"):
                ending = LONGEST_TYPED if joined and len(stem) >= STEM else ENDING
            found[stem] = max(ending, found.get(stem, NO_ENDING))
    return found


@cache
def moving() -> tuple[str, ...]:
    """What compounds go on with that move or command something."""
    rows = (row for name in ("acts", "command") for row in table(TABLE).section(name, words=tuple))
    words = (plain(word.strip("*")) for row in rows for word in row["words"])
    return tuple(dict.fromkeys(word for word in words if len(word) >= SHORT))


@cache
def compounds(section: str) -> tuple[str, ...]:
    """Words of a section that any word may follow, where words are run together.

    Rows without a language have words of every one.
    """
    if section == "word":
        return tuple(stem for stem, ending in options(section).items() if ending == LONGEST_TYPED)
    return tuple(stem for stem, ending in options(section).items() if ending and len(stem) >= STEM)


@cache
def dangerous_words() -> frozenset[str]:
    """The words of the table, which are no slip for one another."""
    return frozenset(word for word in options("word") if len(word) >= SHORTHAND)


@cache
def ordinary_words() -> frozenset[str]:
    """Words that stand for no danger by themselves, nor do compounds that begin with them."""
    found = _of_table("filler", "friend", "lamp", "tell", "acts", "command")
    names = table("names.toml")
    rows = (*names.section("term"), *names.section("filler"))
    said = (words for row in rows for words in (*row.get("read", ()), *row.get("memory", ())))
    everyday = " ".join(row["words"] for row in table(EVERYDAY).section("own", words=str))
    return frozenset(_LETTERS.findall(f"{found} {everyday} {plain(' '.join(said))}"))


@cache
def _of_table(*sections: str) -> str:
    """All wordings of some sections in one plain text."""
    rows = (row for section in sections for row in table(TABLE).section(section, words=tuple))
    return plain(" ".join(words for row in rows for words in row["words"]))
