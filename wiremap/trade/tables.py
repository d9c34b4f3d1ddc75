"""Reads the package's reference tables: TOML files with a stated source, checked on load."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pkgutil import get_data
from types import MappingProxyType
from typing import Any

import tomli

STANDINGS: tuple[str, ...] = (
    "read",
    "read in a secondary copy",
    "computed",
    "common practice",
    "from memory, unverified",
    "maker's leaflet",
    "defined here",
    "per row",
)
"""How a row is known.  Of a file that says `per row`, each row says its own."""

Row = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class TableSource:
    """Where a table comes from, and how its figures are known."""

    title: str
    standing: str
    note: str


@dataclass(frozen=True, slots=True)
class Table:
    """One data file: its source and its named sections of rows, all read-only."""

    name: str
    source: TableSource
    sections: Mapping[str, tuple[Row, ...]]

    @property
    def rows(self) -> tuple[Row, ...]:
        """The rows of the section called `row`."""
        return self.sections.get("row", ())

    def section(self, name: str, /, **columns: type) -> tuple[Row, ...]:
        """Rows of one section; raises ValueError where a named column is not of its type."""
        rows = self.sections.get(name, ())
        for number, row in enumerate(rows, 1):
            for column, kind in columns.items():
                value = row.get(column)
                if not _fits(value, kind):
                    where = f"{self.name}: {name} {number}: {column}"
                    raise ValueError(f"{where} must be {kind.__name__}, not {value!r}")
        return rows


def _fits(value: object, kind: type) -> bool:
    if isinstance(value, bool):
        return kind is bool
    if kind is float:
        return isinstance(value, (int, float))
    return isinstance(value, kind)


def _frozen(value: Any) -> Any:
    if isinstance(value, dict):
        return MappingProxyType({key: _frozen(item) for key, item in value.items()})
    if isinstance(value, list):
        return tuple([each if isinstance(each, str) else _frozen(each) for each in value])
    return value


def _wrong_standings(
    name: str, source: TableSource, sections: Mapping[str, tuple[Row, ...]]
) -> Iterator[str]:
    """What is wrong with the standings of a table: unknown words, and rows without one."""
    if source.standing not in STANDINGS:
        known = ", ".join(STANDINGS)
        yield f"{name}: [source] standing {source.standing!r} is none of {known}"
    of_rows = STANDINGS[:-1]
    known = ", ".join(of_rows)
    for section, rows in sections.items():
        for number, row in enumerate(rows, 1):
            where = f"{name}: {section} {number}"
            own = row.get("standing")
            if own is None:
                if source.standing == "per row":
                    yield f"{where}: the file says `per row` but this row states no standing"
            elif own not in of_rows:
                yield f"{where}: standing {own!r} is none of {known}"


def parse_table(name: str, text: str) -> Table:
    """A table from TOML text; raises ValueError without a source or where rows are malformed."""
    data = tomli.loads(text)
    head = data.pop("source", None)
    if not isinstance(head, dict) or not head.get("title") or not head.get("standing"):
        raise ValueError(f"{name}: a [source] table with title and standing must come first")
    source = TableSource(str(head["title"]), str(head["standing"]), str(head.get("note", "")))
    sections: dict[str, tuple[Row, ...]] = {}
    for key, value in data.items():
        if not isinstance(value, list) or not all(isinstance(row, dict) for row in value):
            raise ValueError(f"{name}: {key} must be an array of tables")
        sections[key] = _frozen(value)
    for complaint in _wrong_standings(name, source, sections):
        raise ValueError(complaint)
    return Table(name, source, MappingProxyType(sections))


@cache
def table(name: str) -> Table:
    """The packaged table of this file name, read once.

    Raises FileNotFoundError or ValueError: both are mistakes of ours.
    """
    # lighter at start-up than importlib.resources, and as good in a wheel
    data = get_data("wiremap.trade", name)
    if data is None:
        raise FileNotFoundError(name)
    return parse_table(name, data.decode("utf-8"))


def named_row(file: str, section: str, name: str) -> Row:
    """The row of a table's section that bears this name; raises KeyError."""
    for row in table(file).sections[section]:
        if row["name"] == name:
            return row
    raise KeyError(f"{file}: {section} has no row {name!r}")


@cache
def figure(file: str, section: str, name: str, column: str = "value") -> float:
    """The number in one column of a named row, in the unit its row states; raises KeyError."""
    return float(named_row(file, section, name)[column])


def band(file: str, name: str) -> tuple[float, float]:
    """`low` and `high` of a named row, in the unit it states; an upper end left out is infinite."""
    row = named_row(file, "row", name)
    return float(row["low"]), float(row.get("high", math.inf))
