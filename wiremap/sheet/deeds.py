"""Short deeds and readings, set one behind another like words, each with its box."""

from __future__ import annotations

from collections.abc import Sequence

from wiremap.content.pieces import Deed, Deeds
from wiremap.sheet.elements import (
    LINE,
    TICK_MM,
    WIDE,
    WRITE_MM,
    Piece,
    tick,
    title_piece,
    write_line,
)
from wiremap.sheet.ink import STRONG, Ink, width, wrap

BETWEEN = 3.4
BLANK_MM = 13.0
PLAIN_MM = TICK_MM + 0.8
BOX_MM = TICK_MM + 0.4
AIR_MM = 1.6  # behind words


def _room(words: float, air: float) -> float:
    """Words with air behind them, nothing where there are none."""
    return words + air if words else 0.0


class _Set:
    """One deed, measured."""

    def __init__(self, deed: Deed) -> None:
        self.deed = deed
        self.at = deed.boxes * BOX_MM + 0.6
        self.n_mm = _room(width(deed.n, STRONG), 1.2)
        self.want_mm = _room(width(deed.want, STRONG), AIR_MM)
        self.unit_mm = _room(width(deed.unit), 0.8)
        blanks_mm = deed.blanks * (BLANK_MM + 1.4 + self.unit_mm)
        others = self.at + self.n_mm + self.want_mm + blanks_mm
        self.lines: tuple[str, ...] = (deed.text,)
        if others + _room(width(deed.text), AIR_MM) > WIDE:
            self.lines = wrap(deed.text, WIDE - others)
        self.text_mm = _room(max(width(line) for line in self.lines), AIR_MM)
        self.wide = min(others + self.text_mm, WIDE)
        self.words_mm = max(PLAIN_MM, len(self.lines) * LINE + 1.7)
        self.high = max(WRITE_MM + 0.4, self.words_mm) if deed.blanks else self.words_mm

    def draw(self, ink: Ink, x: float, foot: float) -> None:
        """Boxes and words stand at the foot of a line that is high enough to write in."""
        deed = self.deed
        top = foot - self.words_mm
        for k in range(deed.boxes):
            tick(ink, x + k * BOX_MM, top + 0.3)
        base = top + 0.75
        x += self.at
        ink.text(x, base + LINE * 0.8, deed.n, STRONG)
        x += self.n_mm
        ink.lines(x, base, self.lines)
        x += self.text_mm
        last = base + LINE * (len(self.lines) - 0.2)
        ink.text(x, last, deed.want, STRONG)
        x += self.want_mm
        for _ in range(deed.blanks):
            write_line(ink, x, last + 0.7, BLANK_MM)
            x += BLANK_MM + 0.8
            ink.text(x, last, deed.unit)
            x += self.unit_mm + 0.6


def deed_pieces(block: Deeds) -> list[Piece]:
    """A heading, then a piece for every line of deeds."""
    out = [title_piece(block.title, WIDE, above=0.9, below=0.4)] if block.title else []
    line: list[_Set] = []
    at = 0.0
    for one in map(_Set, block.deeds):
        if line and at + one.wide > WIDE:
            out.append(_line(line))
            line, at = [], 0.0
        line.append(one)
        at += one.wide + BETWEEN
    return [*out, _line(line)] if line else out


def _line(line: Sequence[_Set]) -> Piece:
    high = max(one.high for one in line)

    def draw(ink: Ink, x: float, y: float) -> None:
        for one in line:
            one.draw(ink, x, y + high)
            x += one.wide + BETWEEN

    return Piece(high, draw)
