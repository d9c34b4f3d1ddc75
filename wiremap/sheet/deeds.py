"""Short deeds and readings, set one behind another like the words of a sentence, each with its own box."""

from __future__ import annotations

from wiremap.content.pieces import Deed, Deeds
from wiremap.sheet.elements import (
    LINE,
    TICK_MM,
    WIDE,
    WRITE_MM,
    Draw,
    Piece,
    lines,
    tick,
    write_line,
)
from wiremap.sheet.ink import BODY, Ink, width, wrap

BETWEEN = 3.4
BLANK_MM = 13.0
PLAIN_MM = TICK_MM + 0.8


class _Set:
    """One deed, measured."""

    def __init__(self, deed: Deed) -> None:
        self.deed = deed
        self.at = deed.boxes * (TICK_MM + 0.4) + 0.6
        self.n_mm = width(deed.n, BODY, True) + 1.2 if deed.n else 0.0
        self.want_mm = width(deed.want, BODY, True) + 1.6 if deed.want else 0.0
        unit = width(deed.unit) + 0.8 if deed.unit else 0.0
        self.blanks_mm = deed.blanks * (BLANK_MM + 1.4 + unit)
        room = WIDE - self.at - self.n_mm
        alone = width(deed.text) + (1.6 if deed.text else 0.0) + self.want_mm + self.blanks_mm
        self.lines = (
            (deed.text,) if alone <= room else wrap(deed.text, room - self.want_mm - self.blanks_mm)
        )
        self.text_mm = max((width(t) for t in self.lines), default=0.0) + (
            1.6 if deed.text else 0.0
        )
        self.wide = min(self.at + self.n_mm + self.text_mm + self.want_mm + self.blanks_mm, WIDE)
        self.high = max(WRITE_MM + 0.4 if deed.blanks else PLAIN_MM, len(self.lines) * LINE + 1.7)

    def draw(self, ink: Ink, x: float, y: float, high: float) -> None:
        """Boxes and words stand at the foot of a line that is high enough to write in."""
        deed = self.deed
        top = y + high - max(PLAIN_MM, len(self.lines) * LINE + 1.7)
        for k in range(deed.boxes):
            tick(ink, x + k * (TICK_MM + 0.4), top + 0.3)
        base = top + 0.75
        x += self.at
        ink.text(x, base + LINE * 0.8, deed.n, strong=True)
        x += self.n_mm
        lines(ink, x, base, self.lines)
        x += self.text_mm
        last = base + LINE * (len(self.lines) - 0.2)
        ink.text(x, last, deed.want, strong=True)
        x += self.want_mm
        for _ in range(deed.blanks):
            write_line(ink, x, last + 0.7, BLANK_MM)
            x += BLANK_MM + 0.8
            ink.text(x, last, deed.unit)
            x += (width(deed.unit) + 0.8 if deed.unit else 0.0) + 0.6


def deed_pieces(block: Deeds) -> list[Piece]:
    """A heading, then a piece for every line of deeds."""
    out: list[Piece] = []
    if block.title:
        made = wrap(block.title, WIDE, BODY, True)
        out.append(
            Piece(
                len(made) * LINE + 1.3,
                lambda ink, x, y: lines(ink, x, y + 0.9, made, BODY, True),
                keep=True,
            )
        )
    row: list[_Set] = []
    at = 0.0
    for one in map(_Set, block.deeds):
        if row and at + one.wide > WIDE:
            out.append(_line(row))
            row, at = [], 0.0
        row.append(one)
        at += one.wide + BETWEEN
    return [*out, _line(row)] if row else out


def _line(row: list[_Set]) -> Piece:
    high = max(one.high for one in row)

    def draw(ink: Ink, x: float, y: float) -> None:
        for one in row:
            one.draw(ink, x, y, high)
            x += one.wide + BETWEEN

    put: Draw = draw
    return Piece(high, put)
