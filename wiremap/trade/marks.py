"""Designations that a standard gives a contact: DIN 72552 terminals, V.24 (EIA-232) circuits."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from wiremap.trade.functions import FUNCTIONS
from wiremap.trade.tables import Row, table

SCHEMES: Mapping[str, str] = MappingProxyType(
    {"din72552": "DIN 72552 terminal", "v24": "ITU-T V.24 circuit"}
)

Qualifiers = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A designation read: function, qualifiers, what else it could be, and what to beware of.

    `alternatives` holds the qualifiers that go with a function of `may_be`.  `sender` is the side
    that drives a V.24 circuit, `dte` (terminal) or `dce` (modem), and empty elsewhere.
    """

    scheme: str
    mark: str
    meaning: str
    function: str
    qualifiers: Qualifiers
    may_be: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    alternatives: tuple[tuple[str, Qualifiers], ...] = ()
    sender: str = ""
    settled: bool = True
    standing: str

    def qualifiers_as(self, function: str) -> Qualifiers:
        """The qualifiers that hold if the contact has this function after all."""
        if function == self.function:
            return self.qualifiers
        return dict(self.alternatives).get(function, ())


def _din(row: Row) -> Mark:
    may_be = row.get("may_be", ())
    warnings = (row["warning"],) if "warning" in row else ()
    alternatives: tuple[tuple[str, Qualifiers], ...] = ()
    if "alternative" in row:
        quals = dict(row["alternative"])
        alternatives = ((quals.pop("function"), tuple(sorted(quals.items()))),)
    return Mark(
        scheme="din72552",
        mark=row["mark"],
        meaning=row["meaning"],
        function=row["function"],
        qualifiers=tuple(sorted(row.get("quals", {}).items())),
        may_be=may_be,
        warnings=warnings,
        alternatives=alternatives,
        settled=not may_be,
        standing=row["standing"],
    )


def _v24(row: Row) -> Mark:
    quals = {key: row[key] for key in ("circuit", "source", "channel") if key in row}
    return Mark(
        scheme="v24",
        mark=row["mark"],
        meaning=row["meaning"],
        function=row.get("function", "single-ended-data"),
        qualifiers=tuple(sorted(quals.items())),
        sender=row["sender"],
        standing=row["standing"],
    )


def _tables() -> Mapping[str, Mapping[str, Mark]]:
    marks = table("marks.toml")
    din = {}
    for row in marks.section("din72552", mark=str, meaning=str, function=str):
        din[row["mark"].casefold()] = _din(row)
    v24 = {}
    for row in marks.section("v24", mark=str, meaning=str, letters=tuple, sender=str):
        for name in (row["mark"], *row["letters"], *row.get("numbers", ())):
            v24[name.casefold()] = _v24(row)
    for mark in (*din.values(), *v24.values()):
        if not FUNCTIONS.keys() >= {mark.function, *mark.may_be}:
            raise ValueError(f"marks.toml: {mark.mark} names a function that is none")
    return MappingProxyType({"din72552": MappingProxyType(din), "v24": MappingProxyType(v24)})


MARKS: Mapping[str, Mapping[str, Mark]] = _tables()
"""Per scheme every designation in lower case; V.24 under its numbers and its EIA-232 letters."""

_PREFIX = re.compile(
    r"^(?:kl(?:emme)?|t(?:erminal)?|din)[\s._-]*(?=\d)|^(?:circuit|v\.?24)[\s._-]*(?=\w)"
)


def read_mark(scheme: str, text: str) -> Mark | None:
    """What a scheme's designation means, or None if the table has no such one.

    A prefix such as KL may stand before it.  Raises KeyError for a scheme that is not in SCHEMES.
    """
    marks = MARKS[scheme]
    key = _PREFIX.sub("", " ".join(text.casefold().split())[:40])
    found = marks.get(key) or marks.get(key.replace(" ", ""))
    if found is None and "/" in key:
        return _either(marks, key)
    return found


def _either(marks: Mapping[str, Mark], key: str) -> Mark | None:
    """Several designations on one contact: the first, with the others as what it may be."""
    known = []
    for part in key.split("/"):
        mark = marks.get(part.strip())
        if mark is None:
            return None
        known.append(mark)
    first = known[0]
    others = dict.fromkeys(mark.function for mark in known)
    del others[first.function]
    told = " or ".join(f"{mark.mark} {mark.meaning}" for mark in known)
    warning = f"Two designations stand on one contact: {told}. Ask which is in use."
    return Mark(
        scheme=first.scheme,
        mark="/".join(mark.mark for mark in known),
        meaning=told,
        function=first.function,
        qualifiers=first.qualifiers,
        may_be=tuple(others),
        warnings=(warning,),
        sender=first.sender,
        settled=False,
        standing=first.standing,
    )
