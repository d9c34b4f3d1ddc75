"""From the wording of a signal to its function and qualifiers, with every step told."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache

from wiremap.trade.functions import FUNCTIONS, are_kin, normalise
from wiremap.trade.marks import MARKS, SCHEMES, Mark, read_mark
from wiremap.trade.names import Names, Rule, Term, folded, load_names, tokens

LONGEST = 400
"""Characters of a wording that are looked at; the rest stays unexplained."""

Qualifiers = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Reading:
    """What a signal's wording, mark and stated function come to.

    `qualifiers` are sorted (kind, value) pairs; `unexplained` holds words that no table explains and words that set
    the signal apart (secondary, reserved, optional); `how` is stated, mark, name or none; `may_be` names other
    functions the same words stand for; `settled` is false for bare letters, false friends and vague words unless a
    mark or a stated function settles them; `contradicts` tells where name, mark and stated function disagree.
    """

    function: str
    qualifiers: Qualifiers = ()
    unexplained: tuple[str, ...] = ()
    how: str = "none"
    because: tuple[str, ...] = ()
    may_be: tuple[str, ...] = ()
    settled: bool = False
    contradicts: tuple[str, ...] = ()

    def qualifier(self, kind: str) -> str | None:
        """The value of one kind of qualifier, or None."""
        return dict(self.qualifiers).get(kind)


@dataclass(frozen=True, slots=True)
class _Hit:
    """Words of the wording and the terms that explain them (none: unexplained)."""

    words: str
    terms: tuple[Term, ...] = ()
    ideas: frozenset[str] = frozenset()

    @property
    def letter(self) -> bool:
        return len(self.words) == 1 and self.words.isalpha()


@dataclass(frozen=True, slots=True)
class _Parsed:
    """A wording taken apart: hits in order, loose numbers and letters, and what was cut out before."""

    hits: tuple[_Hit, ...] = ()
    index: tuple[str, ...] = ()
    extra: Qualifiers = ()
    apart: tuple[str, ...] = ()
    size: int = 0
    ideas: frozenset[str] = frozenset()


def _hit(words: str, terms: tuple[Term, ...] = ()) -> _Hit:
    return _Hit(words, terms, terms[0].ideas if len(terms) == 1 else frozenset().union(*[t.ideas for t in terms]))


def _all_ideas(hits: Iterable[_Hit]) -> frozenset[str]:
    return frozenset().union(*[hit.ideas for hit in hits])


@dataclass(frozen=True, slots=True)
class _Choice:
    """The function that a wording alone gives, and what of it was used."""

    function: str
    rule: Rule | None = None
    doubt: bool = False
    may_be: tuple[str, ...] = ()
    consumed: frozenset[str] = field(default_factory=frozenset)


# ---- taking a wording apart

_DIGIT = re.compile(r"\d")
_STANDARD = re.compile(r"\b(?:of |per |to |acc(?:ording)?\.? to )?(?:and )?(?:ISO|IEC|EN|DIN|CiA|EIA|TIA|ITU-T|VDE)"
                       r"(?:[/ ](?:TIA|EIA|EN|ISO|IEC|DIN|SAE))*[ -]?[A-Z]{0,3}[.-]?\d{3,}(?:-\d+)*(?:\.\d+)?", re.I)
_NUMBERS = r"\d+(?:\s*(?:-|to|bis|a|az|und|and|et|,|&|/|i|ja|och|through|tot|do|en|y)\s*(?:contacts?\s+|pins?\s+)?\d+)*"
_SERVES = re.compile(
    r"\(?\b(?:(?P<for>for|of|fur|pour|dla|pro|voor|per|para|zu|till)\s+)?(?:the\s+)?(?:circuits?\s+of\s+)?"
    r"(?:contacts?|pins?|terminals?|circuits?|kontakte?n?|stifte?|broches?|styku?|kontakt\w*|pinow|stromkreise?)"
    r"[\s.]*(?:no|nos|nr|number|numbers)?[\s.]*(?P<list>" + _NUMBERS + r")(?![\w])\)?", re.I)
_RATE = re.compile(r"(?<![\w.])(\d+(?:[.,]\d+)?)(?:\s*k(?:bits?|baud|bd|b)(?:/s|ps)?|k)(?![\w])", re.I)
_RANGE = re.compile(r"\d+(?:[.,]\d+)?\s*(?:-|to|\.{2,3}|…|bis)\s*(?=\d+(?:[.,]\d+)?\s*V(?:olts?|DC)?\b)", re.I)
_NOTHING = Term(frozenset({"nothing"}))
_RETURNING = frozenset({"ground", "return", "minus", "common"})
_VOLT_WORDS = frozenset({"v", "volt", "volts", "vdc", "vcc"})
_SYSTEM_VOLTS = frozenset({"12", "24", "13.8", "27.6", "28", "14"})


def _numbers(text: str) -> str:
    """A list of contact numbers in one writing: `1-8` for three or more in a row, otherwise with commas."""
    values: list[int] = []
    pieces = re.split(r"(\d+)", text)
    for joiner, number in zip(pieces[0::2], pieces[1::2], strict=False):
        value = int(number[:4])
        word = re.sub(r"[^a-z-]", "", re.sub(r"contacts?|pins?", "", joiner.casefold()))
        if values and word in ("-", "to", "bis", "a", "az", "through", "tot", "do") and values[-1] < value:
            values.extend(range(values[-1] + 1, min(value, values[-1] + 200) + 1))
        else:
            values.append(value)
    runs: list[list[int]] = []
    for value in sorted(set(values)):
        if runs and value == runs[-1][-1] + 1:
            runs[-1].append(value)
        else:
            runs.append([value])
    return ",".join(f"{run[0]}-{run[-1]}" if len(run) > 2 else ",".join(map(str, run)) for run in runs)


def _cut(text: str, pattern: re.Pattern[str]) -> tuple[str, list[re.Match[str]]]:
    found = list(pattern.finditer(text))
    return (pattern.sub(" ", text) if found else text), found


def _terms_at(names: Names, words: tuple[str, ...], at: int) -> tuple[int, tuple[Term, ...]]:
    """The longest phrase that begins here: how many words, and its terms."""
    for size in range(min(names.longest.get(words[at], 0), len(words) - at), 0, -1):
        terms = names.phrases.get(words[at:at + size])
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
    elif not (start > at and (number in _SYSTEM_VOLTS or number == "5")):
        return 0, ""
    value = float(number) if len(number) < 12 else 0.0
    if value > 60:
        return end - at, "classb"
    return end - at, "v5" if 3 <= value <= 5.5 else "volts" if value > 5.5 else "minus" if value == 0 else "volts"


def _leading(hits: Iterable[_Hit]) -> bool:
    """Whether nothing but signs and fillers has been read so far, so that a standard's number may stand here."""
    return all(hit.terms and hit.ideas <= {"plus", "minus"} for hit in hits)


