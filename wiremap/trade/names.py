"""The trade's wordings as data: terms give ideas and qualifiers, rules combine the ideas."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache, cached_property, lru_cache
from types import MappingProxyType

from wiremap.trade.dangers import DangerKind
from wiremap.trade.folding import folded
from wiremap.trade.functions import FUNCTIONS
from wiremap.trade.marks import MARKS, Mark, Qualifiers
from wiremap.trade.tables import Row, table

_PIECE = re.compile(r"[^\W\d_]+|\d+(?:[.,]\d+)?|\+|-", re.UNICODE)
_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])")


def _is_minus(text: str, at: int) -> bool:
    """Whether the dash at this place is a minus and not a hyphen or a dash between words."""
    before = text[at - 1] if at else ""
    after = text[at + 1] if at + 1 < len(text) else ""
    if before.isalnum() and after.isalnum():
        return False
    if not after.strip() or after in ")]/,;:":
        return not (before.isspace() and text[at + 1 :].strip(" )]"))
    return not before.strip() or before in "(["


def tokens(text: str) -> tuple[str, ...]:
    """The words, numbers and signs of a wording, in order; case kept, accents dropped."""
    if text.isascii() and (text.islower() or text.isupper()):
        words = text.split()
        if all(map(str.isalpha, words)):  # most wordings of the tables: nothing to take apart
            return tuple(words)
    found: list[str] = []
    plain = folded(text)
    for piece in _PIECE.finditer(plain):
        word = piece.group()
        if word == "-":
            if _is_minus(plain, piece.start()):
                found.append(word)
        elif word == "+" or not word.isalpha():
            found.append(word)
        else:
            found += _CAMEL.split(word)
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Term:
    """What one set of words says: ideas, qualifiers, and how far it can be trusted.

    An idea is a word of `names.toml` for what different words say alike, such as `permanent`.
    """

    ideas: frozenset[str]
    is_: str = ""  # the function that the words name by themselves
    quals: Qualifiers = ()
    within: frozenset[str] = frozenset()  # classes of functions in which the qualifiers count
    may_be: tuple[str, ...] = ()  # other functions that the same words stand for
    doubt: bool = False  # a false friend: never settled by itself
    apart: bool = False  # it sets a signal apart from its namesakes, as `secondary`
    lead: bool = False  # a standard's number: read only where no words stand before it
    filler: bool = False  # it says nothing
    adjunct: bool = False  # an English noun that, right before another, only tells which one
    beside: frozenset[str] = frozenset()  # read only where one of these ideas stands beside it
    without: frozenset[str] = frozenset()  # read only where none of these does


@dataclass(frozen=True, slots=True)
class FunctionRule:
    """The function that ideas come to; one idea of every group of `needs` must be there."""

    needs: tuple[frozenset[str], ...]
    function: str
    quals: Qualifiers
    may_be: tuple[str, ...]
    doubt: bool

    def fits(self, ideas: frozenset[str]) -> bool:
        """Whether the ideas meet every group."""
        return all(not group.isdisjoint(ideas) for group in self.needs)


Phrase = tuple[str, ...]
PLURALS = ("s", "es", "n", "en")
LINKS = ("s", "n", "en", "es")  # letters between the parts of a compound
SHORTEST_PART = 3  # letters of a part of a compound, and of a word without its plural ending
MOST_PARTS = 3
LONGEST_COMPOUND = 40  # letters
MOST_INITIALS = 5
START = 5  # letters that a guessed word shares with a known one at least,
ALIKE = 0.7  # and the share of the longer of the two


@dataclass(frozen=True, slots=True, kw_only=True)
class DangerRule:
    """What a word that names danger makes of the function that the other words give.

    A function of one of the classes under `keeps` stays; any other becomes `function`.
    """

    function: str
    keeps: frozenset[str]
    may_be: tuple[str, ...]


@dataclass(frozen=True, eq=False, kw_only=True)
class Names:
    """All wordings and rules.

    `synonyms` are the further wordings of all terms: the first of each is its own name.
    `absorbed` holds for a class of functions the ideas that say nothing new there, `dangers` what
    becomes of a guess beside a word that names danger.
    """

    phrases: Mapping[Phrase, tuple[Term, ...]]
    rules: tuple[FunctionRule, ...]
    absorbed: Mapping[str, frozenset[str]]
    dangers: Mapping[DangerKind, DangerRule]
    synonyms: tuple[str, ...]

    def __post_init__(self) -> None:  # a cache of its own, which goes when the wordings go
        object.__setattr__(self, "rule_for", lru_cache(maxsize=4096)(self.rule_for))

    def rule_for(self, ideas: frozenset[str], function: str = "") -> FunctionRule | None:
        """The first rule that the ideas meet, of those that give this function if one is named."""
        for rule in self.rules:
            if function in ("", rule.function) and rule.fits(ideas):
                return rule
        return None

    @cached_property
    def longest(self) -> Mapping[str, int]:
        """For each first word the length of the longest phrase that begins with it."""
        most: dict[str, int] = {}
        for phrase in sorted(self.phrases, key=len):
            first, *_ = phrase
            most[first] = len(phrase)
        return MappingProxyType(most)

    @cached_property
    def vocabulary(self) -> frozenset[str]:
        """Every word that occurs in a phrase."""
        return frozenset(word for phrase in self.phrases for word in phrase)

    @cached_property
    def stems(self) -> frozenset[str]:
        """Single words that may be parts of a compound."""
        singles = [phrase[0] for phrase in self.phrases if len(phrase) == 1]
        return frozenset(word for word in singles if len(word) >= SHORTEST_PART)

    def known(self, word: str) -> str:
        """The word as the phrases have it: without a plural ending that they do not know."""
        if word in self.vocabulary:
            return word
        return self.singular(word)

    def singular(self, word: str) -> str:
        """The word without a plural ending, where a phrase has that word."""
        if not word.endswith(PLURALS):
            return word
        for ending in PLURALS:
            singular = word.removesuffix(ending)
            if len(singular) >= SHORTEST_PART and singular != word and singular in self.vocabulary:
                return singular
        return word

    def compound(self, word: str) -> tuple[str, ...]:
        """The known words that a run-together word is made of, or nothing.

        The longest first part is tried first.
        """
        if not 2 * SHORTEST_PART <= len(word) <= LONGEST_COMPOUND or not word.isalpha():
            return ()
        return self._parts(word, MOST_PARTS)

    def _parts(self, word: str, most: int) -> tuple[str, ...]:
        """The known words that a word is made of, at most so many; nothing if it is made of others.

        An ending of the plural counts behind the last one alone.
        """
        whole = self.known(word)
        if whole in self.stems:
            return (whole,)
        if most == 1:
            return ()
        for size in range(len(word) - 1, SHORTEST_PART - 1, -1):
            if word[:size] not in self.stems:
                continue
            for link in ("", *LINKS):
                if not word.startswith(link, size):
                    continue
                rest = self._parts(word[size + len(link) :], most - 1)
                if rest:
                    return (word[:size], *rest)
        return ()

    def guessed(self, word: str, *, short: bool) -> tuple[Term, ...]:
        """What an unknown word may stand for; always in doubt.

        In capitals (`short`) it may be the initials of a phrase; otherwise, or where it is longer
        than initials are, a known word that begins like it.
        """
        if short and 2 <= len(word) <= MOST_INITIALS:
            phrases = self._initials.get(word, ())
            terms = {term for phrase in phrases for term in self.phrases[phrase]}
            return _in_doubt({term for term in terms if term.ideas})
        near: set[Term] = set()
        for known in self._by_start.get(word[:START], ()):
            shared = _letters_shared(word, known)
            if shared >= ALIKE * max(len(word), len(known)):
                near.update(self.phrases[(known,)])
        return _in_doubt({term for term in near if term.ideas or term.quals})

    @cached_property
    def _initials(self) -> Mapping[str, list[Phrase]]:
        found: dict[str, list[Phrase]] = {}
        for phrase in self.phrases:
            if len(phrase) > 1 and all(word.isalpha() and len(word) > 1 for word in phrase):
                initials = "".join(word[0] for word in phrase)
                found.setdefault(initials, []).append(phrase)
        return MappingProxyType(found)

    @cached_property
    def _by_start(self) -> Mapping[str, list[str]]:
        found: dict[str, list[str]] = {}
        for word in self.stems:
            if len(word) >= START:
                found.setdefault(word[:START], []).append(word)
        return MappingProxyType(found)


def _in_doubt(terms: set[Term]) -> tuple[Term, ...]:
    """The terms marked as a guess, if all of them say the same."""
    if len({(term.ideas, term.quals) for term in terms}) != 1:
        return ()
    first = min(terms, key=lambda term: (term.is_, sorted(term.within)))
    return (replace(first, doubt=True, apart=True, may_be=()),)


def _letters_shared(one: str, two: str) -> int:
    """How many letters two words begin with alike."""
    for count, (letter, other) in enumerate(zip(one, two, strict=False)):
        if letter != other:
            return count
    return min(len(one), len(two))


# ---- from the tables


def _phrase(text: str) -> Phrase:
    return tuple(word.casefold() for word in tokens(text))


def _quals(row: Row) -> Qualifiers:
    return tuple(sorted(row.get("quals", {}).items()))


def _term(row: Row) -> Term:
    function = row.get("is", "")
    ideas = frozenset(row.get("ideas", ()))
    if function:
        ideas |= {function}
    within = ("data",) if "serial" in ideas else ()  # unless the row says its own
    may_be = row.get("may_be", ())
    for name in filter(None, (function, *may_be)):
        if name not in FUNCTIONS:
            raise ValueError(f"names.toml: a term names {name!r}, which is no function")
    return Term(
        ideas,
        is_=function,
        quals=_quals(row),
        within=frozenset(row.get("within", within)),
        beside=frozenset(row.get("beside", "").split()),
        without=frozenset(row.get("without", "").split()),
        filler=row.get("filler", False),
        adjunct=row.get("adjunct", False),
        may_be=may_be,
        doubt=row.get("doubt", False),
        apart=row.get("apart", False),
    )


def _mark_term(mark: Mark, said: str) -> Term:
    """A standard's designation as a term; `said` is the spelling of it that is looked for."""
    idea = mark.function
    within = FUNCTIONS[mark.function].electrical
    if mark.sender:  # a circuit of V.24 that one side drives
        idea = "serial"
        within = "data"
    return Term(
        frozenset({idea}),
        is_=mark.function,
        quals=mark.qualifiers,
        within=frozenset({within}),
        may_be=mark.may_be,
        doubt=not mark.settled or bool(mark.warnings),
        apart="channel" in dict(mark.qualifiers),
        lead=said[:1].isdigit(),
    )


