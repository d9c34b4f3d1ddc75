"""The card as fitted: a frame to cut out, folded in its middle."""

from __future__ import annotations

from collections.abc import Sequence

from wiremap.content.fitted import CardLine, CardPart, FittedCard
from wiremap.sheet.elements import HAIR, LINE, THIN, WIDE, WRITE_MM, Piece, write_line
from wiremap.sheet.ink import BODY, SMALL, STRONG, Ink, width, wrap

PAD = 4.0
HALF = WIDE / 2
ROOM = HALF - 2 * PAD
LEAST_WRITE = 28.0  # a line to write on is at least so long
ABOVE = 1.6  # over the heading of a part
CUT, FOLD = (2.0, 1.2), (0.8, 1.2)


def fitted_card(card: FittedCard) -> list[Piece]:
    """The card as one piece."""
    title = wrap(card.title, WIDE - 2 * PAD, STRONG)
    head = PAD + len(title) * LINE + SMALL.line_mm + 1.5
    left, right = _Column(card.left), _Column(card.right)
    high = head + max(left.high, right.high) + PAD

    def draw(ink: Ink, x: float, y: float) -> None:
        corners = [(x, y), (x + WIDE, y), (x + WIDE, y + high), (x, y + high)]
        ink.shape(corners, HAIR, dash=CUT)
        ink.lines(x + PAD, y + PAD, title, STRONG)
        ink.text(x + PAD, y + head - 2.0, card.mark, SMALL)
        ink.across(x + PAD, y + head - 0.6, WIDE - 2 * PAD, THIN)
        ink.down(x + HALF, y + head, high - head, HAIR, dash=FOLD)
        left.draw(ink, x + PAD, y + head)
        right.draw(ink, x + HALF + PAD, y + head)

    return [Piece(high, draw)]


class _Column:
    """One half of the card, measured."""

    def __init__(self, parts: Sequence[CardPart]) -> None:
        self.parts = [(part.title, [_Row(line) for line in part.lines]) for part in parts]
        self.high = sum(ABOVE + LINE + sum(row.high for row in rows) for _, rows in self.parts)

    def draw(self, ink: Ink, x: float, y: float) -> None:
        """Part below part."""
        for title, rows in self.parts:
            y += ABOVE
            ink.text(x, y + LINE * 0.8, title, STRONG)
            y += LINE
            for row in rows:
                row.draw(ink, x, y)
                y += row.high


class _Row:
    """One line of words, with room to write behind it or below it where that is asked for."""

    def __init__(self, line: CardLine) -> None:
        self.write = line.write
        self.lines = wrap(line.text, ROOM, BODY)
        last = width(self.lines[-1], BODY)
        self.behind = last + 1.5
        self.below = line.write and ROOM - self.behind < LEAST_WRITE
        if self.below:
            self.behind = 0.0
        self.high = len(self.lines) * LINE
        if line.write:
            self.high += WRITE_MM - LINE
        if self.below:
            self.high += LINE

    def draw(self, ink: Ink, x: float, y: float) -> None:
        """The words, then the line to write on."""
        top = y
        if self.write and not self.below:
            top += WRITE_MM - LINE
        ink.lines(x, top, self.lines)
        if self.write:
            write_line(ink, x + self.behind, y + self.high - 0.6, ROOM - self.behind)
