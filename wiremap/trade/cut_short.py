"""Words of a wording that a full stop cuts short, written out by the table of dangers."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache
from itertools import islice
from typing import NamedTuple

from wiremap.trade.phrases import phrases, plain

LONGEST_SHORTHAND = 60  # characters: who writes more than that does not cut words short
MOST_CUT = 6  # words of one wording that are written out
MOST = 6  # ways of writing one wording out that are looked at
TELLING = 5  # letters by which a word that stands for itself is known
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


def written_out(wording: str, section: str) -> Iterator[str]:
    """The ways of writing out cut words in which a wording is one of a section; mostly none.

    A word of a few letters counts only beside others that the same wording of the table has.
    """
    if "." not in wording or len(wording) > LONGEST_SHORTHAND:
        return
    found = [_Written(plain(word), bool(stop)) for word, stop in _PIECE.findall(wording)]
    ways = dict.fromkeys(_ways(found, section))
    for way in islice(ways, MOST):
        yield " ".join(way)


def _ways(written: list[_Written], section: str) -> Iterator[tuple[str, ...]]:
    cut = [each for each in written if each.cut and len(each.word) >= _INDEXED]
    for short in cut[:MOST_CUT]:
        for places in _by_beginning(section).get(short.word[:_INDEXED], ()):
            meant = _meant(places, written)
            if meant:
                yield tuple(meant.get(each.word, each.word) for each in written)
        for at in range(1, len(short.word) - TELLING + 1):
            end = short.word[at:]
            for (stem, *_), *others in _by_beginning(section).get(end[:_INDEXED], ()):
                if not others and stem.begins_within and stem.text.startswith(end):
                    whole = {short.word: short.word[:at] + stem.text}
                    yield tuple(whole.get(each.word, each.word) for each in written)


def _meant(places: _Places, written: list[_Written]) -> dict[str, str]:
    """What the cut words stand for if these places are all filled; empty if one is not."""
    found: dict[str, str] = {}
    for place in places:
        filled = False
        for each in written:
            stem = next((stem for stem in place if _fills(each, stem, len(places))), None)
            if stem is None:
                continue
            filled = True
            if each.cut and stem.text != each.word:
                found[each.word] = stem.text
            break
        if not filled:
            return {}
    return found


def _fills(each: _Written, stem: _Stem, places: int) -> bool:
    if each.word == stem.text or (stem.goes_on and each.word.startswith(stem.text)):
        return True
    least = _INDEXED if places > 1 else TELLING
    return each.cut and len(each.word) >= least and stem.text.startswith(each.word)


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
    return {start: tuple(places) for start, places in found.items()}


def _stem(option: str, *, compounding: bool) -> _Stem:
    goes_on = option.endswith("*")
    within = option.startswith("*") or (compounding and goes_on)
    return _Stem(plain(option.strip("*")), goes_on, within)
