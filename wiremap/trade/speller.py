"""Which word of a table a person meant who typed something near.

Looked for are the slips that `slipping` weighs.  Words without vowels count as the word that has
their consonants.  A word that any table knows is none of them, nor is a word of everyday language.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cached_property
from typing import NamedTuple

from wiremap.trade.slipping import FEWER, HEAVY, MIDDLE, SHORT, VOWELS, weight_of
from wiremap.trade.vocabulary import (
    ENDING,
    LONGEST_TYPED,
    SHORTHAND,
    dangerous_words,
    moving,
    ordinary_words,
)

BEGIN = 3  # letters that a word begins with, by which it is looked up first
BEHIND = 4  # where the two letters stand by which it is looked up besides
CUT = 5  # letters of the shortest word that counts as cut short without a full stop
# what no word ends in, so that a compound is cut short within its second word: zapfw
_WITHIN_COMPOUND = re.compile(r"[^aeiouy]([bdfgkpt]r|[bvw])$|[tz][fk]$")


class _Stem(NamedTuple):
    """A word of a table, and how many letters may follow it in a word that is typed."""

    text: str
    ending: int


class Speller:
    """Words of a table, and which of them a person meant who typed something near.

    `options` has each word with the letters that may follow it, `shorthand` what is written short
    for what, behind a star where it is so only at the end of a word (`*sch`: a switch).  A `strict`
    speller takes no wrong letter for a slip, as it mostly makes another word.
    """

    def __init__(
        self, options: Mapping[str, int], shorthand: Mapping[str, str], *, strict: bool = False
    ) -> None:
        self._options = options
        self._whole = {short: word for short, word in shorthand.items() if short[0] != "*"}
        self._at_end = {short[1:]: word for short, word in shorthand.items() if short[0] == "*"}
        self._strict = strict
        self._meant: dict[str, tuple[str, ...]] = {}  # by what was typed
        self._by_consonants: dict[str, Mapping[str, str]] = {}  # by the first letter

    def in_full(self, typed: str) -> str:
        """What a word of shorthand is written for; empty if it is none."""
        return self._whole.get(typed, "")

    def meant(self, typed: str) -> tuple[str, ...]:
        """The words that may be meant, each with the letters that were typed behind it."""
        if typed not in self._meant:
            word = self.in_full(typed)
            self._meant[typed] = (word,) if word else self._looked_up(typed)
        return self._meant[typed]

    def _looked_up(self, typed: str) -> tuple[str, ...]:
        if len(typed) < SHORT - 1 or typed in ordinary_words():
            return ()
        for short, word in self._at_end.items():
            # behind a vowel its letters belong to the syllable before
            if typed[BEGIN:].endswith(short) and typed[-len(short) - 1] not in VOWELS:
                return (typed.removesuffix(short) + word,)
        if not any(letter in VOWELS for letter in typed[1:]):
            word = self._with_consonants(typed[0]).get(_consonants(typed), "")
            return (word,) if word and not _is_known(typed, word) else ()
        slips = self._slips(typed)
        if not slips:
            return self._cut_short(typed)
        least = min(slips)[0]
        near = sorted({(stem, rest) for weight, stem, rest in slips if weight == least})
        return tuple(stem + rest for stem, rest in near if not _is_known(typed, stem))

    def _slips(self, typed: str) -> list[tuple[int, str, str]]:
        """The ways in which it may be a slip for a word of the table, as `_ways` gives them."""
        found: list[tuple[int, str, str]] = []
        behind = typed[SHORT - 1 :]
        moves = any(word in behind for word in moving())
        for stem in dict.fromkeys(self._near(typed)):
            if moves or len(typed) - len(stem.text) - 1 <= stem.ending:
                found += _ways(typed, stem)
        return [each for each in found if not self._strict or _is_near(typed, *each)]

    def _cut_short(self, typed: str) -> tuple[str, ...]:
        """The words that it begins, where no ordinary word begins so: `throt`.

        Of compounds none, as what they begin with is a word of its own, unless it stops within the
        next word.
        """
        if self._strict or len(typed) < CUT:
            return ()
        most = LONGEST_TYPED if _WITHIN_COMPOUND.search(typed) else ENDING
        near = (stem for stem in self._stems.get(typed[:BEGIN], ()) if stem.ending <= most)
        begun = {stem.text for stem in near if stem.text.startswith(typed)}
        return tuple(stem for stem in sorted(begun) if not _begins_another(typed, stem))

    def _near(self, typed: str) -> Iterator[_Stem]:
        """The words that begin like it, or go on like it behind their first letters."""
        yield from self._stems.get(typed[:BEGIN], ())
        for at in (BEHIND, BEHIND + 1, BEHIND - 1):
            for end in (at + 1, at + 2):
                yield from self._stems.get(f"{typed[0]}~{typed[at:end]}", ())

    @cached_property
    def _stems(self) -> Mapping[str, list[_Stem]]:
        """The words, and how many letters may follow, by two keys each.

        One slip leaves either the first letters as they are or what stands behind them.
        """
        found: dict[str, list[_Stem]] = {}
        for stem, ending in self._options.items():
            if len(stem) >= SHORT - 1:
                entry = _Stem(stem, ending)
                found.setdefault(stem[:BEGIN], []).append(entry)
                found.setdefault(f"{stem[0]}~{stem[BEHIND : BEHIND + 2]}", []).append(entry)
        return found

    def _with_consonants(self, letter: str) -> Mapping[str, str]:
        """The words that begin with a letter by their consonants, and by these with one of them
        left out that is neither the first nor the last.
        """
        if letter not in self._by_consonants:
            self._by_consonants[letter] = self._begun_by(letter)
        return self._by_consonants[letter]

    def _begun_by(self, letter: str) -> Mapping[str, str]:
        whole: dict[str, str] = {}
        fewer: dict[str, str] = {}
        for stem in self._options:
            if not stem.startswith(letter):
                continue
            consonants = _consonants(stem)
            if len(consonants) >= SHORTHAND:
                whole.setdefault(consonants, stem)
            if len(consonants) > SHORTHAND:
                for at in range(1, len(consonants) - 1):
                    fewer.setdefault(consonants[:at] + consonants[at + 1 :], stem)
        return fewer | whole


def _ways(typed: str, stem: _Stem) -> Iterator[tuple[int, str, str]]:
    """How a word may be a slip for a stem: what the slips weigh, the stem, and what follows it."""
    letters = len(stem.text)
    for size in range(letters - FEWER, letters + 2):
        rest = typed[size:]
        if len(rest) <= stem.ending or rest.startswith(moving()):
            weight = weight_of(typed[:size], stem.text)
            if weight and (weight <= HEAVY or len(rest) <= ENDING):
                yield weight, stem.text, rest


def _is_near(typed: str, weight: int, stem: str, rest: str) -> bool:
    """Whether a strict speller takes a slip: a single one, by which no letter is wrong."""
    return weight <= HEAVY and (
        len(typed) != len(stem + rest) or sorted(typed) == sorted(stem + rest)
    )


def _consonants(word: str) -> str:
    """A word's first letter and its consonants, one of each double."""
    found = word[:1]
    for letter in word[1:].replace("ck", "k"):
        if letter not in VOWELS and letter != found[-1]:
            found += letter
    return found


def _is_known(typed: str, meant: str) -> bool:
    """Whether what was typed is a word that the tables have, goes on from one, or begins one.

    An ordinary word that the one meant begins with does not count.  It costs most, so that it is
    asked last.
    """
    if typed in dangerous_words():
        return True
    starts = {typed[:size] for size in range(MIDDLE, len(typed) + 1)}
    if any(not meant.startswith(start) for start in starts & ordinary_words()):
        return True
    return len(typed) >= MIDDLE and _begins_another(typed, meant)


def _begins_another(typed: str, meant: str) -> bool:
    """Whether an ordinary word begins so, but not with the one meant."""
    begun = (word for word in ordinary_words() if word.startswith(typed))
    return any(not word.startswith(meant) for word in begun)
