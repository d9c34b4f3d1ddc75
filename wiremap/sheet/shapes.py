"""A drawing of `content` on paper: each shape by the pen."""

from __future__ import annotations

from collections.abc import Iterable

from wiremap.content.drawing import Align, DrawnLine, Lettering, Ring, Shape, Words
from wiremap.sheet.ink import Ink, width

ANCHORS = {Align.START: "left", Align.MIDDLE: "centre", Align.END: "right"}


def measured(text: str, lettering: Lettering) -> float:
    """How wide a text is set in the sheet's typeface [mm]."""
    return width(text, lettering)


def draw(ink: Ink, shapes: Iterable[Shape], x: float, y: float) -> None:
    """All shapes, their drawing's upper left corner at (x, y)."""
    for shape in shapes:
        placed = shape.moved(x, y)
        if isinstance(placed, Words):
            _words(ink, placed)
        elif isinstance(placed, Ring):
            ink.circle(*placed.middle, placed.radius, placed.weight, fill=placed.filled)
        else:
            _line(ink, placed)


def _words(ink: Ink, words: Words) -> None:
    ink.white(on=words.white)
    if words.upright:
        ink.upright(*words.at, words.text, words.lettering)
    else:
        ink.text(*words.at, words.text, words.lettering, align=ANCHORS[words.align])
    ink.white(on=False)


def _line(ink: Ink, line: DrawnLine) -> None:
    ink.white(on=line.white)
    ink.shape(line.spots, line.weight, fill=line.filled, close=line.closed, dash=line.dash)
    ink.white(on=False)
