"""Words that a full stop cuts short (`em. stp.`), written out by the table of dangers."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Set
from functools import cache, lru_cache
from itertools import islice
from typing import NamedTuple

from wiremap.trade.phrases import phrases, plain
from wiremap.trade.vocabulary import dangerous_words, ordinary_words

LONGEST_SHORTHAND = 60  # characters: who writes more than that does not cut words short
MOST_CUT = 6  # words of one wording that are written out
MOST_WAYS = 6  # ways of writing one wording out that are looked at
# letters from which a cut word counts: by itself, beside what moves or commands, beside another
# word of its wording, and with letters within left out (`swt.`)
BY_ITSELF, BESIDE_MOTION, BESIDE_OTHERS, DRAWN_TOGETHER = 5, 4, 2, 3
NOT_CUT = frozenset({"sw"})  # a switch on every drawing (common practice)
# in German they say where a thing is, not what (common practice)
SIDES = frozenset({"vo", "hi", "li", "re", "ob", "un"})
KEY = 2  # letters that a word begins with, by which its wordings are looked up
_WORD = re.compile(r"([^\W\d_]+)(\.?)")


class _Written(NamedTuple):
    """A word as it stands, in plain letters; `cut`: with a full stop behind it."""

    word: str
    cut: bool


class _Stem(NamedTuple):
    """A word of the table, and whether it may go on or begin within a longer one."""

    text: str
    goes_on: bool
    begins_within: bool


_Places = tuple[tuple[_Stem, ...], ...]  # a wording of the table: the words that each place takes


def written_out(wording: str, section: str, whole: Set[str]) -> Iterator[str]:
    """The ways of writing out cut words in which a wording is one of a section; mostly none.

    A word of a few letters counts only beside others that the same wording of the table has.
    `whole` has words in plain letters that no full stop cuts (`sw.` is a switch, not a swivel).
    """
    if "." not in wording or len(wording) > LONGEST_SHORTHAND:
        return
    words = [(plain(word), stop) for word, stop in _WORD.findall(wording)]
    written = [_Written(word, bool(stop) and word not in whole | NOT_CUT) for word, stop in words]
    ways = dict.fromkeys(_ways(written, section))
    for way in islice(ways, MOST_WAYS):
        yield " ".join(way)


def _ways(written: list[_Written], section: str) -> Iterator[tuple[str, ...]]:
    cut = [each.word for each in written if each.cut and len(each.word) >= KEY]
    for short in cut[:MOST_CUT]:
        for meant in (*_as_wordings(short, written, section), *_as_compounds(short, section)):
            yield tuple(meant.get(each.word, each.word) for each in written)


def _as_wordings(short: str, written: list[_Written], section: str) -> Iterator[Mapping[str, str]]:
    """What the cut words stand for in each wording of the table that has one for this."""
    starts = _by_beginning(section)
    for places in (*starts.get(short[:KEY], ()), *starts.get(f"{short[0]}~{short[-1]}", ())):
        meant = _meant(places, written)
        if not meant or (len(meant) == len(places) and meant.keys() <= SIDES):
            continue
        if len(places) > 1 or not _means_else(meant, written, section):
            yield meant


def _as_compounds(short: str, section: str) -> Iterator[Mapping[str, str]]:
    """What a cut word stands for that ends with the beginning of a word of the table."""
    for at in range(1, len(short) - BY_ITSELF + 1):
        end = short[at:]
        for (stem, *_), *others in _by_beginning(section).get(end[:KEY], ()):
            if not others and stem.begins_within and stem.text.startswith(end):
                yield {short: short[:at] + stem.text}


def _means_else(meant: Mapping[str, str], written: list[_Written], section: str) -> bool:
    """Whether a cut word sooner stands for another that is no longer: an ordinary word instead of a
    danger, a danger instead of a harmless one.

    One of few letters stands for none at all unless it stands beside what moves or commands.
    """
    others = ordinary_words() if section == "word" else dangerous_words()
    for short, word in meant.items():
        begun = [other for other in others if other.startswith(short)]
        if any(len(other) <= len(word) for other in begun):
            return True
        if len(short) < BY_ITSELF and (begun or not _moves(each.word for each in written)):
            return True
    return False


def _moves(words: Iterator[str]) -> bool:
    """Whether one of some words moves or commands something."""
    text = f" {' '.join(words)} "
    return any(phrases("acts").met(text)) or any(phrases("command").met(text))


def _meant(places: _Places, written: list[_Written]) -> dict[str, str]:
    """What the cut words stand for if these places are all filled; empty if one is not.

    A cut word fills one place, not two.
    """
    found: dict[str, str] = {}
    for place in places:
        filled = False
        for each in (each for each in written if each.word not in found):
            stem = next((stem for stem in place if _fills(each, stem, len(places))), None)
            if stem is None:
                continue
            filled = True
            if each.cut and len(stem.text) > len(each.word):
                found[each.word] = stem.text
            break
        if not filled:
            return {}
    return found


def _fills(each: _Written, stem: _Stem, places: int) -> bool:
    """Whether a word as it stands fills a place of a wording that has so many."""
    if each.word == stem.text or (stem.goes_on and each.word.startswith(stem.text)):
        return True
    if not each.cut:
        return False
    if places > 1 and _is_drawn_together(each.word, stem.text):
        return True
    least = BESIDE_OTHERS if places > 1 else BESIDE_MOTION
    return len(each.word) >= least and stem.text.startswith(each.word)


def _is_drawn_together(short: str, word: str) -> bool:
    """Whether the short one has the first, the last and some of the letters between."""
    if not DRAWN_TOGETHER <= len(short) < len(word) or short[0] != word[0] or short[-1] != word[-1]:
        return False
    letters = iter(word)
    return all(letter in letters for letter in short)


@cache
def _by_beginning(section: str) -> Mapping[str, tuple[_Places, ...]]:
    """The wordings of a section of the table by how each of their words begins; those of several
    words also by its first and last letter (`s~h`).
    """
    found: dict[str, dict[_Places, None]] = {}
    for wording in phrases(section).wordings():
        parts = wording.words.replace(" + ", " ").split()
        places = tuple(
            tuple(_stem(option, compounding=wording.compounding) for option in part.split("|"))
            for part in parts
        )
        for place in places:
            for stem in place:
                found.setdefault(stem.text[:KEY], {})[places] = None
                if len(places) > 1:
                    found.setdefault(f"{stem.text[0]}~{stem.text[-1]}", {})[places] = None
    return {start: tuple(places) for start, places in found.items()}


@lru_cache(maxsize=8192)
def _stem(option: str, *, compounding: bool) -> _Stem:
    goes_on = option.endswith("*")
    within = option.startswith("*") or (compounding and goes_on)
    return _Stem(plain(option.strip("*")), goes_on, within)
