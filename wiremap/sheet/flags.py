"""Wire flags to cut out: folded round the wire, both halves read the same."""

from __future__ import annotations

from collections.abc import Sequence

from wiremap.content.pieces import Flag, Flags
from wiremap.content.words import listed
from wiremap.sheet.elements import HAIR, LINE, SMALL_LINE, WIDE, Piece
from wiremap.sheet.ink import SMALL, STRONG, Ink, shorten, width, wrap

ACROSS = 2
FLAG_MM = WIDE / ACROSS
HALF_MM = FLAG_MM / 2
ROOM_MM = HALF_MM - 5
LEAST_MM = 13.0  # high enough to be cut and folded by hand


def flag_pieces(block: Flags) -> list[Piece]:
    """Rows of flags with cutting lines and a fold in the middle."""
    return [_row(block.flags[k : k + ACROSS]) for k in range(0, len(block.flags), ACROSS)]


def _row(flags: Sequence[Flag]) -> Piece:
    made = [_Measured(flag) for flag in flags]
    high = max(flag.high for flag in made)

    def draw(ink: Ink, x: float, y: float) -> None:
        for flag in made:
            _outline(ink, x, y, high)
            for at in (x + 2.5, x + HALF_MM + 2.5):
                ink.lines(at, y + 0.8, flag.title, STRONG)
                ink.lines(at, y + 1.3 + len(flag.title) * LINE, flag.below, SMALL)
            x += FLAG_MM

    return Piece(high, draw)


class _Measured:
    """One flag: its points are never shortened."""

    def __init__(self, flag: Flag) -> None:
        self.title = wrap(flag.text, ROOM_MM, STRONG)
        self.below = under_lines(flag)
        self.high = max(LEAST_MM, 1.8 + len(self.title) * LINE + len(self.below) * SMALL_LINE)


def _outline(ink: Ink, x: float, y: float, high: float) -> None:
    """Its outline to cut along, its fold."""
    right, foot = x + FLAG_MM, y + high
    ink.shape([(x, y), (right, y), (right, foot), (x, foot)], HAIR)
    ink.down(x + HALF_MM, y, high, HAIR, dash=(1.0, 1.0))


def under_lines(flag: Flag) -> tuple[str, ...]:
    """Signal and job on one line where they fit, else on lines of their own."""
    one = listed(flag.under, flag.mark)
    if width(one, SMALL) <= ROOM_MM:
        return (one,)
    return (*wrap(flag.under, ROOM_MM, SMALL), shorten(flag.mark, ROOM_MM, SMALL))
