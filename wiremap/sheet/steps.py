"""Steps to tick, lines to fill in, ledgers of facts."""

from __future__ import annotations

from wiremap.content.pieces import Fill, Ledger, Step
from wiremap.sheet.elements import (
    HAIR,
    LINE,
    SMALL_LINE,
    THIN,
    TICK_MM,
    WIDE,
    WRITE_MM,
    Piece,
    closed,
    lines,
    tick,
    write_line,
)
from wiremap.sheet.ink import BODY, LEADING, SMALL, Ink, shorten, width, wrap

TICK_COL = 6.8


def step(row: Step) -> list[Piece]:
    """A numbered step with its box and lines to write on."""
    size = SMALL if row.small else BODY
    leading = size * LEADING
    left = 14.0 if width(row.n, BODY, True) <= 6 else 8.5 + width(row.n, BODY, True) + 1.5
    blanks_mm = sum(width(b) + 22 for b in row.blanks)
    beside = blanks_mm <= 88
    made = wrap(row.text, WIDE - left - 1 - (blanks_mm + 3 if row.blanks and beside else 0), size)
    parts = [made[k : k + 30] for k in range(0, len(made), 30)]
    out = []
    for k, part in enumerate(parts):
        blanks = row.blanks if k == len(parts) - 1 else ()
        high = max(TICK_MM + 0.8, len(part) * leading + 1.4, WRITE_MM if blanks else 0)
        under = 0.0 if beside or not blanks else WRITE_MM

        def draw(
            ink: Ink,
            x: float,
            y: float,
            part: tuple[str, ...] = part,
            blanks: tuple[str, ...] = blanks,
            high: float = high,
            under: float = under,
            first: bool = k == 0,
        ) -> None:
            drop = WRITE_MM - TICK_MM - 1.0 if blanks and len(part) == 1 else 0.0
            if first:
                tick(ink, x, y + 0.3 + drop)
                ink.text(x + 7, y + LINE * 0.8 + 0.7 + drop, row.n, strong=True)
            lines(ink, x + left, y + 0.7 + drop + (0.3 if row.small else 0), part, size)
            at, base = (
                (x + WIDE - blanks_mm, y + high - 1.4)
                if beside
                else (x + left, y + high + under - 1.4)
            )
            for word in blanks:
                ink.text(at, base, word)
                write_line(ink, at + width(word) + 1.5, base + 0.6, 18.0)
                at += width(word) + 22

        out.append(Piece(high + under, draw))
    return out


def fill(row: Fill) -> list[Piece]:
    """Labelled lines to write on, side by side."""
    share = WIDE / len(row.labels)
    label = [wrap(t, share - 12, SMALL) for t in row.labels]
    deep = max(len(t) for t in label)
    high = WRITE_MM + deep * SMALL_LINE + 1

    def draw(ink: Ink, x: float, y: float) -> None:
        for i, text in enumerate(label):
            write_line(ink, x + i * share, y + WRITE_MM, share - 5)
            lines(ink, x + i * share, y + WRITE_MM + 0.4, text, SMALL)

    return [Piece(high, draw)]


def ledger(block: Ledger) -> list[Piece]:
    """Rows of facts under column words; the words come again on every page."""
    room = WIDE - (TICK_COL if block.tick else 0)
    whole = sum(block.shares)
    wide = [room * s / whole for s in block.shares]
    start = [WIDE - room + sum(wide[:i]) for i in range(len(wide))]

    def words(ink: Ink, x: float, y: float) -> None:
        for at, text, w in zip(start, block.columns, wide, strict=True):
            ink.text(x + at, y + 3.4, shorten(text, w - 1.5, SMALL, True), SMALL, strong=True)
        ink.line(x, y + 4.6, x + WIDE, y + 4.6, THIN)

    top = Piece(5.2, words, keep=True)
    out = [top]
    for row in block.rows:
        cells = [wrap(text, w - 1.8) for text, w in zip(row, wide, strict=True)]
        deep = max(len(c) for c in cells)
        for a in range(0, deep, 36):
            part = [c[a : a + 36] for c in cells]
            high = max(
                TICK_MM + 0.45 if block.tick else 0,
                max(len(c) for c in part) * BODY * LEADING + 1.3,
            )

            def draw(
                ink: Ink,
                x: float,
                y: float,
                part: list[tuple[str, ...]] = part,
                first: bool = a == 0,
            ) -> None:
                if first:
                    ink.line(x, y, x + WIDE, y, HAIR)
                    if block.tick:
                        tick(ink, x, y + 0.22)
                for at, cell in zip(start, part, strict=True):
                    lines(ink, x + at, y + 0.4, cell)

            out.append(Piece(high, draw, over=(top,)))
    return closed(out) if block.rows else out
