"""Single figures of a table by their names: limits, shares, bands."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from wiremap.trade.tables import Row, table


@cache
def rows_by_name(file: str, section: str = "row") -> Mapping[str, Row]:
    """The rows of a section by their `name`."""
    rows = table(file).section(section, name=str)
    return MappingProxyType({str(row["name"]): row for row in rows})


def value(file: str, name: str, section: str = "row") -> float:
    """The `value` of one row, in the unit that its table states; raises KeyError for no such row."""
    return float(rows_by_name(file, section)[name]["value"])


def band(file: str, name: str) -> tuple[float, float]:
    """`low` and `high` of one row; an upper end that is left out is infinite."""
    row = rows_by_name(file)[name]
    return float(row["low"]), float(row.get("high", math.inf))
