"""A wording taken apart: words and what the tables say of them, loose numbers, rates, and what a return serves."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from wiremap.trade.names import Names, Term, folded, tokens

LONGEST = 400
"""Characters of a wording that are looked at; the rest stays unexplained."""

Qualifiers = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Hit:
    """Words of the wording and the terms that explain them (none: unexplained)."""

    words: str
    terms: tuple[Term, ...] = ()
    ideas: frozenset[str] = frozenset()

    @property
    def letter(self) -> bool:
        """Whether it is a single letter."""
        return len(self.words) == 1 and self.words.isalpha()


@dataclass(frozen=True, slots=True)
class Line:
    """The hits of a wording in order, and the ideas of all of them; equal words in one table make equal lines."""

    key: tuple[tuple[str, bool], ...] = ()
    hits: tuple[Hit, ...] = field(default=(), compare=False)
    ideas: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Wording:
    """A wording taken apart: its line, loose numbers and letters, and what was cut out before.

    `apart` holds words that set the signal apart, `size` the number of characters that carry meaning.
    """

    line: Line = field(default_factory=Line)
    index: tuple[str, ...] = ()
    extra: Qualifiers = ()
    apart: tuple[str, ...] = ()
    size: int = 0


def _hit(words: str, terms: tuple[Term, ...] = ()) -> Hit:
    return Hit(
        words,
        terms,
        terms[0].ideas if len(terms) == 1 else frozenset().union(*[t.ideas for t in terms]),
    )


def _all_ideas(hits: Iterable[Hit]) -> frozenset[str]:
    return frozenset().union(*[hit.ideas for hit in hits])


_DIGIT = re.compile(r"\d")
_STANDARD = re.compile(
    r"\b(?:of |per |to |acc(?:ording)?\.? to )?(?:and )?(?:ISO|IEC|EN|DIN|CiA|EIA|TIA|ITU-T|VDE)"
    r"(?:[/ ](?:TIA|EIA|EN|ISO|IEC|DIN|SAE))*[ -]?[A-Z]{0,3}[.-]?\d{3,}(?:-\d+)*(?:\.\d+)?",
    re.I,
)
_NUMBERS = r"\d+(?:\s*(?:-|to|bis|a|az|und|and|et|,|&|/|i|ja|och|through|tot|do|en|y)\s*(?:contacts?\s+|pins?\s+)?\d+)*"
_SERVES = re.compile(
    r"\(?\b(?:(?P<for>for|of|fur|pour|dla|pro|voor|per|para|zu|till)\s+)?(?:the\s+)?(?:circuits?\s+of\s+)?"
    r"(?:contacts?|pins?|terminals?|circuits?|kontakte?n?|stifte?|broches?|styku?|kontakt\w*|pinow|stromkreise?)"
    r"[\s.]*(?:no|nos|nr|number|numbers)?[\s.]*(?P<list>" + _NUMBERS + r")(?![\w])\)?",
    re.I,
)
# "terminal 31" names a standard's terminal, as "Kl. 31" does; "for terminal 4" names a contact that is served
_TERMINAL = re.compile(
    r"(?<!for )(?<!for the )(?<!of )\bterminal[\s.]*(?=(?:15|30|31|49|50|5[4-8]|61|75|8[5-7])[a-z]?\b)",
    re.I,
)
_RATE = re.compile(
    r"(?<![\w.])(\d+(?:[.,]\d+)?)(?:\s*k(?:bits?|baud|bd|b)(?:/s|ps)?|k)(?![\w])", re.I
)
_RANGE = re.compile(
    r"\d+(?:[.,]\d+)?\s*(?:-|to|\.{2,3}|…|bis)\s*(?=\d+(?:[.,]\d+)?\s*V(?:olts?|DC)?\b)", re.I
)
_NOTHING = Term(frozenset({"nothing"}))
_DESIGNATES = frozenset(
    {"kl", "klemme"}
)  # the number after it is a standard's terminal wherever it stands
_RETURNING = frozenset({"ground", "return", "minus", "common"})
_VOLT_WORDS = frozenset({"v", "volt", "volts", "vdc", "vcc"})
SYSTEM_VOLTS = frozenset({"12", "24", "13.8", "27.6", "28", "14"})


def _numbers(text: str) -> str:
    """A list of contact numbers in one writing: `1-8` for three or more in a row, otherwise with commas."""
    values: list[int] = []
    pieces = re.split(r"(\d+)", text)
    for joiner, number in zip(pieces[0::2], pieces[1::2], strict=False):
        value = int(number[:4])
        word = re.sub(r"[^a-z-]", "", re.sub(r"contacts?|pins?", "", joiner.casefold()))
        if (
            values
            and word in ("-", "to", "bis", "a", "az", "through", "tot", "do")
            and values[-1] < value
        ):
            values.extend(range(values[-1] + 1, min(value, values[-1] + 200) + 1))
        else:
            values.append(value)
    runs: list[list[int]] = []
    for value in sorted(set(values)):
        if runs and value == runs[-1][-1] + 1:
            runs[-1].append(value)
        else:
            runs.append([value])
    return ",".join(
        f"{run[0]}-{run[-1]}" if len(run) > 2 else ",".join(map(str, run)) for run in runs
    )


def _cut(text: str, pattern: re.Pattern[str]) -> tuple[str, list[re.Match[str]]]:
    found = list(pattern.finditer(text))
    return (pattern.sub(" ", text) if found else text), found


def _terms_at(names: Names, words: tuple[str, ...], at: int) -> tuple[int, tuple[Term, ...]]:
    """The longest phrase that begins here: how many words, and its terms."""
    for size in range(min(names.longest.get(words[at], 0), len(words) - at), 0, -1):
        terms = names.phrases.get(words[at : at + size])
        if terms is not None:
            return size, terms
    return 0, ()


def _volts_at(words: tuple[str, ...], at: int) -> tuple[int, str]:
    """How many words from here tell volts, and the idea they give."""
    start = at + 1 if words[at] == "+" and at + 1 < len(words) else at
    number = words[start].replace(",", ".")
    if not number[0].isdigit():
        return 0, ""
    end = start + 1
    told = end < len(words) and words[end] in _VOLT_WORDS
    if told:
        end += 1
    elif not (start > at and (number in SYSTEM_VOLTS or number == "5")):
        return 0, ""
    value = float(number) if len(number) < 12 else 0.0
    if value > 60:
        return end - at, "classb"
    return (
        end - at,
        "v5"
        if 3 <= value <= 5.5
        else "volts"
        if value > 5.5
        else "minus"
        if value == 0
        else "volts",
    )


def _leading(hits: Iterable[Hit]) -> bool:
    """Whether nothing but signs and fillers has been read so far, so that a standard's number may stand here."""
    return all(hit.terms and hit.ideas <= {"plus", "minus"} for hit in hits)


