"""From the wording of a signal to its function and qualifiers, with every step told."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache

from wiremap.trade.functions import FUNCTIONS, are_kin, normalise
from wiremap.trade.marks import MARKS, SCHEMES, Mark, read_mark
from wiremap.trade.names import Names, Rule, Term, load_names
from wiremap.trade.wording import LONGEST, SYSTEM_VOLTS, Line, Qualifiers, Wording, take_apart

__all__ = ["LONGEST", "Meaning", "read_signal"]


@dataclass(frozen=True, slots=True)
class Meaning:
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
class _Choice:
    """The function that a wording alone gives, and what of it was used."""

    function: str
    rule: Rule | None = None
    doubt: bool = False
    may_be: tuple[str, ...] = ()
    consumed: frozenset[str] = field(default_factory=frozenset)


# ---- choosing the function


def _doubtful(line: Line, function: str, consumed: frozenset[str]) -> Iterator[Term]:
    others = sum(1 for hit in line.hits if hit.ideas) > 1
    for hit in line.hits:
        if hit.letter and others:
            continue
        used = [term for term in hit.terms if term.ideas & consumed or term.is_ == function]
        if used and all(term.doubt for term in used):
            yield used[0]


def _met(rule: Rule, ideas: frozenset[str]) -> frozenset[str]:
    return frozenset().union(*(group & ideas for group in rule.needs))


def _choose(line: Line, names: Names) -> _Choice:
    """The function that the words alone give: a rule without doubt, a word that names it, then the doubtful ones."""
    named = [
        term
        for hit in sorted(line.hits, key=lambda hit: -len(hit.words))
        for term in hit.terms
        if term.is_
    ]
    ruled = names.rule_for(line.ideas)
    sure = next((term for term in named if not term.doubt), None)
    if ruled is not None and not (ruled.doubt and sure):
        choice = _Choice(ruled.function, ruled, ruled.doubt, ruled.may_be, _met(ruled, line.ideas))
    elif named:
        first = sure or named[0]
        choice = _Choice(first.is_, None, first.doubt, first.may_be, first.ideas)
    else:
        return _Choice("unknown")
    doubts = list(_doubtful(line, choice.function, choice.consumed))
    rivals = [
        term.is_ for term in named if not term.doubt and not are_kin(term.is_, choice.function)
    ]
    other = [*choice.may_be, *(name for term in doubts for name in term.may_be), *rivals]
    may_be = tuple(
        dict.fromkeys(name for name in other if name not in (choice.function, "unknown"))
    )
    doubt = choice.doubt or bool(doubts) or any(rival != choice.function for rival in rivals)
    return replace(choice, doubt=doubt, may_be=may_be)


def _as_stated(line: Line, names: Names, free: _Choice, stated: str) -> _Choice:
    """How the words fit a function that a mark or the paper states."""
    if free.function == stated:
        return free
    rule = names.rule_for(line.ideas, stated)
    if rule is not None:
        return _Choice(stated, rule, consumed=_met(rule, line.ideas))
    near = free.function != "unknown" and (
        are_kin(free.function, stated)
        or stated in free.may_be
        or FUNCTIONS[free.function].electrical == FUNCTIONS[stated].electrical
    )
    return _Choice(
        stated, free.rule if near else None, consumed=free.consumed if near else frozenset()
    )


# ---- qualifiers and what is left


@dataclass(frozen=True, slots=True)
class _Core:
    """What the words of a line come to, before its loose numbers are looked at."""

    free: _Choice
    function: str
    quals: Qualifiers
    loose: tuple[str, ...]
    told: str


def _weighed(line: Line, choice: _Choice, names: Names) -> tuple[Qualifiers, tuple[str, ...]]:
    """Qualifiers of the words that hold for the chosen function, and the words that nothing explains."""
    electrical = FUNCTIONS[choice.function].electrical
    used = choice.consumed | names.absorbed.get(electrical, frozenset())
    quals: dict[str, str] = dict(choice.rule.quals) if choice.rule is not None else {}
    loose: list[str] = []
    circuits: list[str] = []
    for hit in line.hits:
        explained = not hit.terms or all(term.filler for term in hit.terms)
        for term in hit.terms:
            counts = bool(term.quals) and (not term.within or electrical in term.within)
            for kind, value in term.quals if counts else ():
                if kind == "circuit":
                    circuits.append(value)
                else:
                    quals.setdefault(kind, value)
            met = bool(term.ideas) and (
                term.ideas <= used or not term.ideas.isdisjoint(choice.consumed)
            )
            explained = (
                explained or met or term.is_ == choice.function or (not term.ideas and counts)
            )
            if term.apart:
                loose.append(hit.words)
        if not hit.terms or not explained:
            loose.append(hit.words)
    if circuits:
        quals["circuit"] = "-".join(dict.fromkeys(circuits))
    return tuple(quals.items()), tuple(dict.fromkeys(loose))


@lru_cache(maxsize=4096)
def _core(line: Line, names: Names, stated: str | None) -> _Core:
    free = _choose(line, names)
    choice = free if stated is None else _as_stated(line, names, free, stated)
    quals, loose = _weighed(line, choice, names)
    words = [
        hit.words for hit in line.hits if any(term.ideas & free.consumed for term in hit.terms)
    ]
    told = (
        f"`{' '.join(words)}` reads as {free.function}"
        if words and free.function != "unknown"
        else ""
    )
    return _Core(free, choice.function, quals, loose, told)


def _index(index: tuple[str, ...], function: str) -> Iterator[tuple[str, str]]:
    """Loose numbers and letters: a pair's half, a standard's number that only repeats the function, or an index."""
    electrical = FUNCTIONS[function].electrical
    left: list[str] = []
    for value in index:
        mark = MARKS["din72552"].get(value) if value.isdigit() else None
        if value in ("A", "B") and electrical == "data":
            yield "polarity", value.lower()
        elif (mark is not None and mark.function == function) or (
            value in SYSTEM_VOLTS and electrical == "supply"
        ):
            continue
        else:
            left.append(value)
    if left:
        yield (
            ("bus" if electrical == "bus" else "index"),
            "-".join(sorted(left, key=str.isdigit)).lower(),
        )


def _name_reading(signal: str, parsed: Wording, core: _Core, stated: str | None) -> Meaning:
    quals = dict(core.quals)
    for kind, value in (*_index(parsed.index, core.function), *parsed.extra):
        quals.setdefault(kind, value)
    loose = (*core.loose, *parsed.apart)
    if "serves" in quals and FUNCTIONS[core.function].electrical != "ground":
        loose = (*loose, f"contact {quals.pop('serves')}")
    function = core.function
    if stated is None and function == "single-ended-data" and "polarity" in quals:
        function = "differential-data"
    told = core.told
    if not told and core.free.function == "unknown":
        told = f"no table explains `{signal[:60]}`" if signal.strip() else "the paper gives no name"
    because = ((told,) if told else ()) + tuple(
        f"`{word}` is explained by no table or sets the signal apart"
        for word in dict.fromkeys(loose)
    )
    vague = parsed.size <= 2 and not any(mark.isdigit() for mark in signal)
    settled = function != "unknown" and not core.free.doubt and not vague
    return Meaning(
        function,
        tuple(sorted(quals.items())),
        tuple(dict.fromkeys(loose)),
        "none" if function == "unknown" else "name",
        because,
        core.free.may_be,
        settled,
    )


@lru_cache(maxsize=16384)
def _read(signal: str, names: Names | None, stated: str | None) -> tuple[Meaning, _Choice]:
    table = names or load_names()
    parsed = take_apart(signal, table)
    core = _core(parsed.line, table, stated)
    return _name_reading(signal, parsed, core, stated), core.free


# ---- putting name, mark and statement together


def _marked(mark: Mapping[str, str] | None) -> Iterator[tuple[str, str, Mark | None]]:
    for scheme, text in sorted((mark or {}).items()):
        yield scheme, text, read_mark(scheme, text) if scheme in SCHEMES else None


def _disagree(one: str, two: str) -> bool:
    if one == two or are_kin(one, two) or "unknown" in (one, two):
        return False
    first, second = FUNCTIONS[one].electrical, FUNCTIONS[two].electrical
    return first != second or first in ("supply", "bus", "loop")


def _by_volts(reading: Meaning, volts: tuple[float, float] | None) -> Meaning:
    """Let stated volts decide between a vehicle supply and a sensor supply that go by one name."""
    if volts is None or reading.how != "name":
        return reading
    low, high = volts
    supply = FUNCTIONS[reading.function].electrical == "supply"
    if supply and 0 < high <= 5.5:
        told = f"{high:g} V is a sensor supply's level"
        return replace(
            reading,
            function="sensor-supply",
            because=(*reading.because, told),
            settled=False,
            may_be=tuple(name for name in reading.may_be if name != "sensor-supply"),
        )
    if reading.function == "sensor-supply" and low > 5.5:
        told = f"{low:g} V is no sensor supply's level"
        return replace(
            reading,
            function="permanent-supply",
            because=(*reading.because, told),
            settled=False,
            may_be=("switched-supply", "auxiliary-supply"),
        )
    return reading


def _with_mark(reading: Meaning, mark: Mark, decided: str | None) -> Meaning:
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
    return replace(
        reading,
        function=function,
        qualifiers=tuple(sorted(quals.items())),
        because=(*reading.because, said, *mark.warnings),
        contradicts=tuple(clash),
    )


def read_signal(
    signal: str,
    *,
    stated: str | None = None,
    mark: Mapping[str, str] | None = None,
    volts: tuple[float, float] | None = None,
    names: Names | None = None,
) -> Meaning:
    """The function and qualifiers of a signal from its wording, its mark and the stated function.

    A stated function wins over a mark, a mark over the name; qualifiers come from all three.  `mark` maps a scheme
    (din72552, v24) to a designation, `volts` is a range in volts, `names` replaces the shipped wordings.  Nothing
    is raised for odd input: what is not understood is `unknown` or stands under `unexplained`.
    """
    marks = list(_marked(mark)) if mark else []
    known = [found for _, _, found in marks if found is not None]
    slug = normalise(stated) if stated else None
    decided = slug if slug != "unknown" else None
    if decided is None and known:
        by_name = _read(signal, names, None)[0].function if known[0].may_be else ""
        decided, slug = by_name if by_name in known[0].may_be else known[0].function, None
    reading, free = _read(signal, names, decided)
    notes = [
        f"{SCHEMES.get(scheme, scheme)} `{text[:40]}` is in no table here"
        for scheme, text, found in marks
        if found is None
    ]
    if stated and slug is None and normalise(stated) is None:
        notes.append(f"`{stated[:40]}` is no function here")
    if notes:
        reading = replace(reading, because=(*reading.because, *notes))
    if decided is None:
        return _by_volts(reading, volts)
    for found in known:
        reading = _with_mark(reading, found, decided)
    clash = reading.contradicts
    if not free.doubt and decided not in free.may_be and _disagree(free.function, decided):
        clash = (
            *clash,
            f"the name reads as {free.function}, the {'paper states' if slug else 'mark says'} {decided}",
        )
    if slug:
        return replace(
            reading,
            function=slug,
            how="stated",
            settled=True,
            may_be=(),
            contradicts=clash,
            because=(f"the paper states {slug}", *reading.because),
        )
    first = known[0]
    settled = (first.settled or decided != first.function) and not clash
    return replace(
        reading,
        function=decided,
        how="mark",
        settled=settled,
        contradicts=clash,
        may_be=tuple(name for name in first.may_be if name != decided),
    )
