"""From the wording of a signal to its function and qualifiers, with every step told."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache

from wiremap.trade.dangers import dangers_in, names_lamp
from wiremap.trade.functions import FUNCTIONS, are_kin, is_vague, normalise
from wiremap.trade.marks import MARKS, SCHEMES, Mark, read_mark
from wiremap.trade.names import FunctionRule, Names, Term, load_names
from wiremap.trade.wording import (
    HIGHEST_REFERENCE,
    LONGEST,
    SYSTEM_VOLTS,
    Line,
    Qualifiers,
    Wording,
    WordStretch,
    take_apart,
)

__all__ = ["LONGEST", "Meaning", "read_signal"]

TOO_SHORT = 2  # wordings of so few characters are never settled by themselves


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a signal's wording, mark and stated function come to.

    `qualifiers` are sorted (kind, value) pairs; `unexplained` holds words that no table explains
    and words that set the signal apart (secondary, reserved, optional); `how` is stated, mark, name
    or none; `may_be` names other functions the same words stand for; `settled` is false for bare
    letters, false friends and vague words unless a mark or a stated function settles them;
    `contradicts` tells where name, mark and stated function disagree; `by_words` is the function
    that the words alone give, where it is another one; `outward` says that the wording calls it an
    output.
    """

    function: str
    qualifiers: Qualifiers = ()
    unexplained: tuple[str, ...] = ()
    how: str = "none"
    because: tuple[str, ...] = ()
    may_be: tuple[str, ...] = ()
    settled: bool = False
    contradicts: tuple[str, ...] = ()
    by_words: str = ""
    outward: bool = False

    def qualifier(self, kind: str) -> str | None:
        """The value of one kind of qualifier, or None."""
        return dict(self.qualifiers).get(kind)

    @property
    def flow(self) -> str | None:
        """The direction that the function gives; None where what else it may be gives another."""
        flow = FUNCTIONS[self.function].flow
        if self.settled or all(FUNCTIONS[name].flow == flow for name in self.may_be):
            return flow
        return None

    def flow_on(self, side: str) -> str | None:
        """The direction as `flow`, on a paper of one side: a unit's lamp output comes from it."""
        if self.feeds_out(side):
            return "from-unit"
        return self.flow

    def feeds_out(self, side: str) -> bool:
        """Whether a unit's paper calls a lamp's contact an output: the unit feeds it."""
        return self.outward and side == "unit" and FUNCTIONS[self.function].electrical == "lamp"

    def noted(self, *because: str) -> Meaning:
        """This meaning, with more reasons for it."""
        return replace(self, because=(*self.because, *because))


def read_signal(
    signal: str,
    *,
    stated: str | None = None,
    mark: Mapping[str, str] | None = None,
    volts: tuple[float, float] | None = None,
    names: Names | None = None,
) -> Meaning:
    """The function and qualifiers of a signal from its wording, its mark and the stated function.

    A stated function wins over a mark, a mark over the name; qualifiers come from all three.
    `mark` maps a scheme (din72552, v24) to a designation, `volts` is a range in volts, `names`
    replaces the shipped wordings.  Nothing is raised for odd input: what is not understood is
    `unknown` or stands under `unexplained`.
    """
    marks, notes = _known_marks(mark)
    slug = normalise(stated) if stated else None
    if stated and slug is None:
        notes.append(f"`{stated[:40]}` is no function here")
    if slug == "unknown":
        slug = None
    decided = slug
    if slug is None and marks:
        decided = _by_mark(signal, marks[0], names)
    read = _read(signal, names, decided)
    meaning = read.meaning.noted(*notes) if notes else read.meaning
    if decided is None:
        return _by_volts(meaning, volts)
    for known in marks:
        meaning = _with_mark(meaning, known, decided)
    says = "paper states" if slug else "mark says"
    meaning = _against_words(meaning, read.by_words, decided, says)
    if slug:
        return _as_stated(meaning, slug)
    return _as_marked(meaning, marks[0], decided)


