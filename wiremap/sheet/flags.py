"""Wire flags to cut out: folded round the wire, both halves read the same."""

from __future__ import annotations

from collections.abc import Sequence

from wiremap.content.pieces import Flag, Flags
from wiremap.content.words import listed
from wiremap.sheet.elements import HAIR, SMALL_LINE, WIDE, Piece
from wiremap.sheet.ink import SMALL, STRONG, Ink, shorten, width, wrap

ACROSS, HIGH = 2, 10.1  # two lines; a longer signal takes a third
FLAG_MM = WIDE / ACROSS
HALF_MM = FLAG_MM / 2
ROOM_MM = HALF_MM - 5


def flag_pieces(block: Flags) -> list[Piece]:
    """Rows of flags with cutting lines and a fold in the middle."""
    return [_row(block.flags[k : k + ACROSS]) for k in range(0, len(block.flags), ACROSS)]


def _row(flags: Sequence[Flag]) -> Piece:
    below = [under_lines(flag) for flag in flags]
    high = HIGH + (max(map(len, below)) - 1) * SMALL_LINE

    def draw(ink: Ink, x: float, y: float) -> None:
        for flag, lines in zip(flags, below, strict=True):
            _flag(ink, x, y, high)
            title = shorten(flag.text, ROOM_MM, STRONG)
            for at in (x + 2.5, x + HALF_MM + 2.5):
                ink.text(at, y + 4.2, title, STRONG)
                ink.lines(at, y + 5.4 + SMALL_LINE * 0.2, lines, SMALL)
            x += FLAG_MM

    return Piece(high, draw)


def _flag(ink: Ink, x: float, y: float, high: float) -> None:
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
