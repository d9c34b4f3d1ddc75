"""Wire flags to cut out: folded round the wire, both halves read the same."""

from __future__ import annotations

from wiremap.sheet.elements import HAIR, SMALL_LINE, WIDE, Piece
from wiremap.sheet.ink import BODY, SMALL, Ink, shorten
from wiremap.sheet.pieces import Flag, Flags

ACROSS, HIGH = 2, 10.8


def flag_pieces(block: Flags) -> list[Piece]:
    """Rows of flags with cutting lines and a fold in the middle."""
    wide = WIDE / ACROSS
    out = []
    for k in range(0, len(block.flags), ACROSS):
        row = block.flags[k : k + ACROSS]

        def draw(ink: Ink, x: float, y: float, row: tuple[Flag, ...] = row) -> None:
            for i, flag in enumerate(row):
                left = x + i * wide
                ink.shape([(left, y), (left + wide, y), (left + wide, y + HIGH), (left, y + HIGH)], HAIR)
                ink.line(left + wide / 2, y, left + wide / 2, y + HIGH, HAIR, dash=(1.0, 1.0))
                for half in (0, 1):
                    at = left + half * wide / 2 + 2.5
                    room = wide / 2 - 5
                    ink.text(at, y + 4.4, shorten(flag.text, room, BODY, True), BODY, strong=True)
                    ink.text(at, y + 5.7 + SMALL_LINE, shorten(flag.under, room, SMALL), SMALL)

        out.append(Piece(HIGH, draw))
    return out