def _against_words(meaning: Meaning, by_words: _Choice, decided: str, says: str) -> Meaning:
    """The meaning, held against the function that the words alone give."""
    if decided in by_words.may_be or not _disagree(by_words.function, decided):
        return meaning
    clashes = meaning.contradicts
    if not by_words.doubt:
        clashes = (*clashes, f"the name reads as {by_words.function}, the {says} {decided}")
    return replace(meaning, contradicts=clashes, by_words=by_words.function)


def worded(signal: str, stated: str | None) -> tuple[str, str | None]:
    """The wording of a contact and the function that is stated for it, if any is.

    A vague name of a function states nothing: it is one more word of the wording.  It does count as
    stated where the signal's own words give another function.
    """
    if stated is None or not is_vague(stated):
        return signal, stated
    meant, own = read_signal(stated), read_signal(signal)
    if own.function == "unknown":
        return f"{signal} {stated}".strip(), None
    if own.function in (meant.function, *meant.may_be):
        return signal, None
    return signal, stated


OUTWARD = frozenset({"outward"})
COMING_BACK = frozenset({"inward", "backward", "return"})
SIDES = {"L": "left", "R": "right"}


# ---- choosing the function by the words alone


@dataclass(frozen=True, slots=True, kw_only=True)
class _Choice:
    """The function that a wording alone gives, and by what."""

    function: str
    rule: FunctionRule | None = None  # None: a term names it, or nothing does
    doubt: bool = False
    may_be: tuple[str, ...] = ()
    ideas: frozenset[str] = field(default_factory=frozenset)  # that give it


def _choose(line: Line, names: Names) -> _Choice:
    """The function by a rule without doubt, else by a term without doubt, else by a doubtful rule
    or term.
    """
    named = _naming_terms(line)
    sure = [term for term in named if not term.doubt]
    rule = names.rule_for(line.ideas)
    if rule is not None and not (rule.doubt and sure):
        choice = _ruled(rule, line)
    elif named:
        first = (sure or named)[0]
        choice = _Choice(
            function=first.is_, doubt=first.doubt, may_be=first.may_be, ideas=first.ideas
        )
    else:
        return _Choice(function="unknown")
    doubtful = _doubtful_terms(line, choice)
    rivals = [term.is_ for term in sure if not are_kin(term.is_, choice.function)]
    others = [*choice.may_be]
    for term in doubtful:
        others += term.may_be
    may_be = dict.fromkeys(others + rivals)
    may_be.pop(choice.function, None)
    may_be.pop("unknown", None)
    doubt = choice.doubt or bool(doubtful) or bool(set(rivals) - {choice.function})
    return replace(choice, doubt=doubt, may_be=tuple(may_be))


def _naming_terms(line: Line) -> list[Term]:
    """The terms that name a function by themselves, the longest wording first."""
    by_length = sorted(line.stretches, key=lambda stretch: -len(stretch.words))
    return [term for stretch in by_length for term in stretch.terms if term.is_]


def _ruled(rule: FunctionRule, line: Line) -> _Choice:
    met = frozenset(idea for group in rule.needs for idea in group & line.ideas)
    return _Choice(
        function=rule.function, rule=rule, doubt=rule.doubt, may_be=rule.may_be, ideas=met
    )


def _doubtful_terms(line: Line, choice: _Choice) -> list[Term]:
    """A term for each word that the choice rests on and that is a false friend."""
    several = sum(1 for stretch in line.stretches if stretch.ideas) > 1
    found = []
    for stretch in line.stretches:
        if stretch.letter and several:
            continue
        used = [
            term
            for term in stretch.terms
            if term.ideas & choice.ideas or term.is_ == choice.function
        ]
        if used and all(term.doubt for term in used):
            found.append(used[0])
    return found


