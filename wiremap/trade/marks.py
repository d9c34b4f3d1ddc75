"""Designations that a standard gives a contact: DIN 72552 terminals and V.24 (EIA-232) circuits."""

from __future__ import annotations

import difflib
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


@dataclass(frozen=True, slots=True)
class Mark:
    """A designation read: function, qualifiers, what else it could be, and what to beware of.

    `alternatives` holds the qualifiers that go with a function of `may_be`.  `sender` is the side that drives a
    V.24 circuit, dte or dce, and empty elsewhere.
    """

    scheme: str
    mark: str
    meaning: str
    function: str
    qualifiers: Qualifiers = ()
    may_be: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    alternatives: tuple[tuple[str, Qualifiers], ...] = ()
    sender: str = ""
    settled: bool = True
    standing: str = "read"

    def qualifiers_as(self, function: str) -> Qualifiers:
        """The qualifiers that hold if the contact has this function after all."""
        if function == self.function:
            return self.qualifiers
        return dict(self.alternatives).get(function, ())


def _din(row: Row) -> Mark:
    may_be = row.get("may_be", ())
    other = dict(row.get("alternative", {}))
    alternatives = ((other.pop("function"), tuple(sorted(other.items()))),) if other else ()
    return Mark(
        "din72552",
        row["mark"],
        row["meaning"],
        row["function"],
        tuple(sorted(row.get("quals", {}).items())),
        may_be,
        (row["warning"],) if "warning" in row else (),
        alternatives,
        settled=not may_be,
        standing=row["standing"],
    )


def _v24(row: Row) -> Mark:
    quals = {key: row[key] for key in ("circuit", "source", "channel") if key in row}
    return Mark(
        "v24",
        row["mark"],
        row["meaning"],
        row.get("function", "single-ended-data"),
        tuple(sorted(quals.items())),
        sender=row["sender"],
        standing=row["standing"],
    )


def _tables() -> Mapping[str, Mapping[str, Mark]]:
    din = {
        row["mark"].casefold(): _din(row)
        for row in table("marks.toml").section("din72552", mark=str, meaning=str, function=str)
    }
    v24: dict[str, Mark] = {}
    for row in table("marks.toml").section("v24", mark=str, meaning=str, letters=tuple, sender=str):
        for name in (row["mark"], *row["letters"], *row.get("numbers", ())):
            v24[name.casefold()] = _v24(row)
    for mark in (*din.values(), *v24.values()):
        if any(name not in FUNCTIONS for name in (mark.function, *mark.may_be)):
            raise ValueError(f"marks.toml: {mark.mark} names a function that is none")
    return MappingProxyType({"din72552": MappingProxyType(din), "v24": MappingProxyType(v24)})


MARKS: Mapping[str, Mapping[str, Mark]] = _tables()
"""Per scheme every designation in lower case; V.24 under its numbers and its EIA-232 letters."""

_PREFIX = re.compile(
    r"^(?:kl(?:emme)?|t(?:erminal)?|din)[\s._-]*(?=\d)|^(?:circuit|v\.?24)[\s._-]*(?=\w)"
)


def _split(marks: Mapping[str, Mark], scheme: str, key: str) -> Mark | None:
    parts = [marks.get(part.strip()) for part in key.split("/")]
    known = [part for part in parts if part is not None]
    if not known or len(known) != len(parts):
        return None
    first = known[0]
    others = tuple(
        dict.fromkeys(mark.function for mark in known[1:] if mark.function != first.function)
    )
    told = " or ".join(f"{mark.mark} {mark.meaning}" for mark in known)
    return Mark(
        scheme,
        "/".join(mark.mark for mark in known),
        told,
        first.function,
        first.qualifiers,
        others,
        (f"Two designations stand on one contact: {told}. Ask which is in use.",),
        sender=first.sender,
        settled=False,
        standing=first.standing,
    )


def read_mark(scheme: str, text: str) -> Mark | None:
    """The designation of one scheme, with or without a prefix such as KL, or None if the table has no such one.

    Raises KeyError for a scheme that is not in SCHEMES.
    """
    marks = MARKS[scheme]
    key = _PREFIX.sub("", " ".join(text.casefold().split())[:40])
    return (
        marks.get(key)
        or marks.get(key.replace(" ", ""))
        or (_split(marks, scheme, key) if "/" in key else None)
    )


def nearest_marks(scheme: str, text: str) -> tuple[str, ...]:
    """Up to three designations of the scheme that look like the text."""
    close = difflib.get_close_matches(text.casefold()[:40], sorted(MARKS[scheme]), n=6, cutoff=0.4)
    return tuple(dict.fromkeys(MARKS[scheme][key].mark for key in close))[:3]
