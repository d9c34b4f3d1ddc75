"""A two-name stop: heavy rules round lines that are spoken, and two lines to sign."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest

from wiremap.content.steps import TwoNames
from wiremap.sheet.elements import FIRM, HEAVY, WIDE, Piece, write_line
from wiremap.sheet.ink import BODY, HEADING, SMALL, STRONG, Ink, shorten, wrap
from wiremap.sheet.worksteps import one_step

HEAD_MM = 8.2
SIGN_MM = 11.6
NAMES = ("did the work (name, date, time)", "read it aloud, did not do it (name)")


def two_names(block: TwoNames) -> list[Piece]:
    """The stop as one piece, never parted."""
    rows = [piece for step in block.steps for piece in one_step(step)]
    alone = wrap(block.alone, WIDE - 4, BODY)
    rows_mm = sum(piece.height for piece in rows)
    foot_mm = SIGN_MM + len(alone) * BODY.line_mm + 2.0
    high = HEAD_MM + rows_mm + foot_mm

    def draw(ink: Ink, x: float, y: float) -> None:
        title = f"{block.section}  STOP {block.n}: {block.name}"
        ink.text(x, y + 5.6, title, HEADING)
        ink.text(x + WIDE, y + 5.6, "two names, spoken aloud", STRONG, align="right")
        at = y + HEAD_MM
        ink.across(x, at, WIDE, HEAVY)
        for piece in rows:
            piece.draw(ink, x, at)
            at += piece.height
        ink.across(x, at, WIDE, FIRM)
        _lines_to_sign(ink, x, at + SIGN_MM, block.signed)
        ink.lines(x, at + SIGN_MM + 0.4, alone, BODY)
        ink.across(x, y + high - 0.4, WIDE, HEAVY)

    return [Piece(high + 1.0, draw, stop=True)]


def _lines_to_sign(ink: Ink, x: float, foot: float, signed: Sequence[str]) -> None:
    """A line for each name side by side, with the names that are there, their words at `foot`."""
    share = WIDE / len(NAMES)
    room = share - 4
    for words, name in zip_longest(NAMES, signed, fillvalue=""):
        write_line(ink, x, foot - 3.2, room)
        ink.text(x, foot - 4.2, shorten(name, room, STRONG), STRONG)
        ink.text(x, foot - 0.2, words, SMALL)
        x += share
