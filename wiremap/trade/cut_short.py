"""Words of a wording that a full stop cuts short, written out by the table of dangers."""

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
MOST = 6  # ways of writing one wording out that are looked at
TELLING = 5  # letters by which a word that stands for itself is known,
BESIDE = 4  # and beside what moves or commands, where no other word begins so
DRAWN = 3  # letters of a word that is drawn together
WHOLE = frozenset({"sw"})  # a switch on every drawing (common practice)
SIDES = frozenset(
    {"vo", "hi", "li", "re", "ob", "un"}
)  # in German: where, not what (common practice)
_INDEXED = 2
_PIECE = re.compile(r"([^\W\d_]+)(\.?)")


class _Written(NamedTuple):
    """A word as it stands, in plain letters; `cut`: with a full stop behind it."""

    word: str
    cut: bool


class _Stem(NamedTuple):
    """A word of the table, and whether it may go on or begin within a longer one."""

    text: str
    goes_on: bool
    begins_within: bool


_Places = tuple[tuple[_Stem, ...], ...]  # of one wording of the table: the choice at each place


def written_out(wording: str, section: str, whole: Set[str]) -> Iterator[str]:
    """The ways of writing out cut words in which a wording is one of a section; mostly none.

    A word of a few letters counts only beside others that the same wording of the table has;
    those of `whole`, in plain letters, are cut by no full stop (`sw.` is a switch, not a swivel).
    """
    if "." not in wording or len(wording) > LONGEST_SHORTHAND:
        return
    pieces = [(plain(word), stop) for word, stop in _PIECE.findall(wording)]
    found = [_Written(word, bool(stop) and word not in whole | WHOLE) for word, stop in pieces]
    ways = dict.fromkeys(_ways(found, section))
    for way in islice(ways, MOST):
        yield " ".join(way)


def _ways(written: list[_Written], section: str) -> Iterator[tuple[str, ...]]:
    cut = [each for each in written if each.cut and len(each.word) >= _INDEXED]
    for short in cut[:MOST_CUT]:
        starts = _by_beginning(section)
        ends = f"{short.word[0]}~{short.word[-1]}"
        for places in (*starts.get(short.word[:_INDEXED], ()), *starts.get(ends, ())):
            meant = _meant(places, written)
            if len(meant) == len(places) and meant.keys() <= SIDES:
                continue
            if meant and (len(places) > 1 or not _means_else(meant, written, section)):
                yield tuple(meant.get(each.word, each.word) for each in written)
        for at in range(1, len(short.word) - TELLING + 1):
            end = short.word[at:]
            for (stem, *_), *others in _by_beginning(section).get(end[:_INDEXED], ()):
                if not others and stem.begins_within and stem.text.startswith(end):
                    whole = {short.word: short.word[:at] + stem.text}
                    yield tuple(whole.get(each.word, each.word) for each in written)


def _means_else(meant: Mapping[str, str], written: list[_Written], section: str) -> bool:
    """Whether a cut word sooner stands for another that is no longer, of the other sort.

    One of few letters stands for none at all unless it stands beside what moves or commands.
    """
    others = ordinary_words() if section == "word" else dangerous_words()
    for short, word in meant.items():
        begun = [other for other in others if other.startswith(short)]
        if any(len(other) <= len(word) for other in begun):
            return True
        if len(short) < TELLING and (begun or not _moves(each.word for each in written)):
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
    if each.word == stem.text or (stem.goes_on and each.word.startswith(stem.text)):
        return True
    if not each.cut:
        return False
    if places > 1 and _is_drawn_together(each.word, stem.text):
        return True
    least = _INDEXED if places > 1 else BESIDE
    return len(each.word) >= least and stem.text.startswith(each.word)


def _is_drawn_together(short: str, word: str) -> bool:
    """Whether the short one has the first, the last and some of the letters between."""
    if not DRAWN <= len(short) < len(word) or short[0] != word[0] or short[-1] != word[-1]:
        return False
    letters = iter(word)
    return all(letter in letters for letter in short)


@cache
def _by_beginning(section: str) -> Mapping[str, tuple[_Places, ...]]:
    """The wordings of a section of the table by the first letters of each of their words."""
    found: dict[str, dict[_Places, None]] = {}
    for wording in phrases(section).wordings():
        parts = wording.words.replace(" + ", " ").split()
        places = tuple(
            tuple(_stem(option, compounding=wording.compounding) for option in part.split("|"))
            for part in parts
        )
        for place in places:
            for stem in place:
                found.setdefault(stem.text[:_INDEXED], {})[places] = None
                if len(places) > 1:
                    found.setdefault(f"{stem.text[0]}~{stem.text[-1]}", {})[places] = None
    return {start: tuple(places) for start, places in found.items()}


@lru_cache(maxsize=8192)
def _stem(option: str, *, compounding: bool) -> _Stem:
    goes_on = option.endswith("*")
    within = option.startswith("*") or (compounding and goes_on)
    return _Stem(plain(option.strip("*")), goes_on, within)
