"""The trade's wordings as data: terms that give ideas and qualifiers, and the rules that combine ideas."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache, cached_property, lru_cache
from types import MappingProxyType

from wiremap.trade.functions import FUNCTIONS
from wiremap.trade.marks import MARKS, Mark
from wiremap.trade.tables import Row, table

_LETTERS = str.maketrans(
    {"ł": "l", "Ł": "L", "ø": "o", "Ø": "O", "æ": "ae", "ß": "ss", "đ": "d", "ı": "i"}
)
_DASHES = re.compile("[‐‑‒–—―−]")


def folded(text: str) -> str:
    """The text without accents, with one kind of dash, its case kept."""
    if text.isascii():
        return text
    plain = unicodedata.normalize("NFKD", _DASHES.sub("-", text)).translate(_LETTERS)
    return "".join(mark for mark in plain if not unicodedata.combining(mark))


_PIECE = re.compile(r"[^\W\d_]+|\d+(?:[.,]\d+)?|\+|-", re.UNICODE)
_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])")


def _minus(text: str, at: int) -> bool:
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
    if text.isascii() and text.isalpha() and (text.islower() or text.isupper()):
        return (text,)
    found: list[str] = []
    plain = folded(text)
    for piece in _PIECE.finditer(plain):
        word = piece.group()
        if word == "-":
            if _minus(plain, piece.start()):
                found.append(word)
        elif word == "+" or not word.isalpha():
            found.append(word)
        else:
            found += _CAMEL.split(word)
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Term:
    """What one set of words says: ideas, qualifiers, and how far it can be trusted."""

    ideas: frozenset[str]
    is_: str = ""
    quals: tuple[tuple[str, str], ...] = ()
    within: frozenset[str] = frozenset()
    may_be: tuple[str, ...] = ()
    doubt: bool = False
    apart: bool = False
    lead: bool = False  # a standard's number: read only where no words stand before it
    filler: bool = False


@dataclass(frozen=True, slots=True)
class Rule:
    """The function that a set of ideas comes to; every group of `needs` must be met by one of its ideas."""

    needs: tuple[frozenset[str], ...]
    function: str
    quals: tuple[tuple[str, str], ...] = ()
    may_be: tuple[str, ...] = ()
    doubt: bool = False

    def fits(self, ideas: frozenset[str]) -> bool:
        """Whether the ideas meet every group."""
        return all(not group.isdisjoint(ideas) for group in self.needs)


Phrase = tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Names:
    """All wordings and rules; `synonyms` are the further wordings of a term, beside the first, which is its own name."""

    phrases: Mapping[Phrase, tuple[Term, ...]]
    rules: tuple[Rule, ...]
    absorbed: Mapping[str, frozenset[str]]
    synonyms: tuple[str, ...]

    def __post_init__(self) -> None:
        object.__setattr__(self, "rule_for", lru_cache(maxsize=4096)(self.rule_for))

    def rule_for(self, ideas: frozenset[str], function: str = "") -> Rule | None:
        """The first rule that the ideas meet, of those that give this function if one is named."""
        return next(
            (
                rule
                for rule in self.rules
                if (not function or rule.function == function) and rule.fits(ideas)
            ),
            None,
        )

    @cached_property
    def longest(self) -> Mapping[str, int]:
        """For each first word the length of the longest phrase that begins with it."""
        most: dict[str, int] = {}
        for phrase in self.phrases:
            most[phrase[0]] = max(most.get(phrase[0], 0), len(phrase))
        return MappingProxyType(most)

    @cached_property
    def vocabulary(self) -> frozenset[str]:
        """Every word that occurs in a phrase."""
        return frozenset(word for phrase in self.phrases for word in phrase)

    @cached_property
    def stems(self) -> frozenset[str]:
        """Single words that may be parts of a compound."""
        return frozenset(
            phrase[0] for phrase in self.phrases if len(phrase) == 1 and len(phrase[0]) >= 3
        )

    def known(self, word: str) -> str:
        """The word as the phrases have it: without a plural ending that they do not know."""
        if word in self.vocabulary:
            return word
        for ending in ("s", "es", "n", "en"):
            if (
                word.endswith(ending)
                and len(word) - len(ending) >= 3
                and word[: -len(ending)] in self.vocabulary
            ):
                return word[: -len(ending)]
        return word

    def compound(self, word: str) -> tuple[str, ...]:
        """The known words that a run-together word is made of, or nothing; the longest first part is tried first."""
        if not 6 <= len(word) <= 40 or not word.isalpha():
            return ()
        return self._parts(word, 3) or ()

    @cached_property
    def _initials(self) -> Mapping[str, tuple[Phrase, ...]]:
        found: dict[str, list[Phrase]] = {}
        for phrase in self.phrases:
            if len(phrase) > 1 and all(word.isalpha() and len(word) > 1 for word in phrase):
                found.setdefault("".join(word[0] for word in phrase), []).append(phrase)
        return MappingProxyType(
            {initials: tuple(sorted(phrases)) for initials, phrases in found.items()}
        )

    @cached_property
    def _by_start(self) -> Mapping[str, tuple[str, ...]]:
        found: dict[str, list[str]] = {}
        for word in sorted(self.stems):
            if len(word) >= 5:
                found.setdefault(word[:5], []).append(word)
        return MappingProxyType({start: tuple(words) for start, words in found.items()})

    def guessed(self, word: str, short: bool) -> tuple[Term, ...]:
        """What an unknown word may stand for: the initials of one phrase, or a word that begins alike; always in doubt.

        `short` says that the word is written in capitals, so that initials are worth trying.
        """
        if short and 2 <= len(word) <= 5:
            terms = {
                term
                for phrase in self._initials.get(word, ())
                for term in self.phrases[phrase]
                if term.ideas
            }
            return self._in_doubt(terms)
        near: set[Term] = set()
        for known in self._by_start.get(word[:5], ()):
            shared = next(
                (at for at, (one, two) in enumerate(zip(word, known, strict=False)) if one != two),
                min(len(word), len(known)),
            )
            if shared >= 0.7 * max(len(word), len(known)):
                near.update(term for term in self.phrases[(known,)] if term.ideas or term.quals)
        return self._in_doubt(near)

    @staticmethod
    def _in_doubt(terms: set[Term]) -> tuple[Term, ...]:
        """The terms marked as a guess, if all of them say the same."""
        if len({(term.ideas, term.quals) for term in terms}) != 1:
            return ()
        return (replace(next(iter(terms)), doubt=True, apart=True, may_be=()),)

    def _parts(self, word: str, most: int) -> tuple[str, ...] | None:
        for size in range(len(word), 2, -1):
            head = self.known(word[:size]) if size == len(word) else word[:size]
            if head not in self.stems:
                continue
            if size == len(word):
                return (head,)
            rest = self._parts(word[size:], most - 1) if most > 1 else None
            if rest is None and most > 1 and word[size] == "s":
                rest = self._parts(word[size + 1 :], most - 1)
            if rest is not None:
                return (head, *rest)
        return None


def _phrase(text: str) -> Phrase:
    return tuple(word.casefold() for word in tokens(text))


def _term(row: Row) -> Term:
    is_ = row.get("is", "")
    ideas = frozenset(row.get("ideas", ())) | ({is_} if is_ else frozenset())
    within = frozenset(row.get("within", ("data",) if "serial" in ideas else ()))
    for name in (*((is_,) if is_ else ()), *row.get("may_be", ())):
        if name not in FUNCTIONS:
            raise ValueError(f"names.toml: a term names {name!r}, which is no function")
    return Term(
        ideas,
        is_,
        tuple(sorted(row.get("quals", {}).items())),
        within,
        row.get("may_be", ()),
        row.get("doubt", False),
        row.get("apart", False),
    )


def _mark_term(mark: Mark, said: str) -> Term:
    doubt = not mark.settled or bool(mark.warnings)
    ideas = frozenset(
        {mark.function} if mark.scheme == "din72552" or not mark.sender else {"serial"}
    )
    within = (
        frozenset({"data"})
        if "serial" in ideas
        else frozenset({FUNCTIONS[mark.function].electrical})
    )
    return Term(
        ideas,
        mark.function,
        mark.qualifiers,
        within,
        mark.may_be,
        doubt,
        lead=said[:1].isdigit(),
        apart=any(kind == "channel" for kind, _ in mark.qualifiers),
    )


def _marks() -> Iterable[tuple[str, Term]]:
    for key, mark in MARKS["din72552"].items():
        if key[0].isdigit() and len(key) > 1:
            yield key, _mark_term(mark, mark.mark)
            for function, quals in mark.alternatives:
                yield (
                    key,
                    Term(
                        frozenset(), quals=quals, within=frozenset({FUNCTIONS[function].electrical})
                    ),
                )
    for key, mark in MARKS["v24"].items():
        yield key, _mark_term(mark, key.upper())


def _rule(row: Row) -> Rule:
    if row["function"] not in FUNCTIONS:
        raise ValueError(f"names.toml: a rule gives {row['function']!r}, which is no function")
    needs = tuple(frozenset(group.split("|")) for group in row["needs"].split())
    return Rule(
        needs,
        row["function"],
        tuple(sorted(row.get("quals", {}).items())),
        row.get("may_be", ()),
        row.get("doubt", False),
    )


@cache
def load_names(without: frozenset[str] = frozenset()) -> Names:
    """The shipped wordings, less those named in `without` (compared as phrases: case and spacing do not count).

    A term's first wording is its own name; signs and the designations of the standards (see `marks`) are no synonyms
    either.  All of these stay.
    """
    dropped = {_phrase(text) for text in without}
    phrases: dict[Phrase, list[Term]] = {}
    synonyms: dict[str, None] = {}
    names = table("names.toml")
    for row in names.section("term"):
        term = _term(row)
        for place, said in enumerate((*row.get("read", ()), *row.get("memory", ()))):
            phrase = _phrase(said)
            if not phrase:
                raise ValueError(f"names.toml: {said!r} holds no word")
            if place:
                synonyms[said] = None
            if phrase not in dropped or not place:
                phrases.setdefault(phrase, []).append(term)
        for said in row.get("sign", ()):
            phrases[(said,)] = [term]
    own = frozenset(phrases)
    for said, term in _marks():
        if _phrase(said) not in own:
            phrases.setdefault(_phrase(said), []).append(term)
    nothing = Term(frozenset(), filler=True)
    for row in names.section("filler", read=tuple, memory=tuple):
        for said in (*row["read"], *row["memory"]):
            phrases.setdefault(_phrase(said), [nothing])
    absorbed = {
        row["class"]: frozenset(row["ideas"].split()) for row in names.section("absorb", ideas=str)
    }
    return Names(
        MappingProxyType({phrase: tuple(terms) for phrase, terms in phrases.items()}),
        tuple(_rule(row) for row in names.section("rule", needs=str, function=str)),
        MappingProxyType(absorbed),
        tuple(synonyms),
    )
