"""The wordings of the table of dangers as pieces of text, looked up by how they begin.

A wording stands for many spellings (accents, alternatives `a|b`, compounds `stem*`).  They are
written out when a text that begins like them is first looked at, so that a short run does not pay
for fifteen languages.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import chain, product
from typing import NamedTuple

from wiremap.trade.folding import folded
from wiremap.trade.tables import Row, table

COMPOUNDING = frozenset({"de", "nl", "sv", "da", "no", "fi", "hu"})  # run words together
SHORTEST_STEM = 6  # letters of a word that may begin within a longer one there
TABLE = "dangers.toml"
_START = 4  # characters by which a pattern is looked up
FAR = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "å": "aa", "ø": "oe", "æ": "ae", "ß": "ss"})


def plain(word: str) -> str:
    """A word in lower case and without accents."""
    return folded(word).casefold()


@cache
def fillers() -> frozenset[str]:
    """The words that are left out of every wording: articles and prepositions."""
    rows = table(TABLE).section("filler", words=tuple)
    return frozenset(plain(word) for row in rows for word in row["words"])


@dataclass(frozen=True, slots=True)
class Pattern:
    """A wording of the table as pieces of text that must all be there, and the row it stands in.

    Words are parted by one space and stand between spaces, so that ` brake ` is a whole word and
    `brems` any part of one.
    """

    needles: tuple[str, ...]
    row: Row

    @property
    def length(self) -> int:
        """How many characters it takes up."""
        return sum(map(len, self.needles))

    @property
    def word(self) -> str:
        """Its pieces in one line."""
        return " ".join(needle.strip() for needle in self.needles)

    def spans(self, text: str) -> Iterator[tuple[int, int]]:
        """Where its pieces begin and end, without the spaces around them."""
        for needle in self.needles:
            at = text.find(needle)
            while at >= 0:
                start = at + len(needle) - len(needle.lstrip())
                end = start + len(needle.strip())
                yield start, end
                at = text.find(needle, end)

    def places(self, text: str) -> list[int]:
        """The numbers of the words that it meets, from 0."""
        met: set[int] = set()
        for start, end in self.spans(text):
            first = text.count(" ", 0, start) - 1
            met.update(range(first, first + text.count(" ", start, end) + 1))
        return sorted(met)


class ListedWording(NamedTuple):
    """A wording as the table writes it, its row, and whether its language runs words together."""

    words: str
    row: Row
    compounding: bool

    def patterns(self) -> Iterator[Pattern]:
        """Every pattern that it stands for; raises ValueError for one that is too short."""
        for needles in _pieces(self.words, compounding=self.compounding):
            yield Pattern(needles, self.row)

    def stems(self) -> Sequence[str]:
        """What its patterns begin with: the whole of the first word, or four characters."""
        first = self.words.split(maxsplit=1)[0]
        stem = first.removesuffix("*")
        if len(stem) >= _START - 1 and stem.isascii() and stem.isalpha():  # the most, and quick
            return self._stems_of(stem.casefold())
        found: dict[str, None] = {}
        for option in first.split("|"):
            for word in _spelled(option):
                stem = word.strip("*")
                if word.startswith("*") or len(stem) < _START - 1:
                    return [pattern.needles[0][:_START] for pattern in self.patterns()]
                found.update(dict.fromkeys(self._stems_of(stem)))
        return [*found]

    def _stems_of(self, word: str) -> Sequence[str]:
        """What a pattern may begin with whose first word begins so."""
        if self.compounding and len(word) >= SHORTEST_STEM:
            return f" {word}", word
        return (f" {word}",)


class Phrases:
    """The wordings of one section by what they begin with."""

    def __init__(self, section: str) -> None:
        self._wordings: dict[str, list[tuple[str, ListedWording]]] = {}
        for row in table(TABLE).section(section, words=tuple):
            compounding = row.get("language") in COMPOUNDING
            for words in row["words"]:
                wording = ListedWording(words, row, compounding)
                for stem in wording.stems():
                    self._wordings.setdefault(stem[:_START], []).append((stem, wording))

    def wordings(self) -> Iterator[ListedWording]:
        """Every wording as the table writes it, once for each language that has it."""
        every = (wording for found in self._wordings.values() for _, wording in found)
        yield from {(each.words, each.compounding): each for each in every}.values()

    def met(self, text: str) -> Iterator[Pattern]:
        """The patterns that a text meets."""
        starts = {text[at : at + _START] for at in range(len(text) - _START + 1)}
        for start in sorted(starts & self._wordings.keys()):
            met = None
            for stem, wording in self._wordings[start]:
                if wording is met or stem not in text:
                    continue
                met = wording
                for pattern in wording.patterns():
                    found = all(needle in text for needle in pattern.needles)
                    if found and pattern.needles[0].startswith(start):
                        yield pattern


@cache
def phrases(section: str) -> Phrases:
    """The wordings of one section of the table of dangers, such as `word` or `friend`."""
    return Phrases(section)


# ---- how a wording is written out


def _spelled(word: str) -> Iterator[str]:
    """A word without accents, and with them written out (ae, oe, ue, aa)."""
    texts = [word]
    if not word.isascii():
        texts = list(dict.fromkeys((word, word.translate(FAR))))
    for text in texts:
        spelling = plain(text)
        if spelling.strip("*") in fillers():
            raise ValueError(f"{TABLE}: {word!r} is left out of every wording")
        yield spelling


def _needles(phrase: tuple[str, ...], *, compounding: bool) -> Iterator[tuple[str, ...]]:
    """A phrase as pieces of text: parted only where a word may go on; also run together."""
    found = [""]
    for word in phrase:
        begins = word.startswith("*")
        if found[-1] and (begins or found[-1].endswith("*")):
            found.append("")
        found[-1] = word if begins else f"{found[-1]} {word}"
    yield tuple(map(_needle, found))
    if len(found) == 1 and len(phrase) > 1:
        yield (_needle(f" {''.join(phrase)}"),)
    if compounding and len(phrase) == 1 and phrase[0].endswith("*"):
        stem = phrase[0].strip("*")
        if len(stem) >= SHORTEST_STEM:
            yield (stem,)


def _needle(text: str) -> str:
    """A piece of text without its stars; a word that may not go on ends with a space."""
    return text.replace("*", "") if text.endswith("*") else f"{text.replace('*', '')} "


def _alternatives(words: str) -> Iterator[tuple[str, ...]]:
    """Every phrase that a wording of the table stands for, without its alternatives."""
    parts = []
    for word in words.split():
        spelled = [text for option in word.split("|") for text in _spelled(option)]
        parts.append(tuple(dict.fromkeys(spelled)))
    yield from product(*parts)


@lru_cache(maxsize=4096)
def _pieces(words: str, *, compounding: bool) -> tuple[tuple[str, ...], ...]:
    """The pieces of text of every pattern that a wording stands for."""
    parts = []
    for part in words.split(" + "):
        found: list[tuple[str, ...]] = []
        for phrase in _alternatives(part):
            found += _needles(phrase, compounding=compounding)
        parts.append(found)
    every = tuple(tuple(chain.from_iterable(chosen)) for chosen in product(*parts))
    if any(len(needles[0]) < _START for needles in every):
        raise ValueError(f"{TABLE}: {words!r} is too short to be looked up")
    return every
