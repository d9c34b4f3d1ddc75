"""What every sizing function hands back: values with their parents, or a reason why there is none."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from wiremap.trade.tables import Row, table

STATUS_RANK: tuple[str, ...] = (
    "maker's leaflet",
    "read",
    "computed",
    "common practice",
    "from memory, unverified",
)
MEMORY = STATUS_RANK[-1]


class OutOfRange(ValueError):
    """An input that no answer belongs to: the message is one sentence with the accepted range and its source."""


class UnknownSize(OutOfRange):
    """A conductor that is written down without a certain size: nothing is wrong with it, but no figure can be given."""


@dataclass(frozen=True, slots=True)
class Value:
    """One figure with its unit, the formula behind it, its source and its standing."""

    name: str
    value: float | str
    unit: str
    formula: str
    source: str
    status: str

    def __post_init__(self) -> None:
        if isinstance(self.value, float) and not math.isfinite(self.value):
            raise ValueError(f"{self.name} is not a finite number")
        if self.status not in STATUS_RANK:
            raise ValueError(
                f"{self.name}: status {self.status!r} is none of {', '.join(STATUS_RANK)}"
            )
        if not self.formula or not self.source:
            raise ValueError(f"{self.name} has no parent: formula and source must be told")

    def as_dict(self) -> dict[str, Any]:
        """The figure as plain data; numbers keep six significant digits."""
        value = tidy(self.value) if isinstance(self.value, float) else self.value
        return {
            "name": self.name,
            "value": value,
            "unit": self.unit,
            "formula": self.formula,
            "source": self.source,
            "status": self.status,
        }


@dataclass(frozen=True, slots=True)
class Sized:
    """An answer: the first result is the figure asked for; without results, `why` tells what stands in the way.

    `cautions` are sentences about the answer that a person must read; `cure` says what would lift a refusal.
    """

    results: tuple[Value, ...]
    inputs: tuple[tuple[str, Any], ...] = ()
    assumptions: tuple[str, ...] = ()
    why: str = ""
    cautions: tuple[str, ...] = ()
    cure: tuple[str, ...] = field(default=())

    def __post_init__(self) -> None:
        if not self.results and not self.why:
            raise ValueError("no results and no reason why")

    @property
    def found(self) -> bool:
        """Whether there is an answer."""
        return bool(self.results)

    @property
    def answer(self) -> Value:
        """The figure asked for; raises IndexError when there is none."""
        return self.results[0]

    def get(self, name: str) -> Value:
        """The result of that name; raises KeyError."""
        for result in self.results:
            if result.name == name:
                return result
        raise KeyError(name)

    def number(self, name: str) -> float:
        """The numeric value of one result; raises KeyError or TypeError."""
        value = self.get(name).value
        if isinstance(value, str):
            raise TypeError(f"{name} is a text: {value}")
        return value

    def as_dict(self) -> dict[str, Any]:
        """The answer as plain data, in the documented shape."""
        return {
            "results": [r.as_dict() for r in self.results],
            "inputs": {k: tidy(v) if isinstance(v, float) else v for k, v in self.inputs},
            "assumptions": list(self.assumptions),
            "why": self.why,
            "cautions": list(self.cautions),
            "cure": list(self.cure),
        }


def tidy(value: float) -> float:
    """The number rounded to six significant digits, so that noise of the last bits never shows."""
    return float(f"{value:.6g}")


def weakest(*statuses: str) -> str:
    """The least certain of several standings: an answer is no better than what it rests on."""
    return max(statuses, key=STATUS_RANK.index)


def in_range(name: str, value: float, low: float, high: float, unit: str, source: str) -> float:
    """The value itself if it is a number from `low` to `high`; raises OutOfRange with one sentence otherwise."""
    if not isinstance(value, (int, float)) or isinstance(value, bool) or not low <= value <= high:
        raise OutOfRange(
            f"{name} must be from {low:g} to {high:g} {unit}".rstrip()
            + f" ({source}); got {_shown(value)}"
        )
    return float(value)


def _shown(value: object) -> str:
    return (
        f"{value:g}"
        if isinstance(value, float)
        else repr(value)
        if isinstance(value, str)
        else str(value)
    )


def source_title(file: str, source_id: str) -> str:
    """The wording of a source that a table's row names."""
    return _titles(file)[source_id]


def _titles(file: str) -> Mapping[str, str]:
    return {row["id"]: row["title"] for row in table(file).sections["sources"]}


def rule_row(file: str, section: str, name: str) -> Row:
    """The row of a table's section that bears this name; raises KeyError."""
    for row in table(file).sections[section]:
        if row["name"] == name:
            return row
    raise KeyError(f"{file}: {section} has no row {name!r}")
