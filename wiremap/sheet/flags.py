"""Wire flags to cut out: folded round the wire, both halves read the same."""

from __future__ import annotations

from wiremap.content.pieces import Flag, Flags
from wiremap.sheet.elements import HAIR, SMALL_LINE, WIDE, Piece, lines
from wiremap.sheet.ink import BODY, SMALL, Ink, shorten, width, wrap

ACROSS, HIGH = 2, 10.1  # two lines; a longer signal takes a third


def flag_pieces(block: Flags) -> list[Piece]:
    """Rows of flags with cutting lines and a fold in the middle."""
    wide = WIDE / ACROSS
    room = wide / 2 - 5
    out = []
    for k in range(0, len(block.flags), ACROSS):
        row = block.flags[k : k + ACROSS]
        under = [_under(flag, room) for flag in row]
        high = HIGH + (max(map(len, under)) - 1) * SMALL_LINE

        def draw(
            ink: Ink,
            x: float,
            y: float,
            row: tuple[Flag, ...] = row,
            under: list[tuple[str, ...]] = under,
            high: float = high,
        ) -> None:
            for i, flag in enumerate(row):
                left = x + i * wide
                ink.shape(
                    [(left, y), (left + wide, y), (left + wide, y + high), (left, y + high)], HAIR
                )
                ink.line(left + wide / 2, y, left + wide / 2, y + high, HAIR, dash=(1.0, 1.0))
                for half in (0, 1):
                    at = left + half * wide / 2 + 2.5
                    ink.text(at, y + 4.2, shorten(flag.text, room, BODY, True), BODY, strong=True)
                    lines(ink, at, y + 5.4 + SMALL_LINE * 0.2, under[i], SMALL)

        out.append(Piece(high, draw))
    return out


def _under(flag: Flag, room: float) -> tuple[str, ...]:
    """Signal and job on one line where they fit, else on lines of their own."""
    one = ", ".join(t for t in (flag.under, flag.mark) if t)
    return (
        (one,)
        if width(one, SMALL) <= room
        else (*wrap(flag.under, room, SMALL), shorten(flag.mark, room, SMALL))
    )
