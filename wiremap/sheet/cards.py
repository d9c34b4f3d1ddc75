"""Ring-out cards, one below another, in columns that are read downwards."""

from __future__ import annotations

from collections.abc import Sequence
from types import MappingProxyType

from wiremap.content.pieces import Card, Cards
from wiremap.model import Address
from wiremap.sheet.elements import (
    FIRM,
    HAIR,
    LINE,
    SMALL_LINE,
    TICK_MM,
    WIDE,
    WRITE_MM,
    Piece,
    tick,
    title_piece,
    write_line,
)
from wiremap.sheet.ink import BODY, SMALL, STRONG, Ink, Style, width, wrap

GUTTER = 5.0
DENSE_GUTTER = 2.8
BLANK_MM = 13.0
FILLED = MappingProxyType({"beep": True, "silent": False})  # a full dot, a ring: words cost a line
DOT_MM = 1.25
MOST_WIDE = 20  # one card in so many may take a second line where four columns are set
LONG_CARD = 38  # letters of a card for which three columns are too narrow


def column_for(blocks: Sequence[Cards]) -> CardColumn:
    """The columns of one section: four where its cards are dense and short, else three or two."""
    cards = [card for block in blocks for card in block.cards]
    if all(block.dense for block in blocks):
        four = CardColumn(4, dense=True)
        wide = sum(four.number_mm(c) + width(_words(c), STRONG) > four.wide for c in cards)
        if wide * MOST_WIDE <= len(cards):
            return four
    longest = max((len(c.red) + len(c.black) + len(c.expect) for c in cards), default=0)
    return CardColumn(3 if longest <= LONG_CARD else 2)


class CardColumn:
    """Cards of one section for columns of one width."""

    def __init__(self, across: int, *, dense: bool = False) -> None:
        self.across, self.dense = across, dense
        self.gutter = DENSE_GUTTER if dense else GUTTER
        self.wide = (WIDE - self.gutter * (across - 1)) / across
        self.number = SMALL if dense else BODY
        self.air = 0.7 if dense else 1.2  # beside a number

    def pieces(self, blocks: Sequence[Cards]) -> list[Piece]:
        """Every block's words, then its cards."""
        out = []
        for block in blocks:
            if block.title:
                out.append(title_piece(block.title, self.wide, above=0.9, below=0.6))
            out += [self.card(card) for card in block.cards]
        return out

    def number_mm(self, card: Card) -> float:
        """Where a card's words begin, behind box and number."""
        number = max(width("000", self.number), width(card.n, self.number))
        return TICK_MM + self.air + number + self.air

    def card(self, card: Card) -> Piece:
        """One reading: its box, its number, both probes, what the meter should do."""
        made = _Card(self, card)
        return Piece(made.high, made.draw)


class _Card:
    """One card, measured for its column."""

    def __init__(self, column: CardColumn, card: Card) -> None:
        self.card, self.column = card, column
        self.at = column.number_mm(card)
        room = column.wide - self.at
        self.dotted = column.dense and card.expect in FILLED
        self.blank_mm = BLANK_MM + 2.0 if card.write else 0.0
        tail = width(card.expect, STRONG) + self.blank_mm + 1.0
        words = _words(card)
        if self.dotted:
            tail = 2 * DOT_MM + 0.9
        beside = room - tail if self.dotted else room
        self.heavy = bool(card.still) and width(words, STRONG) <= beside
        one = width(words, STRONG if self.heavy else BODY)
        self.words = (words,) if one <= room else wrap(words, room)
        self.note = wrap(card.note, room, SMALL) if card.note else ()
        self.deep = len(self.words)
        if one + tail > room or card.mark:
            self.deep += 1  # what is expected takes a line of its own
        self._heights()

    def _heights(self) -> None:
        dense = self.column.dense
        least = TICK_MM + (0.35 if dense else 0.75)
        air = 1.0 if dense else 1.3
        body = max(WRITE_MM if self.card.write else least, self.deep * LINE + air)
        self.drop = body - max(least, self.deep * LINE + 1.0)
        self.high = body + len(self.note) * SMALL_LINE

    def draw(self, ink: Ink, x: float, y: float) -> None:
        """The card with its upper left corner at (x, y)."""
        card, column = self.card, self.column
        ink.across(x, y, column.wide, HAIR)
        tick(ink, x, y + 0.2 + self.drop)
        base = y + 0.45 + self.drop + LINE * 0.8
        ink.text(x + TICK_MM + 0.7, base, card.n, column.number)
        if self.heavy:
            _still(ink, x + self.at, base, card)
        else:
            ink.lines(x + self.at, base - LINE * 0.8, self.words)
        base += LINE * (self.deep - 1)
        right = x + column.wide - (self.blank_mm or 0.3)
        if self.dotted:
            filled = FILLED[card.expect]
            ink.circle(right - DOT_MM, base - 1.2, DOT_MM - 0.15, 0.3, fill=filled)
        else:
            ink.text(right, base, card.expect, STRONG, align="right")
        if card.mark:
            _marked(ink, x + self.at, base, card.mark)
        if card.write:
            write_line(ink, right + 1.2, base + 0.7, BLANK_MM)
        foot = y + self.high - len(self.note) * SMALL_LINE
        ink.lines(x + self.at, foot - 0.3, self.note, SMALL)


def _words(card: Card) -> str:
    black = _black(card)
    return f"{card.red} – {black}" if black else card.red


def _black(card: Card) -> str:
    """The second point; its number alone where both are of one connector."""
    red, black = Address.read(card.red), Address.read(card.black)
    if "+" in red + black or red.end != black.end:
        return card.black
    return black.cavity or card.black


def _still(ink: Ink, x: float, y: float, card: Card) -> None:
    """The words with the point on which the probe stays in the heavy cut."""

    def style(point: str) -> Style:
        return STRONG if point == card.still else BODY

    parts = ((card.red, style(card.red)), (" – ", BODY), (_black(card), style(card.black)))
    for text, cut in parts:
        ink.text(x, y, text, cut)
        x += width(text, cut)


def _marked(ink: Ink, x: float, y: float, word: str) -> None:
    """A word in a heavy frame."""
    ink.box(x - 0.2, y - LINE * 0.78, (width(word, STRONG) + 1.8, LINE), FIRM)
    ink.text(x + 0.7, y, word, STRONG)
