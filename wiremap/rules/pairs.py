"""The pairs that the connectors offer: both halves of a bus, or a half without its partner."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from wiremap.graph import Point
from wiremap.model import End
from wiremap.rules.view import View
from wiremap.trade.functions import PAIR_HALVES

HIGH, LOW = "high", "low"
HALF_OF = {"can-high": HIGH, "can-low": LOW, "j1850-plus": HIGH, "j1850-minus": LOW}
HALF_OF_POLARITY = {"plus": HIGH, "minus": LOW, "high": HIGH, "low": LOW, "a": HIGH, "b": LOW}


@dataclass(frozen=True, slots=True)
class Pair:
    """Both halves of one bus at one connector."""

    end: str
    name: str | None  # None where its paper gives it none
    high: Point
    low: Point

    @property
    def legs(self) -> tuple[Point, Point]:
        """High, low."""
        return self.high, self.low

    @property
    def called(self) -> str:
        """The pair as a person calls it."""
        if self.name:
            return f"{self.end} pair {self.name}"
        return f"{self.high.address} with {self.low.address}"


@dataclass(frozen=True, slots=True)
class Halves:
    """What the connectors offer: whole pairs, and halves without a partner on their paper."""

    pairs: tuple[Pair, ...]
    single: tuple[Point, ...]


def bus_of(point: Point) -> str:
    """The bus that a half belongs to: can, j1850, differential."""
    return point.function.split("-")[0]


def halves(view: View) -> Halves:
    """Every pair of every end, by its `pair` name, or by being the only two halves there."""
    pairs: list[Pair] = []
    single: list[Point] = []
    for end in view.job.ends.values():
        for (bus, name), legs in _of_end(view, end).items():
            if len(legs) == 2:
                pairs.append(Pair(end.name, name, legs[HIGH], legs[LOW]))
            elif bus != "j1850":  # J1850 also runs on its plus line alone
                single += legs.values()
    return Halves(tuple(pairs), tuple(single))


def _of_end(view: View, end: End) -> dict[tuple[str, str | None], dict[str, Point]]:
    by_bus_and_name: dict[tuple[str, str | None], dict[str, Point]] = defaultdict(dict)
    for point, half in _half_points(view, end):
        assert point.cavity is not None
        name = point.cavity.pair or end.pinout.segment_of(point.cavity.name)
        by_bus_and_name[bus_of(point), name].setdefault(half, point)
    return by_bus_and_name


def _half_points(view: View, end: End) -> Iterator[tuple[Point, str]]:
    for cavity in end.pinout.cavities.values():
        if cavity.function not in PAIR_HALVES:
            continue
        half = HALF_OF.get(cavity.function)
        if cavity.function == "differential-data":
            half = HALF_OF_POLARITY.get(cavity.reading.qualifier("polarity") or "")
        if half is not None:
            yield view.points[f"{end.name}.{cavity.name}"], half
