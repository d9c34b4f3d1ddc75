"""What every sizing function hands back: values with their parents, or why there is none."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Any

from wiremap.trade.tables import Row, table

STATUS_RANK: tuple[str, ...] = (
    "maker's leaflet",
    "read",
    "read in a secondary copy",
    "computed",
    "common practice",
    "from memory, unverified",
)
SECOND_HAND = STATUS_RANK[2]  # of a standard that was itself not seen
MEMORY = STATUS_RANK[-1]
ROUND = 1e-9  # of a limit: what binary fractions may add or take


class OutOfRange(ValueError):
    """An input that no answer belongs to; says the accepted range and its source in a sentence."""


class UnknownSize(OutOfRange):
    """A conductor written down without a certain size: nothing is wrong, but no figure follows."""


@dataclass(frozen=True, slots=True, kw_only=True)
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
            known = ", ".join(STATUS_RANK)
            raise ValueError(f"{self.name}: status {self.status!r} is none of {known}")
        if not self.formula or not self.source:
            raise ValueError(f"{self.name} has no parent: formula and source must be told")

    def as_dict(self) -> dict[str, Any]:
        """The figure as plain data; numbers keep six significant digits."""
        return {
            "name": self.name,
            "value": _plain(self.value),
            "unit": self.unit,
            "formula": self.formula,
            "source": self.source,
            "status": self.status,
        }


@dataclass(frozen=True, slots=True)
class Origin:
    """Where figures come from and how sure they are: what several values of an answer share."""

    source: str
    status: str

    def value(self, name: str, value: float | str, unit: str, formula: str) -> Value:
        """One figure of this origin."""
        return Value(
            name=name,
            value=value,
            unit=unit,
            formula=formula,
            source=self.source,
            status=self.status,
        )

    def computed(self) -> Origin:
        """The origin of what is worked out from figures of this one."""
        return Origin(self.source, weakest("computed", self.status))

    def beside(self, source: str) -> Origin:
        """This origin with one more source named after its own."""
        return Origin(f"{self.source}; {source}", self.status)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sized:
    """An answer: the first result is the figure asked for; without results, `why` says why.

    `cautions` are sentences about the answer that a person must read; `cure` says what would lift
    a refusal.
    """

    results: tuple[Value, ...] = ()
    inputs: tuple[tuple[str, Any], ...] = ()
    assumptions: tuple[str, ...] = ()
    why: str = ""
    cautions: tuple[str, ...] = ()
    cure: tuple[str, ...] = ()

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

    def has(self, name: str) -> bool:
        """Whether there is a result of that name."""
        return any(result.name == name for result in self.results)

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
            "results": [result.as_dict() for result in self.results],
            "inputs": {name: _plain(value) for name, value in self.inputs},
            "assumptions": list(self.assumptions),
            "why": self.why,
            "cautions": list(self.cautions),
            "cure": list(self.cure),
        }


def tidy(value: float) -> float:
    """The number rounded to six significant digits, so that noise of the last bits never shows."""
    return float(f"{value:.6g}")


def _plain(value: Any) -> Any:
    return tidy(value) if isinstance(value, float) else value


def weakest(*statuses: str) -> str:
    """The least certain of several standings, as that of an answer that rests on all of them."""
    return max(statuses, key=STATUS_RANK.index)


def in_range(name: str, value: float, low: float, high: float, *, unit: str, source: str) -> float:
    """The value itself if it is a number from `low` to `high`, both in `unit`.

    Raises OutOfRange with one sentence that names the range and its source.
    """
    number = isinstance(value, (int, float)) and not isinstance(value, bool)
    if number and low <= value <= high:
        return float(value)
    span = f"{name} must be from {low:g} to {high:g} {unit}".rstrip()
    raise OutOfRange(f"{span} ({source}); got {_shown(value)}")


def _shown(value: object) -> str:
    if isinstance(value, float):
        return f"{value:g}"
    return repr(value) if isinstance(value, str) else str(value)


@cache
def source_row(file: str, source_id: str) -> Row:
    """Title and note of a source that a table's rows name; raises KeyError."""
    for row in table(file).sections["sources"]:
        if row["id"] == source_id:
            return row
    raise KeyError(f"{file}: no source {source_id!r}")


def source_title(file: str, source_id: str) -> str:
    """The wording of a source that a table's row names; raises KeyError."""
    return str(source_row(file, source_id)["title"])


def row_origin(file: str, row: Row) -> Origin:
    """Where a table's row comes from and its standing."""
    return Origin(source_title(file, row["source"]), row["standing"])


def memory(file: str, source_id: str) -> Origin:
    """The origin of figures that are recalled from a source, not read in it."""
    return Origin(source_title(file, source_id), MEMORY)