def _fitted(line: Line, names: Names, by_words: _Choice, stated: str) -> _Choice:
    """How the words fit a function that a mark or the paper states."""
    if by_words.function == stated:
        return by_words
    rule = names.rule_for(line.ideas, stated)
    if rule is not None:
        return replace(_ruled(rule, line), doubt=False, may_be=())
    if _is_near(by_words, stated):
        return _Choice(function=stated, rule=by_words.rule, ideas=by_words.ideas)
    return _Choice(function=stated)


def _is_near(by_words: _Choice, stated: str) -> bool:
    """Whether the words speak of the stated function, though they give another."""
    if by_words.function == "unknown":
        return False
    if stated in by_words.may_be or are_kin(by_words.function, stated):
        return True
    return FUNCTIONS[by_words.function].electrical == FUNCTIONS[stated].electrical


# ---- qualifiers and what is left


@dataclass(frozen=True, slots=True)
class _LineRead:
    """What the words of a line come to, before its loose numbers are looked at."""

    by_words: _Choice  # by the words alone; `function` and the rest fit a stated function
    function: str
    qualifiers: Mapping[str, str]
    unexplained: tuple[str, ...]
    because: str


@lru_cache(maxsize=4096)
def _read_line(line: Line, names: Names, stated: str | None) -> _LineRead:
    by_words = _choose(line, names)
    choice = by_words
    if stated is not None:
        choice = _fitted(line, names, by_words, stated)
    weighing = _Weighing(choice, names)
    for stretch in line.stretches:
        weighing.weigh(stretch)
    words = []
    for stretch in line.stretches:
        if any(term.ideas & by_words.ideas for term in stretch.terms):
            words.append(stretch.words)
    because = ""
    if words and by_words.function != "unknown":
        because = f"`{' '.join(words)}` reads as {by_words.function}"
    return _LineRead(
        by_words, choice.function, weighing.qualifiers(), tuple(weighing.unexplained), because
    )


class _Weighing:
    """Qualifiers of the words that hold for the chosen function; words that nothing explains."""

    def __init__(self, choice: _Choice, names: Names) -> None:
        self.unexplained: dict[str, None] = {}
        self._choice = choice
        self._electrical = FUNCTIONS[choice.function].electrical
        self._used = choice.ideas | names.absorbed.get(self._electrical, frozenset())
        self._quals: dict[str, str] = {}
        self._circuits: dict[str, None] = {}
        if choice.rule is not None:
            self._quals.update(choice.rule.quals)

    def qualifiers(self) -> Mapping[str, str]:
        """All of them; the circuits that were named stand in one."""
        if self._circuits:
            self._quals["circuit"] = "-".join(self._circuits)
        return self._quals

    def weigh(self, stretch: WordStretch) -> None:
        """Take up the terms of some words, or the words themselves."""
        explained = all(term.filler for term in stretch.terms) and bool(stretch.terms)
        for term in stretch.terms:
            counts = bool(term.quals) and (not term.within or self._electrical in term.within)
            if counts:
                self._qualify(term)
            if self._explains(term) or (counts and not term.ideas):
                explained = True
            if term.apart:
                self.unexplained[stretch.words] = None
        if not explained:
            self.unexplained[stretch.words] = None

    def _qualify(self, term: Term) -> None:
        for kind, value in term.quals:
            if kind == "circuit":
                self._circuits[value] = None
            else:
                self._quals.setdefault(kind, value)

    def _explains(self, term: Term) -> bool:
        if term.is_ == self._choice.function:
            return True
        if not term.ideas:
            return False
        return term.ideas <= self._used or bool(term.ideas & self._choice.ideas)


