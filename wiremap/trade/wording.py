"""A wording taken apart: words with what the tables say of them, loose numbers, rates, and what a
return serves.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from typing import NamedTuple

from wiremap.base import in_a_row
from wiremap.trade.folding import folded
from wiremap.trade.functions import FUNCTIONS
from wiremap.trade.limits import limit
from wiremap.trade.names import Names, Term, tokens
from wiremap.trade.order import by_order
from wiremap.trade.told_figures import has_units, without_load

LONGEST = 400
"""Characters of a wording that are looked at; the rest stays unexplained."""
MOST_WORDS = 80
MOST_KEPT = 16384  # wordings
DASH_SIZE = 3  # `-` and `--` count as a word: they tell that nothing is there
SYSTEM_VOLTS = frozenset({"12", "24", "13.8", "27.6", "28", "14"})
CLASS_B = limit("class-b-dc-volts")
LOWEST_REFERENCE = 4.5  # V: a level from here to the next is a sensor supply's (common practice)
HIGHEST_REFERENCE = 5.5  # V

Qualifiers = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class WordStretch:
    """Words of the wording and the terms that explain them (none: unexplained)."""

    words: str
    terms: tuple[Term, ...]
    ideas: frozenset[str]

    @property
    def letter(self) -> bool:
        """Whether it is a single letter."""
        return len(self.words) == 1 and self.words.isalpha()

    @property
    def silent(self) -> bool:
        """Whether it is explained without saying anything."""
        if not self.terms or any(term.quals for term in self.terms):
            return False
        return not self.ideas or all(term.filler for term in self.terms)


@dataclass(frozen=True, slots=True)
class Line:
    """The stretches of a wording in order, and the ideas of all of them.

    Lines are equal where their words are, by `key`: each word, and whether a term explains it.
    """

    key: tuple[tuple[str, bool], ...] = ()
    stretches: tuple[WordStretch, ...] = field(default=(), compare=False)
    ideas: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class Wording:
    """A wording taken apart: its line, loose numbers and letters, and what was cut out before.

    `extra` are the qualifiers by what was cut out (`rate`, `serves`), `apart` holds words that set
    the signal apart, `size` the number of characters with a meaning.
    """

    line: Line
    loose: tuple[str, ...] = ()
    extra: Qualifiers = ()
    apart: tuple[str, ...] = ()
    size: int


@lru_cache(maxsize=MOST_KEPT)  # a stated function and the words alone are read from one wording
def take_apart(signal: str, names: Names) -> Wording:
    """The words, numbers and signs of a signal's wording with what the tables say of each."""
    text = folded(signal[:LONGEST]).strip()
    if text and not text.strip("- "):
        return Wording(line=_line([_stretch(text, (_NOTHING,))], _NOTHING.ideas), size=DASH_SIZE)
    rates, serving = _figures_cut_out(text)
    scan = _Scan(names, tokens(serving.text)[:MOST_WORDS])
    scan.settle()
    scan.place_letters()
    extra = [("rate", match[1].replace(",", ".")) for match in rates.found[:1]]
    apart = list(_sets_apart(signal, text))
    ideas = _all_ideas(scan.stretches) | by_order(scan.stretches)
    for match in serving.found:
        numbers = _numbers(match["list"])
        if ideas & _RETURNING:
            extra.append(("serves", numbers))
            ideas |= {"serves"}
        elif match["for"] or match.start() > 0:
            apart.append(f"contact {numbers}")
        elif not scan.stretches:
            scan.loose.append(match["list"])
    return Wording(
        line=_line(scan.stretches, ideas),
        loose=tuple(scan.loose),
        extra=tuple(extra),
        apart=tuple(apart),
        size=len(serving.text.strip(" ().,;:_-")),
    )


def _sets_apart(signal: str, text: str) -> Iterator[str]:
    """What sets a signal apart by the form of its wording: too long, or all in brackets."""
    if len(signal) > LONGEST:
        yield "(cut off)"
    if text.startswith("(") and text.endswith(")") and text.count("(") == 1:
        yield "optional"


# ---- what is cut out of a wording before its words are read

