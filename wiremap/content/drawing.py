"""A drawing as plain data: lines, rings and words in millimetres, y downwards from its top.

Paper, SVG and a screen draw the same shapes; how wide a text is set is asked of a `Measure`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import NamedTuple

LEADING_MM = 0.405  # height of a line for each point of type
ELLIPSIS = "…"
HEAD_SHARE = 0.6  # of a shortened text stands before its ellipsis
ROUGH_MM = 0.2  # width of a letter for each point of type, where no type is at hand


class Spot(NamedTuple):
    """A place on a drawing [mm]."""

    x: float
    y: float


class Lettering(NamedTuple):
    """A size of type in points, in the regular or the heavy cut."""

    points: float
    strong: bool = False

    @property
    def line_mm(self) -> float:
        """How high a line of it is."""
        return self.points * LEADING_MM


Measure = Callable[[str, Lettering], float]
"""How wide a text is set [mm]."""


class Align(StrEnum):
    """Which part of a text stands at its spot."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnLine:
    """A line through several spots; a white one covers what lies under it."""

    spots: tuple[Spot, ...]
    weight: float
    closed: bool = False
    filled: bool = False
    white: bool = False
    dash: tuple[float, ...] = ()

    def moved(self, right: float, down: float) -> DrawnLine:
        """The line at another place."""
        return replace(self, spots=tuple(Spot(x + right, y + down) for x, y in self.spots))


@dataclass(frozen=True, slots=True, kw_only=True)
class Ring:
    """A circle, or a disc if it is filled."""

    middle: Spot
    radius: float
    weight: float
    filled: bool = False

    def moved(self, right: float, down: float) -> Ring:
        """The ring at another place."""
        return replace(self, middle=Spot(self.middle.x + right, self.middle.y + down))


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """One line of text; its baseline is at the spot, and climbs from there if `upright`."""

    at: Spot
    text: str
    lettering: Lettering
    align: Align = Align.START
    upright: bool = False
    white: bool = False

    def moved(self, right: float, down: float) -> Words:
        """The words at another place."""
        return replace(self, at=Spot(self.at.x + right, self.at.y + down))


Shape = DrawnLine | Ring | Words


TOP = 0.0  # of a drawing


@dataclass(frozen=True, slots=True)
class Drawing:
    """Shapes within a rectangle; `level` is the height at which it lines up with its neighbours."""

    wide: float
    high: float
    shapes: tuple[Shape, ...]
    level: float = TOP

    def moved(self, right: float, down: float) -> list[Shape]:
        """Its shapes at another place."""
        return [shape.moved(right, down) for shape in self.shapes]


def rough_width(text: str, lettering: Lettering) -> float:
    """About how wide a text is set, rather too wide: for screens that bring their own type."""
    return len(text) * lettering.points * ROUGH_MM


def fitted(text: str, room: float, lettering: Lettering, measure: Measure) -> str:
    """The text, shortened in its middle to the room [mm]; where nothing fits, the ellipsis."""
    if measure(text, lettering) <= room:
        return text
    least, most = 0, len(text)
    while least < most:
        trial = (least + most + 1) // 2
        if measure(_without_middle(text, trial), lettering) <= room:
            least = trial
        else:
            most = trial - 1
    return _without_middle(text, least)


def _without_middle(text: str, kept: int) -> str:
    """So many characters of a text, from both its ends."""
    head = round(kept * HEAD_SHARE)
    tail = kept - head
    return text[:head] + ELLIPSIS + text[len(text) - tail :]


def wrapped(text: str, room: float, lettering: Lettering, measure: Measure) -> list[str]:
    """The text in lines no wider than the room; a word that is too long is broken."""
    lines: list[str] = []
    now = ""
    for word in text.split():
        trial = f"{now} {word}" if now else word
        if measure(trial, lettering) <= room:
            now = trial
            continue
        if now:
            lines.append(now)
        now = word
        while len(now) > 1 and measure(now, lettering) > room:
            kept = _leading(now, room, lettering, measure)
            lines.append(now[:kept])
            now = now[kept:]
    return [*lines, now] if now else lines


def _leading(word: str, room: float, lettering: Lettering, measure: Measure) -> int:
    """How many letters of a word have room, at least one."""
    kept = len(word) - 1
    while kept > 1 and measure(word[:kept], lettering) > room:
        kept -= 1
    return kept


def across(start: Spot, length: float, weight: float) -> DrawnLine:
    """A level line to the right."""
    return DrawnLine(spots=(start, Spot(start.x + length, start.y)), weight=weight)


def box(corner: Spot, wide: float, high: float, weight: float) -> DrawnLine:
    """A rectangle by its upper left corner."""
    right, foot = corner.x + wide, corner.y + high
    spots = (corner, Spot(right, corner.y), Spot(right, foot), Spot(corner.x, foot))
    return DrawnLine(spots=spots, weight=weight, closed=True)