def _marks() -> Iterator[tuple[str, Term]]:
    """The designations of the standards, each spelling with its term.

    Of DIN 72552 only those that begin with a digit and have two characters: shorter ones, and
    letters, are too often something else.
    """
    for key, mark in MARKS["din72552"].items():
        if key[0].isdigit() and len(key) > 1:
            yield key, _mark_term(mark, mark.mark)
            for function, quals in mark.alternatives:
                within = frozenset({FUNCTIONS[function].electrical})
                yield key, Term(frozenset(), quals=quals, within=within)
    for key, mark in MARKS["v24"].items():
        yield key, _mark_term(mark, key.upper())


def _rule(row: Row) -> FunctionRule:
    if row["function"] not in FUNCTIONS:
        raise ValueError(f"names.toml: a rule gives {row['function']!r}, which is no function")
    return FunctionRule(
        tuple(frozenset(group.split("|")) for group in row["needs"].split()),
        row["function"],
        quals=_quals(row),
        may_be=row.get("may_be", ()),
        doubt=row.get("doubt", False),
    )


def _dangers(rows: tuple[Row, ...]) -> Mapping[DangerKind, DangerRule]:
    found = {}
    for row in rows:
        rule = DangerRule(
            function=row["function"],
            keeps=frozenset(row.get("keeps", "").split()),
            may_be=row.get("may_be", ()),
        )
        for kind in row["kinds"].split():
            found[DangerKind(kind)] = rule
    return MappingProxyType(found)