_DIGIT = re.compile(r"\d")
_STANDARD = re.compile(
    r"\b(?:of |per |to |acc(?:ording)?\.? to )?(?:and )?"
    r"(?:ISO|IEC|EN|DIN|CiA|EIA|TIA|ITU-T|VDE)(?:[/ ](?:TIA|EIA|EN|ISO|IEC|DIN|SAE))*"
    r"[ -]?[A-Z]{0,3}[.-]?\d{3,}(?:-\d+)*(?:\.\d+)?",
    re.I,
)
_NUMBERS = (
    r"\d+(?:\s*(?:-|to|bis|a|az|und|and|et|,|&|/|i|ja|och|through|tot|do|en|y)"
    r"\s*(?:contacts?\s+|pins?\s+)?\d+)*"
)
_SERVES = re.compile(
    r"\(?\b(?:(?P<for>for|of|fur|pour|dla|pro|voor|per|para|zu|till)\s+)?"
    r"(?:the\s+)?(?:circuits?\s+of\s+)?"
    r"(?:contacts?|pins?|terminals?|circuits?|kontakte?n?|stifte?|broches?|styku?|kontakt\w*"
    r"|pinow|stromkreise?)"
    r"[\s.]*(?:no|nos|nr|number|numbers)?[\s.]*(?P<list>" + _NUMBERS + r")(?![\w])\)?",
    re.I,
)
# "terminal 31" names a standard's terminal, as "Kl. 31" does; "for terminal 4" a contact served
_TERMINAL = re.compile(
    r"(?<!for )(?<!for the )(?<!of )\bterminal[\s.]*"
    r"(?=(?:15|30|31|49|50|5[4-8]|61|75|8[5-7])[a-z]?\b)",
    re.I,
)
_RATE = re.compile(
    r"(?<![\w.])(\d+(?:[.,]\d+)?)(?:\s*k(?:bits?|baud|bd|b)(?:/s|ps)?|k)(?![\w])", re.I
)
_RANGE = re.compile(
    r"\d+(?:[.,]\d+)?\s*(?:-|to|\.{2,3}|…|bis)\s*(?=\d+(?:[.,]\d+)?\s*V(?:olts?|DC)?\b)", re.I
)
# `-X1:3` is a terminal of a drawing, and its sign no minus (IEC 81346-1, product aspect)
_DESIGNATION = re.compile(r"(?<![\w.])[-=](?:[A-Z]{1,3}\d+)(?:[-:.]?[A-Z]?\d+)*(?!\w)")
# what swings from 0 V on carries a signal, whatever else the wording says
_OF_A_SIGNAL = "SIG"  # for the range, as no phrase of the tables joins it with the word before
_FROM_NOTHING = re.compile(
    r"(?<![\w.,])0(?:[.,]\d+)?\s*(?:-|to|\.{2,3}|…|bis)\s*(?=\d+(?:[.,]\d+)?\s*V(?:olts?|DC)?\b)",
    re.I,
)
# `no. 15` is number fifteen; capitals without a full stop are a contact that makes
_COUNTED = re.compile(r"(?<![\w.])(?:[Nn]o\.|NO\.|[Nn]o|[Nn]r\.?|№|#)\s*(?=\d)")
_NOTHING = Term(frozenset({"nothing"}))
# the number after one of these is a standard's terminal wherever it stands
_DESIGNATES = frozenset({"kl", "klemme", "pos"})
_SIGNS = frozenset({"plus", "minus"})
_RETURNING = frozenset({"ground", "return", "minus", "common"})
_VOLT_WORDS = frozenset({"v", "volt", "volts", "vdc", "vcc"})
_SERIAL = frozenset({"data"})
_SMALL_WORDS = frozenset({"ab", "ca", "da"})  # of sentences, where written small
_THROUGH = frozenset({"-", "to", "bis", "a", "az", "through", "tot", "do"})
_PLACE_WORD = re.compile(r"contacts?|pins?")
_NO_WORD = re.compile(r"[^a-z-]")
LONGEST_RUN = 200  # contact numbers in one range
LONGEST_NUMBER = 12  # characters; a longer one is no number of volts


class _Cut(NamedTuple):
    """A text without what a pattern finds, and what it found."""

    text: str
    found: list[re.Match[str]]


def _figures_cut_out(text: str) -> tuple[_Cut, _Cut]:
    """The rates of a text, and then the contacts that it says it serves; other figures that name
    nothing (of a drawing, a range of volts, a load, a standard) are gone from both.
    """
    if not _DIGIT.search(text):
        return _Cut(text, []), _Cut(text, [])
    text = _DESIGNATION.sub(" ", text)
    with_units = has_units(text)
    if with_units:
        text = _FROM_NOTHING.sub(f" {_OF_A_SIGNAL} ", text)
    text = _COUNTED.sub(" ", text)
    if with_units:
        text = _RANGE.sub(" ", without_load(text))
    rates = _cut(_STANDARD.sub(" ", text), _RATE)
    return rates, _cut(_TERMINAL.sub("Kl. ", rates.text), _SERVES)


