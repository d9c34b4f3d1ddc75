"""Ring-out cards, one below another, in columns that are read downwards."""

from __future__ import annotations

from wiremap.sheet.elements import HAIR, LINE, SMALL_LINE, TICK_MM, WIDE, WRITE_MM, Draw, lines, tick, write_line
from wiremap.sheet.ink import BODY, SMALL, Ink, width, wrap
from wiremap.sheet.pieces import Card

GUTTER = 5.0


class CardColumn:
    """Cards of one section for columns of one width."""

    def __init__(self, across: int) -> None:
        self.across = across
        self.wide = (WIDE - GUTTER * (across - 1)) / across

    def title(self, text: str) -> tuple[float, Draw]:
        """A group's words over its cards."""
        made = wrap(text, self.wide, BODY, True)

        def draw(ink: Ink, x: float, y: float) -> None:
            lines(ink, x, y + 1.2, made, BODY, True)

        return len(made) * LINE + 2.2, draw

    def card(self, card: Card) -> tuple[float, Draw]:
        """One reading: its box, its number, both probes, what the meter should do."""
        number = card.n
        at = TICK_MM + 1.2 + max(width("000"), width(number)) + 1.2
        want = card.expect
        tail = width(want, BODY, True) + (15.0 if card.write else 0.0) + 1.5
        words = f"{card.red} – {card.black}" if card.black else card.red
        room = self.wide - at - tail
        made = wrap(words, room) if room >= 22 else wrap(words, self.wide - at)
        below = room < 22 or len(made) > 2
        if below:
            made = wrap(words, self.wide - at)
        note = wrap(card.note, self.wide - at, SMALL) if card.note else ()
        body = (len(made) + (1 if below else 0)) * LINE + 1.3
        high = max(WRITE_MM if card.write else TICK_MM + 0.75, body) + len(note) * SMALL_LINE

        def draw(ink: Ink, x: float, y: float) -> None:
            drop = 2.0 if card.write and not below and len(made) == 1 else 0.0
            ink.line(x, y, x + self.wide, y, HAIR)
            tick(ink, x, y + 0.38 + drop)
            ink.text(x + TICK_MM + 1.2, y + 0.5 + drop + LINE * 0.8, number)
            lines(ink, x + at, y + 0.5 + drop, made)
            base = y + 0.5 + drop + LINE * (0.8 + (len(made) if below else 0))
            right = x + self.wide - (15.0 if card.write else 0.5)
            ink.text(right, base, want, strong=True, align="right")
            if card.write:
                write_line(ink, right + 1.5, base + 0.8, 13.0)
            lines(ink, x + at, y + high - len(note) * SMALL_LINE - 0.3, note, SMALL)

        return high, draw