def _scan(names: Names, raw: tuple[str, ...]) -> tuple[list[_Hit], list[str]]:
    words = tuple(names.known(word.casefold()) for word in raw)
    hits: list[_Hit] = []
    index: list[str] = []
    at = 0
    while at < len(words):
        size, terms = _terms_at(names, words, at)
        if terms and terms[0].lead and not _leading(hits):
            size, terms = 0, ()
        told, idea = _volts_at(words, at) if size < 2 else (0, "")
        if told > size or (told and not terms):
            size, terms = told, (Term(frozenset({idea})),)
        if terms:
            hits.append(_hit(" ".join(words[at:at + size]), terms))
        elif words[at][0].isdigit():
            index.append(words[at])
        elif len(words[at]) == 1 and words[at].isalpha():
            index.append(words[at].upper())
        elif words[at].isalpha():
            parts = names.compound(words[at])
            guess = () if parts else names.guessed(words[at], raw[at].isupper())
            hits += [_hit(part, names.phrases[(part,)]) for part in parts] or [_hit(words[at], guess)]
        at += max(size, 1)
    return hits, index


_LETTER_HOMES = {
    "h": frozenset({"can", "bus", "j1850", "j1708", "balanced"}),
    "l": frozenset({"can", "bus", "j1850", "j1708", "balanced", "turn", "tail", "stopword", "lamp", "speaker", "sensor",
                    "switch", "reverse", "fog", "corner", "load", "serial", "lamp-feed"}),
    "r": frozenset({"turn", "tail", "stopword", "lamp", "speaker", "sensor", "switch", "reverse", "fog", "load", "lamp-feed"}),
}