def _scan(names: Names, raw: tuple[str, ...]) -> tuple[list[Hit], list[str]]:
    words = tuple(names.known(word.casefold()) for word in raw)
    hits: list[Hit] = []
    index: list[str] = []
    at = 0
    while at < len(words):
        size, terms = _terms_at(names, words, at)
        if (
            terms
            and terms[0].lead
            and not (_leading(hits) or (at and words[at - 1] in _DESIGNATES))
        ):
            size, terms = 0, ()
        told, idea = _volts_at(words, at) if size < 2 else (0, "")
        if told > size or (told and not terms):
            size, terms = told, (Term(frozenset({idea})),)
        if terms:
            hits.append(_hit(" ".join(words[at : at + size]), terms))
        elif words[at][0].isdigit():
            index.append(words[at])
        elif len(words[at]) == 1 and words[at].isalpha():
            index.append(words[at].upper())
        elif words[at].isalpha():
            parts = names.compound(words[at])
            guess = () if parts else names.guessed(words[at], raw[at].isupper())
            hits += [_hit(part, names.phrases[(part,)]) for part in parts] or [
                _hit(words[at], guess)
            ]
        at += max(size, 1)
    return hits, index


_LETTER_HOMES = {
    "h": frozenset({"can", "bus", "j1850", "j1708", "balanced"}),
    "l": frozenset(
        {
            "can",
            "bus",
            "j1850",
            "j1708",
            "balanced",
            "turn",
            "tail",
            "stopword",
            "lamp",
            "speaker",
            "sensor",
            "switch",
            "reverse",
            "fog",
            "corner",
            "load",
            "serial",
            "lamp-feed",
        }
    ),
    "r": frozenset(
        {
            "turn",
            "tail",
            "stopword",
            "lamp",
            "speaker",
            "sensor",
            "switch",
            "reverse",
            "fog",
            "load",
            "lamp-feed",
        }
    ),
}


def _sorted_letters(hits: list[Hit], index: list[str]) -> tuple[list[Hit], list[str]]:
    """Turn a single letter beside other words into an index, unless those words give it a meaning."""
    if not any(hit.letter for hit in hits):
        return hits, index
    meaning = [
        hit
        for hit in hits
        if not hit.letter and not (hit.terms and not hit.ideas and not _qualifying(hit))
    ]
    if not meaning and not index:
        return hits, index
    ideas = _all_ideas(meaning)
    kept: list[Hit] = []
    for hit in hits:
        leads = hit is hits[0] and hit.terms and hit.terms[0].filler
        if hit.letter and not leads and _LETTER_HOMES.get(hit.words, frozenset()).isdisjoint(ideas):
            index = [*index, hit.words.upper()]
        else:
            kept.append(hit)
    return kept, index


def _qualifying(hit: Hit) -> bool:
    return any(term.quals for term in hit.terms)


def _line(hits: list[Hit], ideas: frozenset[str]) -> Line:
    return Line(tuple([(hit.words, bool(hit.terms)) for hit in hits]), tuple(hits), ideas)


def take_apart(signal: str, names: Names) -> Wording:
    """The words, numbers and signs of a signal's wording with what the tables say of each."""
    text = folded(signal[:LONGEST]).strip()
    apart = ["(cut off)"] if len(signal) > LONGEST else []
    if text.startswith("(") and text.endswith(")") and text.count("(") == 1:
        apart.append("optional")
    if text and not text.strip("- "):
        return Wording(_line([_hit(text, (_NOTHING,))], _NOTHING.ideas), size=3)
    rates: list[re.Match[str]] = []
    serving: list[re.Match[str]] = []
    if _DIGIT.search(text):
        text = _STANDARD.sub(" ", _RANGE.sub(" ", text))
        text, rates = _cut(text, _RATE)
        text, serving = _cut(_TERMINAL.sub("Kl. ", text), _SERVES)
    hits, index = _scan(names, tokens(text)[:80])
    hits, index = _sorted_letters(hits, index)
    extra = [("rate", match.group(1).replace(",", ".")) for match in rates[:1]]
    ideas = _all_ideas(hits)
    for match in serving:
        if ideas & _RETURNING:
            extra.append(("serves", _numbers(match.group("list"))))
            ideas |= {"serves"}
        elif match.group("for") or match.start() > 0:
            apart.append(f"contact {_numbers(match.group('list'))}")
        elif not hits:
            index.append(match.group("list"))
    return Wording(
        _line(hits, ideas), tuple(index), tuple(extra), tuple(apart), len(text.strip(" ().,;:_-"))
    )