def _of_loose(values: tuple[str, ...], function: str) -> Iterator[tuple[str, str]]:
    """The qualifiers that loose numbers and letters give: a pair's half, a side, an index.

    A standard's number that only repeats the function, and the system's volts, say nothing.
    """
    electrical = FUNCTIONS[function].electrical
    left = []
    for value in values:
        if value in ("A", "B") and electrical == "data":
            yield "polarity", value.lower()
        elif value in SIDES and electrical in ("lamp", "speaker"):
            yield "side", SIDES[value]
        elif not (_repeats(value, function) or (value in SYSTEM_VOLTS and electrical == "supply")):
            left.append(value)
    if left:
        kind = "bus" if electrical == "bus" else "index"
        yield kind, "-".join(sorted(left, key=str.isdigit)).lower()


def _repeats(value: str, function: str) -> bool:
    if len(value) < 2:
        return False  # one figure counts: the first of several
    mark = MARKS["din72552"].get(value) if value.isdigit() else None
    return mark is not None and mark.function == function


@dataclass(frozen=True, slots=True)
class _Read:
    """What a wording comes to, and what its words alone would have given."""

    meaning: Meaning
    by_words: _Choice


@lru_cache(maxsize=16384)
def _read(signal: str, names: Names | None, stated: str | None) -> _Read:
    table = names or load_names()
    wording = take_apart(signal, table)
    line_read = _read_line(wording.line, table, stated)
    meaning = _by_name(signal, wording, line_read, stated)
    if stated is None:
        meaning = _with_dangers(signal, meaning, table, wording.line.ideas)
    return _Read(meaning, line_read.by_words)


def _with_dangers(signal: str, meaning: Meaning, names: Names, ideas: frozenset[str]) -> Meaning:
    """A guess beside words that name danger: it is never settled, and may become another."""
    for danger in dangers_in(signal):
        rule = names.dangers[danger.kind]
        if danger.lamps_only or meaning.function == rule.function:
            continue
        told = f"`{danger.said}` names danger: {danger.meaning}"
        meaning = replace(meaning.noted(told), settled=False)
        electrical = FUNCTIONS[meaning.function].electrical
        if electrical == "lamp" and names_lamp(signal):
            continue
        if electrical not in rule.keeps:
            function = _loop_way(rule.function, ideas)
            others = dict.fromkeys((rule.function, *rule.may_be))
            others.pop(function)
            meaning = replace(
                meaning,
                function=function,
                qualifiers=tuple(pair for pair in meaning.qualifiers if pair[0] != "lamp"),
                may_be=tuple(others),
                how="none" if rule.function == "unknown" else "name",
            )
    return meaning


def _loop_way(function: str, ideas: frozenset[str]) -> str:
    """Which way a guard loop runs by its other words: `in` and `return` come back to the unit."""
    if function == "interlock-out" and ideas & COMING_BACK:
        return "interlock-back"
    return function


def _by_name(signal: str, wording: Wording, read: _LineRead, stated: str | None) -> Meaning:
    function = read.function
    quals = dict(read.qualifiers)
    for kind, value in (*_of_loose(wording.loose, function), *wording.extra):
        quals.setdefault(kind, value)
    apart = [*read.unexplained, *wording.apart]
    if "serves" in quals and FUNCTIONS[function].electrical != "ground":
        apart.append(f"contact {quals.pop('serves')}")
    # data with a plus or a minus are a pair, but for video, whose minus is its ground
    is_pair = "polarity" in quals and "video" not in read.by_words.ideas
    if stated is None and function == "single-ended-data" and is_pair:
        function = "differential-data"
    vague = wording.size <= TOO_SHORT and not any(mark.isdigit() for mark in signal)
    unexplained = tuple(dict.fromkeys(apart))
    return Meaning(
        function,
        qualifiers=tuple(sorted(quals.items())),
        unexplained=unexplained,
        how="none" if function == "unknown" else "name",
        because=tuple(_reasons(signal, read, unexplained)),
        may_be=read.by_words.may_be,
        settled=function != "unknown" and not read.by_words.doubt and not vague,
        outward=bool(OUTWARD & wording.line.ideas) and not COMING_BACK & wording.line.ideas,
    )