def _sorted_letters(hits: list[_Hit], index: list[str]) -> tuple[list[_Hit], list[str]]:
    """Turn a single letter beside other words into an index, unless those words give it a meaning."""
    if not any(hit.letter for hit in hits):
        return hits, index
    meaning = [hit for hit in hits if not hit.letter and not (hit.terms and not hit.ideas and not _qualifying(hit))]
    if not meaning and not index:
        return hits, index
    ideas = _all_ideas(meaning)
    kept: list[_Hit] = []
    for hit in hits:
        leads = hit is hits[0] and hit.terms and hit.terms[0].filler
        if hit.letter and not leads and _LETTER_HOMES.get(hit.words, frozenset()).isdisjoint(ideas):
            index = [*index, hit.words.upper()]
        else:
            kept.append(hit)
    return kept, index


def _qualifying(hit: _Hit) -> bool:
    return any(term.quals for term in hit.terms)


def _parse(signal: str, names: Names) -> _Parsed:
    text = folded(signal[:LONGEST]).strip()
    apart = ["(cut off)"] if len(signal) > LONGEST else []
    if text.startswith("(") and text.endswith(")") and text.count("(") == 1:
        apart.append("optional")
    if text and not text.strip("- "):
        return _Parsed((_hit(text, (_NOTHING,)),), size=3, ideas=_NOTHING.ideas)
    rates: list[re.Match[str]] = []
    serving: list[re.Match[str]] = []
    if _DIGIT.search(text):
        text = _STANDARD.sub(" ", _RANGE.sub(" ", text))
        text, rates = _cut(text, _RATE)
        text, serving = _cut(text, _SERVES)
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
    return _Parsed(tuple(hits), tuple(index), tuple(extra), tuple(apart), len(text.strip(" ().,;:_-")), ideas)


# ---- choosing the function

def _doubtful(parsed: _Parsed, function: str, consumed: frozenset[str]) -> Iterator[Term]:
    others = sum(1 for hit in parsed.hits if hit.ideas) > 1
    for hit in parsed.hits:
        if hit.letter and others:
            continue
        used = [term for term in hit.terms if term.ideas & consumed or term.is_ == function]
        if used and all(term.doubt for term in used):
            yield used[0]


def _choose(parsed: _Parsed, names: Names) -> _Choice:
    """The function that the words alone give: a rule without doubt, a word that names it, then the doubtful ones."""
    ideas = parsed.ideas
    named = [term for hit in sorted(parsed.hits, key=lambda hit: -len(hit.words)) for term in hit.terms if term.is_]
    ruled = names.rule_for(ideas)
    sure = next((term for term in named if not term.doubt), None)
    if ruled is not None and not (ruled.doubt and sure):
        used = frozenset().union(*(group & ideas for group in ruled.needs))
        choice = _Choice(ruled.function, ruled, ruled.doubt, ruled.may_be, used)
    elif named:
        first = sure or named[0]
        choice = _Choice(first.is_, None, first.doubt, first.may_be, first.ideas)
    else:
        return _Choice("unknown")
    doubts = list(_doubtful(parsed, choice.function, choice.consumed))
    rivals = [term.is_ for term in named if not term.doubt and not are_kin(term.is_, choice.function)]
    other = [*choice.may_be, *(name for term in doubts for name in term.may_be), *rivals]
    if any(rival != choice.function for rival in rivals):
        choice = replace(choice, doubt=True)
    may_be = tuple(dict.fromkeys(name for name in other if name not in (choice.function, "unknown")))
    return replace(choice, doubt=choice.doubt or bool(doubts), may_be=may_be)


def _as_stated(parsed: _Parsed, names: Names, free: _Choice, stated: str) -> _Choice:
    """How the words fit a function that a mark or the paper states."""
    ideas = parsed.ideas
    if free.function == stated:
        return free
    rule = names.rule_for(ideas, stated)
    if rule is not None:
        used = frozenset().union(*(group & ideas for group in rule.needs))
        return _Choice(stated, rule, consumed=used)
    near = free.function != "unknown" and (
        are_kin(free.function, stated) or stated in free.may_be
        or FUNCTIONS[free.function].electrical == FUNCTIONS[stated].electrical)
    return _Choice(stated, free.rule if near else None, consumed=free.consumed if near else frozenset())


