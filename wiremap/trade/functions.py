"""The closed vocabulary of functions: what a contact is for, and what may share its metal."""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

from wiremap.trade.tables import Row, table

CLASSES: tuple[str, ...] = (
    "supply",
    "ground",
    "reference",
    "bus",
    "data",
    "loop",
    "input",
    "drive",
    "lamp",
    "speaker",
    "coding",
    "shield",
    "refused",
    "nothing",
    "unknown",
)
MOST_TOLD = 3  # functions that a mistyped name may mean
MOST_LIKE, LIKE = 6, 0.55  # names like it, of which several may stand for one function
LONGEST = 60  # letters of it that are compared
ROLES: tuple[str, ...] = ("source", "sender", "input", "return", "line", "passive")
FLOWS: tuple[str, ...] = ("to-unit", "from-unit", "both")
# functions of the two wires of a bus pair, the high one first
HIGH_AND_LOW = (
    ("can-high", "can-low"),
    ("j1850-plus", "j1850-minus"),
    ("differential-data", "differential-data"),  # told from one another by nothing
)
PAIR_HALVES = frozenset(half for pair in HIGH_AND_LOW for half in pair)
CAN_HALVES = frozenset(HIGH_AND_LOW[0])
OPPOSITE_HALVES = (CAN_HALVES, frozenset(HIGH_AND_LOW[1]))
VOLTS: tuple[str, ...] = ("system", "reference", "ground", "bus", "data", "high", "any")


@dataclass(frozen=True, slots=True, kw_only=True)
class Function:
    """One function: its meaning in a sentence, its electrical class, and how it may be treated.

    `role` is source, sender, input, return, line or passive; `flow` the usual direction told from
    the machine's side; `volts` a class of level, not a figure; `shares` the other functions that
    may lie on one metal with it; `kin` the other functions under which other papers name the same
    signal.  `vague` are aliases that papers write for other functions too.
    """

    slug: str
    meaning: str
    electrical: str
    role: str
    flow: str
    volts: str
    source: str
    standing: str
    aliases: tuple[str, ...] = ()
    examples: tuple[str, ...] = ()  # wordings that are read as it
    vague: tuple[str, ...] = ()
    called: str = ""  # what a person is told instead of the slug; an alias as well
    shares: frozenset[str] = frozenset()
    kin: frozenset[str] = frozenset()
    offered: bool = True  # to a person who is asked for a function
    refused: bool = False  # no work is done at such a contact
    licensed: bool = False  # only a licensed person answers for it

    def __post_init__(self) -> None:
        self._check(self.electrical, CLASSES)
        self._check(self.role, ROLES)
        self._check(self.flow, FLOWS)
        self._check(self.volts, VOLTS)

    def _check(self, value: str, allowed: tuple[str, ...]) -> None:
        if value not in allowed:
            raise ValueError(f"{self.slug}: {value!r} is none of {', '.join(allowed)}")

    @property
    def is_source(self) -> bool:
        """Whether current can come out of it."""
        return self.role == "source"


def _partners(rows: tuple[Row, ...], column: str) -> Mapping[str, set[str]]:
    """The other functions that each is paired with; a pair stands on one of its two rows."""
    partners: dict[str, set[str]] = {row["slug"]: set() for row in rows}
    for row in rows:
        for other in row.get(column, ()):
            partners[row["slug"]].add(other)
            partners[other].add(row["slug"])
    return partners


def _load() -> Mapping[str, Function]:
    rows = table("functions.toml").section(
        "row", slug=str, meaning=str, examples=tuple, role=str, flow=str, volts=str, source=str
    )
    shares = _partners(rows, "shares")
    kin = _partners(rows, "kin")
    functions = {}
    for row in rows:
        columns = dict(row)
        slug = columns["slug"]
        columns["electrical"] = columns.pop("class")
        columns["shares"] = frozenset(shares[slug])
        columns["kin"] = frozenset(kin[slug])
        functions[slug] = Function(**columns)
    return MappingProxyType(functions)


def _slugged(text: str) -> str:
    return re.sub(r"[\s_.-]+", "-", text.strip().casefold()).strip("-")


def _names(functions: Mapping[str, Function]) -> Mapping[str, str]:
    """The slug of each function by every name that may be written for it."""
    names = {slug: slug for slug in functions}
    for entry in functions.values():
        for alias in entry.aliases:
            if names.setdefault(alias, entry.slug) != entry.slug:
                raise ValueError(f"functions.toml: alias {alias!r} stands for two functions")
    return MappingProxyType(names)


FUNCTIONS: Mapping[str, Function] = _load()
"""Every function by its slug."""

_NAMES: Mapping[str, str] = _names(FUNCTIONS)


@lru_cache(maxsize=1024)
def normalise(text: str) -> str | None:
    """The slug that a written function name or alias stands for, or None."""
    return _NAMES.get(_slugged(text)) or _NAMES.get(text.strip())


@lru_cache(maxsize=1024)
def is_vague(text: str) -> bool:
    """Whether a function's name is one that papers write for other functions as well."""
    slug = normalise(text)
    return slug is not None and _slugged(text) in FUNCTIONS[slug].vague


def names_one(text: str) -> bool:
    """Whether a text names a function, and one alone."""
    return normalise(text) is not None and not is_vague(text)


def called(slug: str) -> str:
    """What a person is told for a function, and may type for it."""
    known = FUNCTIONS.get(slug)
    return slug if known is None or not known.called else known.called


def nearest(text: str) -> tuple[str, ...]:
    """Up to three slugs whose names look like the text, best first."""
    close = difflib.get_close_matches(
        _slugged(text)[:LONGEST], sorted(_NAMES), n=MOST_LIKE, cutoff=LIKE
    )
    return tuple(dict.fromkeys(_NAMES[name] for name in close))[:MOST_TOLD]


def function(slug: str) -> Function:
    """The function of this slug or alias; raises KeyError naming near ones."""
    known = normalise(slug)
    if known is None:
        told = f"{slug!r} is no function here"
        near = nearest(slug)
        if near:
            told += f"; near: {', '.join(near)}"
        raise KeyError(told)
    return FUNCTIONS[known]


def may_share(a: str, b: str) -> bool:
    """Whether two functions may lie on one metal by intent: the same, or a pair of the table."""
    first = function(a)
    second = function(b)
    if first.refused or second.refused or "nothing" in (first.electrical, second.electrical):
        return False
    return first.slug == second.slug or second.slug in first.shares


def are_kin(a: str, b: str) -> bool:
    """Whether different papers name one signal by these two functions, so that it is worth asking
    whether two contacts carry it.
    """
    return function(b).slug in function(a).kin
