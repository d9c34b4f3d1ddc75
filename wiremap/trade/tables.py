"""Reads the package's reference tables: TOML files with a stated source, frozen and checked on load."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pkgutil import get_data
from types import MappingProxyType
from typing import Any

STANDINGS: tuple[str, ...] = (
    "read",
    "computed",
    "common practice",
    "from memory, unverified",
    "maker's leaflet",
    "defined here",
    "per row",
)
"""How a row is known.  A file whose rows differ says `per row` and each of its rows then says its own."""

Row = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Source:
    """Where a table comes from and how far that was seen."""

    title: str
    standing: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """One data file: its source and its named sections of rows, all read-only."""

    name: str
    source: Source
    sections: Mapping[str, tuple[Row, ...]]

    @property
    def rows(self) -> tuple[Row, ...]:
        """The rows of the section called `row`."""
        return self.sections.get("row", ())

    def section(self, name: str, /, **columns: type) -> tuple[Row, ...]:
        """Rows of one section; raises ValueError if a row lacks a named column or holds another type there."""
        rows = self.sections.get(name, ())
        for number, row in enumerate(rows, 1):
            for column, kind in columns.items():
                if not _fits(row.get(column), kind):
                    raise ValueError(
                        f"{self.name}: {name} {number}: {column} must be {kind.__name__}, "
                        f"not {row.get(column)!r}"
                    )
        return rows


def _fits(value: object, kind: type) -> bool:
    if kind is float:
        return isinstance(value, (int, float)) and not isinstance(value, bool)
    if kind is int:
        return isinstance(value, int) and not isinstance(value, bool)
    return isinstance(value, kind)


def _frozen(value: Any) -> Any:
    if isinstance(value, dict):
        return MappingProxyType({key: _frozen(item) for key, item in value.items()})
    if isinstance(value, list):
        return tuple(_frozen(item) for item in value)
    return value


def _standings(name: str, source: Source, sections: Mapping[str, tuple[Row, ...]]) -> Iterator[str]:
    if source.standing not in STANDINGS:
        yield f"{name}: [source] standing {source.standing!r} is none of {', '.join(STANDINGS)}"
    for section, rows in sections.items():
        for number, row in enumerate(rows, 1):
            own = row.get("standing")
            if own is None and source.standing == "per row":
                yield f"{name}: {section} {number}: the file says `per row` but this row states no standing"
            elif own is not None and own not in STANDINGS[:-1]:
                yield f"{name}: {section} {number}: standing {own!r} is none of {', '.join(STANDINGS[:-1])}"


def parse_table(name: str, text: str) -> Table:
    """A table from TOML text; raises ValueError when it states no source or its rows are malformed."""
    data = tomllib.loads(text)
    head = data.pop("source", None)
    if not isinstance(head, dict) or not head.get("title") or not head.get("standing"):
        raise ValueError(f"{name}: a [source] table with title and standing must come first")
    source = Source(str(head["title"]), str(head["standing"]), str(head.get("note", "")))
    sections: dict[str, tuple[Row, ...]] = {}
    for key, value in data.items():
        if not isinstance(value, list) or not all(isinstance(row, dict) for row in value):
            raise ValueError(f"{name}: {key} must be an array of tables")
        sections[key] = tuple(_frozen(row) for row in value)
    for complaint in _standings(name, source, sections):
        raise ValueError(complaint)
    return Table(name, source, MappingProxyType(sections))


@cache
def table(name: str) -> Table:
    """The packaged table of this file name, read once; raises FileNotFoundError or ValueError for our own mistakes."""
    data = get_data(
        "wiremap.trade", name
    )  # lighter at start-up than importlib.resources, and as good in a wheel
    if data is None:
        raise FileNotFoundError(name)
    return parse_table(name, data.decode("utf-8"))