# ---- qualifiers and what is left

def _index(parsed: _Parsed, function: str, ideas: frozenset[str]) -> Iterator[tuple[str, str]]:
    """Loose numbers and letters: a pair's half, a standard's number that only repeats the function, or an index."""
    electrical = FUNCTIONS[function].electrical
    left: list[str] = []
    for value in parsed.index:
        mark = MARKS["din72552"].get(value.casefold())
        if value in ("A", "B") and electrical == "data":
            yield "polarity", value.lower()
        elif (mark is not None and mark.function == function) or (value in _SYSTEM_VOLTS and electrical == "supply"):
            continue
        else:
            left.append(value)
    if left:
        yield ("bus" if electrical == "bus" else "index"), "-".join(sorted(left, key=str.isdigit)).lower()


def _qualifiers(parsed: _Parsed, choice: _Choice, names: Names) -> tuple[dict[str, str], tuple[str, ...]]:
    """Qualifiers that hold for the chosen function, and the words that nothing explains."""
    electrical = FUNCTIONS[choice.function].electrical
    used = choice.consumed | names.absorbed.get(electrical, frozenset())
    quals: dict[str, str] = dict(choice.rule.quals) if choice.rule is not None else {}
    loose: list[str] = []
    circuits: list[str] = []
    for hit in parsed.hits:
        explained = not hit.terms or all(term.filler for term in hit.terms)
        for term in hit.terms:
            counts = bool(term.quals) and (not term.within or electrical in term.within)
            for kind, value in term.quals if counts else ():
                if kind == "circuit":
                    circuits.append(value)
                else:
                    quals.setdefault(kind, value)
            met = bool(term.ideas) and (term.ideas <= used or not term.ideas.isdisjoint(choice.consumed))
            explained = explained or met or term.is_ == choice.function or (not term.ideas and counts)
            if term.apart:
                loose.append(hit.words)
        if not hit.terms or not explained:
            loose.append(hit.words)
    quals.update({"circuit": "-".join(dict.fromkeys(circuits))} if circuits else {})
    for kind, value in (*_index(parsed, choice.function, parsed.ideas), *parsed.extra):
        quals.setdefault(kind, value)
    if "serves" in quals and electrical != "ground":
        loose.append(f"contact {quals.pop('serves')}")
    return quals, tuple(dict.fromkeys((*loose, *parsed.apart)))


def _vague(signal: str, parsed: _Parsed) -> bool:
    """Whether the wording is a bare token of one or two letters."""
    return parsed.size <= 2 and not any(mark.isdigit() for mark in signal)


def _told(signal: str, parsed: _Parsed, choice: _Choice) -> Iterator[str]:
    words = [hit.words for hit in parsed.hits if any(term.ideas & choice.consumed for term in hit.terms)]
    if choice.function == "unknown":
        yield f"no table explains `{signal[:60]}`" if signal.strip() else "the paper gives no name"
    elif words:
        yield f"`{' '.join(words)}` reads as {choice.function}"


def _name_reading(signal: str, names: Names, stated: str | None) -> tuple[Reading, _Choice]:
    parsed = _parse(signal, names)
    free = _choose(parsed, names)
    choice = free if stated is None else _as_stated(parsed, names, free, stated)
    quals, loose = _qualifiers(parsed, choice, names)
    function = choice.function
    if stated is None and function == "single-ended-data" and "polarity" in quals:
        function = "differential-data"
    because = list(_told(signal, parsed, free))
    because += [f"`{word}` is explained by no table or sets the signal apart" for word in loose]
    settled = function != "unknown" and not free.doubt and not _vague(signal, parsed)
    how = "none" if function == "unknown" else "name"
    return Reading(function, tuple(sorted(quals.items())), loose, how, tuple(because), free.may_be, settled), free


@lru_cache(maxsize=16384)
def _read(signal: str, names: Names | None, stated: str | None) -> tuple[Reading, _Choice]:
    return _name_reading(signal, names or load_names(), stated)


# ---- putting name, mark and statement together