def _reasons(signal: str, read: _LineRead, unexplained: tuple[str, ...]) -> Iterator[str]:
    if read.because:
        yield read.because
    elif read.by_words.function == "unknown" and signal.strip():
        yield f"no table explains `{signal[:60]}`"
    elif read.by_words.function == "unknown":
        yield "the paper gives no name"
    for word in unexplained:
        yield f"`{word}` is explained by no table or sets the signal apart"


# ---- putting name, mark and statement together


def _known_marks(mark: Mapping[str, str] | None) -> tuple[list[Mark], list[str]]:
    """The marks that are known, and a note on each that is not."""
    known: list[Mark] = []
    notes: list[str] = []
    if not mark:
        return known, notes
    for scheme, text in sorted(mark.items()):
        found = read_mark(scheme, text) if scheme in SCHEMES else None
        if found is None:
            notes.append(f"{SCHEMES.get(scheme, scheme)} `{text[:40]}` is in no table here")
        else:
            known.append(found)
    return known, notes


def _by_mark(signal: str, mark: Mark, names: Names | None) -> str:
    """A mark's function; where it has several, the one that the words give."""
    if mark.may_be:
        by_name = _read(signal, names, None).meaning.function
        if by_name in mark.may_be:
            return by_name
    return mark.function


def _disagree(one: str, two: str) -> bool:
    if one == two or "unknown" in (one, two) or are_kin(one, two):
        return False
    electrical = FUNCTIONS[one].electrical
    return electrical != FUNCTIONS[two].electrical or electrical in ("supply", "bus", "loop")


def _by_volts(meaning: Meaning, volts: tuple[float, float] | None) -> Meaning:
    """Let stated volts decide between a vehicle supply and a sensor supply that go by one name."""
    if volts is None or meaning.how != "name":
        return meaning
    low, high = volts
    if FUNCTIONS[meaning.function].electrical == "supply" and 0 < high <= HIGHEST_REFERENCE:
        may_be = tuple(name for name in meaning.may_be if name != "sensor-supply")
        told = f"{high:g} V is a sensor supply's level"
        unsure = replace(meaning, function="sensor-supply", settled=False, may_be=may_be)
        return unsure.noted(told)
    if meaning.function == "sensor-supply" and low > HIGHEST_REFERENCE:
        may_be = ("switched-supply", "auxiliary-supply")
        told = f"{low:g} V is no sensor supply's level"
        unsure = replace(meaning, function="permanent-supply", settled=False, may_be=may_be)
        return unsure.noted(told)
    return meaning


def _with_mark(meaning: Meaning, mark: Mark, decided: str) -> Meaning:
    """Add what a mark says; its qualifiers go before the name's."""
    said = f"{SCHEMES[mark.scheme]} {mark.mark}: {mark.meaning}"
    quals = dict(meaning.qualifiers)
    clash = [*meaning.contradicts]
    for kind, value in mark.qualifiers_as(decided):
        if quals.get(kind, value) != value:
            clash.append(f"the name says {kind} {quals[kind]}, {said} says {value}")
        quals[kind] = value
    if decided not in mark.may_be and _disagree(decided, mark.function):
        clash.append(f"{said} is {mark.function}, the paper states {decided}")
    marked = meaning.noted(said, *mark.warnings)
    qualifiers = tuple(sorted(quals.items()))
    return replace(marked, function=decided, qualifiers=qualifiers, contradicts=tuple(clash))


def _as_stated(meaning: Meaning, slug: str) -> Meaning:
    because = (f"the paper states {slug}", *meaning.because)
    return replace(meaning, function=slug, how="stated", settled=True, may_be=(), because=because)


def _as_marked(meaning: Meaning, mark: Mark, decided: str) -> Meaning:
    settled = mark.settled or decided != mark.function
    may_be = tuple(name for name in mark.may_be if name != decided)
    return replace(
        meaning,
        function=decided,
        how="mark",
        settled=settled and not meaning.contradicts,
        may_be=may_be,
    )
