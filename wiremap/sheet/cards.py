"""Ring-out cards, one below another, in columns that are read downwards."""

from __future__ import annotations

from types import MappingProxyType

from wiremap.content.pieces import Card, Cards
from wiremap.sheet.elements import (
    FIRM,
    HAIR,
    LINE,
    SMALL_LINE,
    TICK_MM,
    WIDE,
    WRITE_MM,
    Draw,
    lines,
    tick,
    write_line,
)
from wiremap.sheet.ink import BODY, SMALL, Ink, width, wrap

GUTTER = 5.0
DENSE_GUTTER = 2.8
BLANK_MM = 13.0
MARKS = MappingProxyType(
    {"beep": True, "silent": False}
)  # a full dot, a ring: a word costs a second line
MARK_MM = 1.25


def column_for(blocks: list[Cards]) -> CardColumn:
    """The columns of one section: four where its cards are dense and short, else three or two."""
    cards = [c for b in blocks for c in b.cards]
    if all(b.dense for b in blocks):
        four = CardColumn(4, dense=True)
        wide = sum(four.number_mm(c) + width(_words(c), BODY, True) > four.wide for c in cards)
        if wide * 20 <= len(cards):
            return four
    longest = max((len(c.red) + len(c.black) + len(c.expect) for c in cards), default=0)
    return CardColumn(3 if longest <= 38 else 2)


class CardColumn:
    """Cards of one section for columns of one width."""

    def __init__(self, across: int, dense: bool = False) -> None:
        self.across, self.dense = across, dense
        self.gutter = DENSE_GUTTER if dense else GUTTER
        self.wide = (WIDE - self.gutter * (across - 1)) / across

    def title(self, text: str) -> tuple[float, Draw]:
        """A group's words over its cards."""
        made = wrap(text, self.wide, BODY, True)

        def draw(ink: Ink, x: float, y: float) -> None:
            lines(ink, x, y + 0.9, made, BODY, True)

        return len(made) * LINE + 1.5, draw

    def number_mm(self, card: Card) -> float:
        """Where a card's words begin, behind box and number."""
        if self.dense:
            return TICK_MM + 0.7 + max(width("000", SMALL), width(card.n, SMALL)) + 0.7
        return TICK_MM + 1.2 + max(width("000"), width(card.n)) + 1.2

    def card(self, card: Card) -> tuple[float, Draw]:
        """One reading: its box, its number, both probes, what the meter should do."""
        at = self.number_mm(card)
        want = card.expect
        mark = self.dense and want in MARKS
        blank = BLANK_MM + 2.0 if card.write else 0.0
        tail = 2 * MARK_MM + 0.9 if mark else width(want, BODY, True) + blank + 1.0
        words = _words(card)
        heavy = bool(card.still) and width(words, BODY, True) <= self.wide - at - (
            tail if mark else 0
        )
        one = width(words, BODY, heavy)
        below = at + one + tail > self.wide or bool(card.mark)
        made = (words,) if one <= self.wide - at else wrap(words, self.wide - at)
        note = wrap(card.note, self.wide - at, SMALL) if card.note else ()
        deep = len(made) + (1 if below else 0)
        least = TICK_MM + (0.35 if self.dense else 0.75)
        high = (
            max(WRITE_MM if card.write else least, deep * LINE + (1.0 if self.dense else 1.3))
            + len(note) * SMALL_LINE
        )

        def draw(ink: Ink, x: float, y: float) -> None:
            drop = high - len(note) * SMALL_LINE - max(least, deep * LINE + 1.0)
            ink.line(x, y, x + self.wide, y, HAIR)
            tick(ink, x, y + 0.2 + drop)
            base = y + 0.45 + drop + LINE * 0.8
            ink.text(x + TICK_MM + 0.7, base, card.n, SMALL if self.dense else BODY)
            if heavy:
                _still(ink, x + at, base, card)
            else:
                lines(ink, x + at, base - LINE * 0.8, made)
            base += LINE * (deep - 1)
            right = x + self.wide - (blank if card.write else 0.3)
            if mark:
                ink.circle(right - MARK_MM, base - 1.2, MARK_MM - 0.15, 0.3, fill=MARKS[want])
            else:
                ink.text(right, base, want, strong=True, align="right")
            if card.mark:
                _marked(ink, x + at, base, card.mark)
            if card.write:
                write_line(ink, right + 1.2, base + 0.7, BLANK_MM)
            lines(ink, x + at, y + high - len(note) * SMALL_LINE - 0.3, note, SMALL)

        return high, draw


def _parts(card: Card) -> tuple[str, str]:
    """Both points; where they are of one connector the second is its number alone."""
    owner, _, name = card.black.partition(".")
    alike = bool(name) and "+" not in card.red + card.black and card.red.partition(".")[0] == owner
    return card.red, name if alike else card.black


def _words(card: Card) -> str:
    red, black = _parts(card)
    return f"{red} – {black}" if black else red


def _still(ink: Ink, x: float, y: float, card: Card) -> None:
    """The words with the point on which the probe stays in the heavy cut."""
    red, black = _parts(card)
    for text, strong in (
        (red, card.still == card.red),
        (" – ", False),
        (black, card.still == card.black),
    ):
        ink.text(x, y, text, strong=strong)
        x += width(text, BODY, strong)


def _marked(ink: Ink, x: float, y: float, word: str) -> None:
    """A word in a heavy frame."""
    wide = width(word, BODY, True)
    ink.box(x - 0.2, y - LINE * 0.78, wide + 1.8, LINE, FIRM)
    ink.text(x + 0.7, y, word, strong=True)