def _marked(mark: Mapping[str, str] | None) -> Iterator[tuple[str, str, Mark | None]]:
    for scheme, text in sorted((mark or {}).items()):
        yield scheme, text, read_mark(scheme, text) if scheme in SCHEMES else None


def _disagree(one: str, two: str) -> bool:
    if one == two or are_kin(one, two) or "unknown" in (one, two):
        return False
    first, second = FUNCTIONS[one].electrical, FUNCTIONS[two].electrical
    return first != second or first in ("supply", "bus", "loop")


def _by_volts(reading: Reading, volts: tuple[float, float] | None) -> Reading:
    """Let stated volts decide between a vehicle supply and a sensor supply that go by one name."""
    if volts is None or reading.how != "name":
        return reading
    low, high = volts
    supply = FUNCTIONS[reading.function].electrical == "supply"
    if supply and 0 < high <= 5.5:
        told = f"{high:g} V is a sensor supply's level"
        return replace(reading, function="sensor-supply", because=(*reading.because, told), settled=False,
                       may_be=tuple(name for name in reading.may_be if name != "sensor-supply"))
    if reading.function == "sensor-supply" and low > 5.5:
        told = f"{low:g} V is no sensor supply's level"
        return replace(reading, function="permanent-supply", because=(*reading.because, told), settled=False,
                       may_be=("switched-supply", "auxiliary-supply"))
    return reading


def _with_mark(reading: Reading, mark: Mark, decided: str | None) -> Reading:
    """Add what a mark says; its qualifiers go before the name's."""
    said = f"{SCHEMES[mark.scheme]} {mark.mark}: {mark.meaning}"
    quals, clash = dict(reading.qualifiers), list(reading.contradicts)
    function = decided or mark.function
    for kind, value in mark.qualifiers_as(function):
        if quals.get(kind, value) != value:
            clash.append(f"the name says {kind} {quals[kind]}, {said} says {value}")
        quals[kind] = value
    if decided is not None and decided not in mark.may_be and _disagree(decided, mark.function):
        clash.append(f"{said} is {mark.function}, the paper states {decided}")
    return replace(reading, function=function, qualifiers=tuple(sorted(quals.items())),
                   because=(*reading.because, said, *mark.warnings), contradicts=tuple(clash))


def read_signal(signal: str, *, stated: str | None = None, mark: Mapping[str, str] | None = None,
                volts: tuple[float, float] | None = None, names: Names | None = None) -> Reading:
    """The function and qualifiers of a signal from its wording, its mark and the stated function.

    A stated function wins over a mark, a mark over the name; qualifiers come from all three.  `mark` maps a scheme
    (din72552, v24) to a designation, `volts` is a range in volts, `names` replaces the shipped wordings.  Nothing
    is raised for odd input: what is not understood is `unknown` or stands under `unexplained`.
    """
    marks = list(_marked(mark))
    known = [found for _, _, found in marks if found is not None]
    slug = normalise(stated) if stated else None
    slug = None if slug == "unknown" else slug
    decided = slug or (known[0].function if known else None)
    if slug is None and known and known[0].may_be:
        by_name = _read(signal, names, None)[0].function
        decided = by_name if by_name in known[0].may_be else decided
    reading, free = _read(signal, names, decided)
    notes = [f"{SCHEMES.get(scheme, scheme)} `{text[:40]}` is in no table here" for scheme, text, found in marks
             if found is None]
    if stated and normalise(stated) is None:
        notes.append(f"`{stated[:40]}` is no function here")
    reading = replace(reading, because=(*reading.because, *notes))
    if decided is None:
        return _by_volts(reading, volts)
    for found in known:
        reading = _with_mark(reading, found, decided)
    clash = list(reading.contradicts)
    if not free.doubt and free.function != "unknown" and _disagree(free.function, decided) \
            and decided not in free.may_be:
        clash.append(f"the name reads as {free.function}, the {'paper states' if slug else 'mark says'} {decided}")
    if slug:
        return replace(reading, function=slug, how="stated", settled=True, may_be=(), contradicts=tuple(clash),
                       because=(f"the paper states {slug}", *reading.because))
    first = known[0]
    settled = (first.settled or decided != first.function) and not clash
    return replace(reading, function=decided, how="mark", settled=settled, contradicts=tuple(clash),
                   may_be=tuple(name for name in first.may_be if name != decided))