def _cut(text: str, pattern: re.Pattern[str]) -> _Cut:
    found = list(pattern.finditer(text))
    return _Cut(pattern.sub(" ", text) if found else text, found)


def _numbers(text: str) -> str:
    """Contact numbers in one writing: `1-8` for three or more in a row, or with commas."""
    values: list[int] = []
    pieces = re.split(r"(\d+)", text)
    for joiner, number in zip(pieces[0::2], pieces[1::2], strict=False):
        value = int(number[:4])
        word = _NO_WORD.sub("", _PLACE_WORD.sub("", joiner.casefold()))
        if values and word in _THROUGH and values[-1] < value:
            last = min(value, values[-1] + LONGEST_RUN)
            values += range(values[-1] + 1, last + 1)
        else:
            values.append(value)
    return ",".join(map(_run, in_a_row(sorted(set(values)))))


def _run(values: list[int]) -> str:
    """Numbers in a row: `1-8`, or `1,2`."""
    if len(values) > 2:
        return f"{values[0]}-{values[-1]}"
    return ",".join(map(str, values))


# ---- words and numbers


def _stretch(words: str, terms: tuple[Term, ...] = ()) -> WordStretch:
    if len(terms) == 1:
        return WordStretch(words, terms, terms[0].ideas)
    return WordStretch(words, terms, frozenset().union(*[term.ideas for term in terms]))


def _all_ideas(stretches: Iterable[WordStretch]) -> frozenset[str]:
    return frozenset().union(*[stretch.ideas for stretch in stretches])


def _line(stretches: list[WordStretch], ideas: frozenset[str]) -> Line:
    key = tuple([(stretch.words, bool(stretch.terms)) for stretch in stretches])
    return Line(key, tuple(stretches), ideas)


class _Found(NamedTuple):
    """How many words were read, and the terms that explain them."""

    size: int
    terms: tuple[Term, ...]


_NOT_FOUND = _Found(0, ())


