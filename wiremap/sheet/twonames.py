"""A two-name stop: heavy rules round lines that are spoken, and two lines to sign."""

from __future__ import annotations

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
        half = WIDE / len(NAMES)
        for i, words in enumerate(NAMES):
            left = x + i * half
            write_line(ink, left, at + SIGN_MM - 3.2, half - 4)
            if i < len(block.signed):
                name = shorten(block.signed[i], half - 4, STRONG)
                ink.text(left, at + SIGN_MM - 4.2, name, STRONG)
            ink.text(left, at + SIGN_MM - 0.2, words, SMALL)
        ink.lines(x, at + SIGN_MM + 0.4, alone, BODY)
        ink.across(x, y + high - 0.4, WIDE, HEAVY)

    return [Piece(high + 1.0, draw, stop=True)]
