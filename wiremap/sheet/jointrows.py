"""Joints as complete rows of work, each stage with its box."""

from __future__ import annotations

from dataclasses import dataclass

from wiremap.content.pieces import JointRow, Joints
from wiremap.sheet.elements import HAIR, LINE, TICK_MM, WIDE, Piece, tick, under, write_line
from wiremap.sheet.ink import SMALL, STRONG, Ink, shorten, width, wrap

FOUND_MM = 27.0  # for the colours as found
ROOM_MM = WIDE - FOUND_MM - 3
MEETS = "\u2014"  # between the two sides of a joint
AIR_MM = 3.0  # behind a name, before a note
STAGE_MM = TICK_MM + 0.5  # height of a line of stages
WORDS = "joint, the wires that meet, and the work from left to right"


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage with its place on the line."""

    at: float
    text: str

    @property
    def words_at(self) -> float:
        """Where its words begin, behind the box."""
        return self.at + TICK_MM + 0.8


def joint_rows(block: Joints) -> list[Piece]:
    """The joints under their column words, which come again on every page."""

    def words(ink: Ink, x: float, y: float) -> None:
        ink.text(x, y + 3.4, WORDS, SMALL)
        ink.text(x + WIDE - FOUND_MM, y + 3.4, "colours as found", SMALL)

    rows = [_Row(row) for row in block.rows]
    return under(Piece(4.4, words, keep=True), [Piece(row.high, row.draw) for row in rows])


class _Row:
    """One joint, measured: what is joined, the stages in working order, a line for the colours."""

    def __init__(self, row: JointRow) -> None:
        mark = "!" if row.harm else ""
        self.names = wrap(f"{row.n}{mark} {row.name}", ROOM_MM * 0.4, STRONG)
        self.wires_at = max(width(name, STRONG) for name in self.names) + AIR_MM
        first, *rest = row.wires
        wires = f"{first}  {MEETS}  {'  +  '.join(rest)}" if rest else first
        self.wires = wrap(wires, ROOM_MM - self.wires_at)
        self.stages = _stage_lines(row)
        self.top = max(len(self.wires), len(self.names)) * LINE + 0.5
        self.foot = self.top + len(self.stages) * STAGE_MM
        self.note = "; ".join(row.notes)
        self.note_at = self._note_at()
        self.below: tuple[str, ...] = ()
        if self.note and not self.note_at:
            self.below = wrap(self.note, ROOM_MM, STRONG)
        self.high = self.foot - 0.1 + len(self.below) * LINE

    def _note_at(self) -> float:
        """Where the note's words stand: behind the wires, else behind the last stages, else 0."""
        room = ROOM_MM - width(self.note, STRONG) - AIR_MM
        if self.wires_at + width(self.wires[0]) <= room:
            return 0.5 + LINE * 0.8
        ends = [stage.words_at + 0.1 + width(stage.text) for stage in self.stages[-1]]
        if max(ends, default=0.0) <= room:
            return self.foot - STAGE_MM + 3.8
        return 0.0

    def draw(self, ink: Ink, x: float, y: float) -> None:
        """The row with its upper left corner at (x, y)."""
        ink.across(x, y, WIDE, HAIR)
        ink.lines(x, y + 0.5, self.names, STRONG)
        ink.lines(x + self.wires_at, y + 0.5, self.wires)
        at = y + self.top
        for line in self.stages:
            for stage in line:
                tick(ink, x + stage.at, at)
                ink.text(x + stage.words_at, at + 3.8, stage.text)
            at += STAGE_MM
        if self.note_at:
            ink.text(x + ROOM_MM, y + self.note_at, self.note, STRONG, align="right")
        ink.lines(x, at - 0.2, self.below, STRONG)
        write_line(ink, x + WIDE - FOUND_MM, y + self.high - 1.5, FOUND_MM)


def _stage_lines(row: JointRow) -> list[list[Stage]]:
    lines: list[list[Stage]] = [[]]
    at = 0.0
    for text in row.stages:
        need = TICK_MM + 0.8 + width(text)
        if at + need > ROOM_MM and lines[-1]:
            lines.append([])
            at = 0.0
        lines[-1].append(Stage(at, shorten(text, ROOM_MM - TICK_MM - 1)))
        at += need + 1.3
    return lines