class _Scan:
    """The words of a wording read from left to right: stretches, and loose numbers and letters."""

    def __init__(self, names: Names, as_written: tuple[str, ...]) -> None:
        self.stretches: list[WordStretch] = []
        self.loose: list[str] = []
        self._names = names
        self._as_written = as_written
        self._words = tuple(names.known(word.casefold()) for word in as_written)
        self._singular = tuple(map(names.singular, self._words))
        at = 0
        while at < len(as_written):
            at += self._read(at)

    def _read(self, at: int) -> int:
        """Read what begins at this word; gives how many words that took."""
        found = self._phrase(at)
        if found.size < 2:
            volts = self._volts(at)
            if volts.size > found.size or (volts.size and not found.terms):
                found = volts
        if found.terms:
            words = " ".join(self._words[at : at + found.size])
            self.stretches.append(_stretch(words, found.terms))
        else:
            self._read_without_phrase(at)
        return max(found.size, 1)

    def _read_without_phrase(self, at: int) -> None:
        """Read a word that no phrase explains: a number, a letter, a compound, or a guess."""
        word = self._words[at]
        if word[0].isdigit():
            self.loose.append(word)
        elif word.isalpha() and len(word) == 1:
            self.loose.append(word.upper())
        elif word.isalpha():
            parts = self._names.compound(word)
            for part in parts:
                self.stretches.append(_stretch(part, self._names.phrases[(part,)]))
            if not parts:
                guess = self._names.guessed(word, short=self._as_written[at].isupper())
                self.stretches.append(_stretch(word, guess))

    def _phrase(self, at: int) -> _Found:
        """The longest phrase that begins here."""
        words = self._words
        phrases = self._names.phrases
        longest = self._names.longest
        most = max(longest.get(words[at], 0), longest.get(self._singular[at], 0))
        for size in range(min(most, len(words) - at), 0, -1):
            place = slice(at, at + size)
            terms = phrases.get(words[place]) or phrases.get(self._singular[place])
            if terms is None:
                continue
            if terms and terms[0].lead and not self._may_lead(at):
                return _NOT_FOUND
            if size == 1 and self._is_small_word(at, terms):
                continue
            return _Found(size, terms)
        return _NOT_FOUND

    def _is_small_word(self, at: int, terms: tuple[Term, ...]) -> bool:
        """Whether letters of a serial circuit (CA, DA) stand here as a word of a sentence."""
        beside = len(self._as_written) > 1 and self._as_written[at] in _SMALL_WORDS
        return beside and any(term.within == _SERIAL for term in terms)

    def _may_lead(self, at: int) -> bool:
        """Whether a standard's number may stand here: behind nothing but signs and fillers."""
        if at and self._words[at - 1] in _DESIGNATES:
            return True
        return all(
            stretch.terms and (stretch.silent or stretch.ideas <= _SIGNS)
            for stretch in self.stretches
        )

    def _volts(self, at: int) -> _Found:
        """A number of volts that begins here: with its unit, or signed and usual (`+12`)."""
        words = self._words
        signed = words[at] in ("+", "-") and at + 1 < len(words)
        place = at + 1 if signed else at
        number = words[place].replace(",", ".")
        if not number[0].isdigit():
            return _NOT_FOUND
        end = place + 1
        if end < len(words) and words[end] in _VOLT_WORDS:
            end += 1
        elif not (signed and (number in SYSTEM_VOLTS or number == "5")):
            return _NOT_FOUND
        value = float(number) if len(number) < LONGEST_NUMBER else 0.0
        idea = _level(value)
        if value and words[at] == "-":
            idea = "negative"
        return _Found(end - at, (Term(frozenset({idea})),))

    def settle(self) -> None:
        """Let go the terms that the words beside them rule out: `NC` by itself is not connected,
        beside a switch the contact that breaks.
        """
        for place, stretch in enumerate(self.stretches):
            if any(term.beside or term.without for term in stretch.terms):
                others = [other for other in self.stretches if other is not stretch]
                ideas = _all_ideas(others) | _company(others)
                fitting = [term for term in stretch.terms if _fits(term, ideas)]
                self.stretches[place] = _stretch(stretch.words, tuple(fitting))

    def place_letters(self) -> None:
        """Let single letters be loose where the words beside them give them no meaning."""
        letters = [stretch for stretch in self.stretches if stretch.letter]
        if not letters:
            return
        meaning = [
            stretch for stretch in self.stretches if not stretch.letter and not stretch.silent
        ]
        if not (meaning or self.loose):
            return
        ideas = _all_ideas(meaning)
        first = self.stretches[0]
        for stretch in letters:
            leads = stretch is first and stretch.terms and stretch.terms[0].filler
            homes = _LETTER_HOMES.get(stretch.words, frozenset())
            if not leads and homes.isdisjoint(ideas):
                self.loose.append(stretch.words.upper())
                self.stretches = [other for other in self.stretches if other is not stretch]


def _company(others: list[WordStretch]) -> frozenset[str]:
    """The ideas `anyword`, `strangeword`, and the class of every function that a word names."""
    ideas = {"anyword"} if others else set()
    if any(not other.terms for other in others):
        ideas.add("strangeword")
    named = [term.is_ for other in others for term in other.terms if term.is_]
    ideas.update(FUNCTIONS[function].electrical for function in named)
    return frozenset(ideas)


def _fits(term: Term, others: frozenset[str]) -> bool:
    """Whether a term may be read beside words of these ideas."""
    if term.beside and term.beside.isdisjoint(others):
        return False
    return term.without.isdisjoint(others)


def _level(volts: float) -> str:
    """The idea that a number of volts gives."""
    if volts > CLASS_B:
        return "classb"
    if volts == 0:
        return "minus"
    if LOWEST_REFERENCE <= volts <= HIGHEST_REFERENCE:
        return "v5"
    return "lowvolts" if volts < LOWEST_REFERENCE else "volts"


_BUSES = frozenset({"can", "bus", "j1850", "j1708", "balanced"})
_SIDED = frozenset(
    {"turn", "tail", "stopword", "lamp", "speaker", "sensor", "switch", "reverse", "fog", "load"}
    | {"lamp-feed"}
)
_LETTER_HOMES = {
    "h": _BUSES,
    "l": _BUSES | _SIDED | {"corner", "serial"},
    "r": _SIDED,
}
"""Ideas beside which a single letter has a meaning of its own (high, low, left, right)."""


def counted(index: str) -> str:
    """An index as a number where it is a letter by itself, the other way of counting: B is 2."""
    letter = len(index) == 1 and index.isascii() and index.isalpha()
    return str(ord(index.lower()) - ord("a") + 1) if letter else index
