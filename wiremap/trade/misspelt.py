"""Words of a wording that a slip of the hand keeps from being one of the table of dangers.

Looked for are the slips that people make as they type: two letters exchanged, one doubled or not,
one left out, one too many, one wrong.  The shorter the word, the fewer of them count; a word that
any table knows is none of them.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache, lru_cache

from wiremap.trade.phrases import TABLE, plain
from wiremap.trade.tables import table

LONGEST_TYPED = 60  # characters: longer wordings are no labels
MOST = 6  # words of one wording that are looked at
SHORT = 5  # letters of a word of which exchanged and doubled letters are found,
MIDDLE = 6  # of which a letter left out is too,
ENDING = 3  # letters that may follow a stem that goes on
LONG = 7  # and any one letter wrong or too many
BEGIN = 3  # letters that a word's first key has,
BEHIND = 4  # and where its second begins
_Stem = tuple[str, bool]
_OPTION = re.compile(r"[^ |+]+")
_PIECE = re.compile(r"[^\W\d_]+")
_LETTERS = re.compile(r"[^\W\d_]{4,}")


@lru_cache(maxsize=16384)
def respelt(wording: str) -> str:
    """The wording with such words as the table has them; as it is where there are none."""
    if len(wording) > LONGEST_TYPED:
        return wording
    words = _PIECE.findall(wording)[:MOST]
    meant = {word: _meant(plain(word)) for word in words}
    if not any(meant.values()):
        return wording
    return _PIECE.sub(lambda found: meant.get(found[0]) or found[0], wording)


@lru_cache(maxsize=16384)
def _meant(typed: str) -> str:
    """The table's word that was meant, with what follows its stem; empty if it is none."""
    if len(typed) < SHORT - 1:
        return ""
    for stem, goes_on in _near(typed):
        for size in (len(stem), len(stem) + 1, len(stem) - 1):
            rest = typed[size:]
            if len(rest) > (ENDING if goes_on else 0):
                continue
            if _is_slip(typed[:size], stem):
                return "" if _is_known(typed) else stem + rest
    return ""


def _is_known(typed: str) -> bool:
    """Whether a table has the word, or one that it begins with: asked last, as it costs most."""
    starts = (typed[:size] for size in range(MIDDLE, len(typed) + 1))
    known = _ordinary()
    return typed in _dangerous() or typed in known or not known.isdisjoint(starts)


def _is_slip(typed: str, meant: str) -> bool:
    """Whether one slip makes of the one word the other."""
    if typed == meant:
        return False
    if len(typed) == len(meant):
        return _changed(typed, meant)
    if len(typed) == len(meant) + 1:
        return _added(typed, meant, LONG)
    if len(typed) == len(meant) - 1:
        return _added(meant, typed, MIDDLE)
    return False


def _changed(typed: str, meant: str) -> bool:
    unlike = [at for at, (one, two) in enumerate(zip(typed, meant, strict=True)) if one != two]
    if len(unlike) == 1:
        return len(meant) >= LONG and unlike[0] < len(meant) - 1  # the last letter inflects
    if len(unlike) != 2 or unlike[1] != unlike[0] + 1 or len(meant) < SHORT:
        return False
    first, second = unlike
    return typed[first] == meant[second] and typed[second] == meant[first]


def _added(longer: str, shorter: str, least: int) -> bool:
    """Whether the longer word is the shorter one with a letter more."""
    at = 0
    while at < len(shorter) and longer[at] == shorter[at]:
        at += 1
    if longer[at + 1 :] != shorter[at:] or at == 0:
        return False
    doubled = longer[at] == longer[at - 1]
    if doubled:
        return len(shorter) >= SHORT
    return len(longer) >= least and 0 < at < len(longer) - 1


def _near(typed: str) -> Iterator[_Stem]:
    """The table's words that begin like it, or go on like it behind their first letters."""
    yield from _stems().get(typed[:BEGIN], ())
    for at in (BEHIND, BEHIND + 1, BEHIND - 1):
        for end in (at + 1, at + 2):
            yield from _stems().get(f"{typed[0]}~{typed[at:end]}", ())


@cache
def _stems() -> Mapping[str, list[_Stem]]:
    """The words of the table, and whether a word may go on behind, by two keys each.

    One slip leaves either the first letters as they are or what stands behind them.
    """
    found: dict[str, list[_Stem]] = {}
    for option in dict.fromkeys(_OPTION.findall(_of_table("word"))):
        stem = option.strip("*")
        if len(stem) >= SHORT:
            entry = (stem, option.endswith("*"))
            found.setdefault(stem[:BEGIN], []).append(entry)
            found.setdefault(f"{stem[0]}~{stem[BEHIND : BEHIND + 2]}", []).append(entry)
    return found


@cache
def _dangerous() -> frozenset[str]:
    """The words of the table, which are no slip for one another."""
    return frozenset(_LETTERS.findall(_of_table("word")))


@cache
def _ordinary() -> frozenset[str]:
    """Words that stand for no danger by themselves, nor do compounds that begin with them."""
    found = _of_table("filler", "friend", "lamp", "tell", "acts", "command")
    names = table("names.toml")
    rows = (*names.section("term"), *names.section("filler"))
    said = (words for row in rows for words in (*row.get("read", ()), *row.get("memory", ())))
    return frozenset(_LETTERS.findall(f"{found} {plain(' '.join(said))}"))


@cache
def _of_table(*sections: str) -> str:
    """All wordings of some sections in one plain text."""
    rows = (row for section in sections for row in table(TABLE).section(section, words=tuple))
    return plain(" ".join(words for row in rows for words in row["words"]))