@cache
def load_names(without: frozenset[str] = frozenset()) -> Names:
    """The shipped wordings, without those synonyms that stand in `without`.

    So it is measured how names that no table knows are read.  Synonyms are compared as phrases:
    case and spacing do not count.  A term's first wording, signs, and the designations of the
    standards (see `marks`) are no synonyms and stay.
    """
    names = table("names.toml")
    gathering = _Gathering({_phrase(text) for text in without})
    for row in names.section("term"):
        gathering.add_term(row)
    own = frozenset(gathering.phrases)
    for said, term in _marks():
        if _phrase(said) not in own:
            gathering.add(said, term)
    nothing = Term(frozenset(), filler=True)
    for row in names.section("filler", read=tuple, memory=tuple):
        for said in (*row["read"], *row["memory"]):
            gathering.phrases.setdefault(_phrase(said), [nothing])
    absorbed = {}
    for row in names.section("absorb", ideas=str):
        absorbed[row["class"]] = frozenset(row["ideas"].split())
    phrases = {phrase: tuple(terms) for phrase, terms in gathering.phrases.items()}
    return Names(
        phrases=MappingProxyType(phrases),
        rules=tuple(map(_rule, names.section("rule", needs=str, function=str))),
        absorbed=MappingProxyType(absorbed),
        dangers=_dangers(names.section("danger", kinds=str, function=str)),
        synonyms=tuple(gathering.synonyms),
    )


class _Gathering:
    """The phrases of all terms while the rows are read, without the `dropped` synonyms."""

    def __init__(self, dropped: set[Phrase]) -> None:
        self.phrases: dict[Phrase, list[Term]] = {}
        self.synonyms: dict[str, None] = {}
        self._dropped = dropped

    def add(self, said: str, term: Term) -> None:
        """Let a wording stand for a term, beside the terms that it stands for already."""
        phrase = _phrase(said)
        if not phrase:
            raise ValueError(f"names.toml: {said!r} holds no word")
        self.phrases.setdefault(phrase, []).append(term)

    def add_term(self, row: Row) -> None:
        """Take up the row of a term: its own name, its synonyms, its signs."""
        term = _term(row)
        own: list[str] = [*row.get("read", ()), *row.get("memory", ())]
        others = own[1:]
        self.synonyms.update(dict.fromkeys(others))
        if self._dropped:
            others = [said for said in others if _phrase(said) not in self._dropped]
        for said in own[:1] + others:
            self.add(said, term)
        for said in row.get("sign", ()):
            self.phrases[(said,)] = [term]
