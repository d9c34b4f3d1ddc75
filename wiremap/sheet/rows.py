"""Rows of work: wires across two cut ends, cavities left out, joints, steps, lines to fill, ledgers."""

from __future__ import annotations

from wiremap.sheet.elements import (
    FIRM,
    HAIR,
    LINE,
    SMALL_LINE,
    THIN,
    TICK_MM,
    WIDE,
    WRITE_MM,
    Piece,
    lines,
    tick,
    write_line,
)
from wiremap.sheet.ink import BODY, LEADING, SMALL, Ink, shorten, width, wrap
from wiremap.sheet.pieces import Fill, JointRow, Ledger, LeftRow, RefusedRow, Step, WireEnd, WireHead, WireRow

TICK_COL, NAME_COL, POINT_COL, WIRE_COL, SIGNAL_COL, GAP = 7.0, 20.0, 17.0, 33.5, 29.5, 3.0
LEFT_X = TICK_COL + NAME_COL
RIGHT_X = LEFT_X + POINT_COL + WIRE_COL + SIGNAL_COL + GAP
ROW_MM = 5.7


def wire_head(block: WireHead) -> list[Piece]:
    """Column words: which end is on which side of the cut."""

    def draw(ink: Ink, x: float, y: float) -> None:
        ink.text(x + TICK_COL, y + 3.4, "circuit", SMALL)
        for at, title in ((LEFT_X, block.left), (RIGHT_X, block.right)):
            ink.text(x + at, y + 3.4, shorten(title, 50.0, SMALL, True), SMALL, strong=True)
            ink.text(x + at + POINT_COL + WIRE_COL, y + 3.4, "signal", SMALL)
        ink.line(x, y + 4.6, x + WIDE, y + 4.6, THIN)

    return [Piece(5.2, draw, keep=True)]


def _cells(end: WireEnd) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
    return (wrap(end.point, POINT_COL - 1.2, BODY, True), wrap(end.wire, WIRE_COL - 1.2), wrap(end.signal, SIGNAL_COL - 1.2))


def wire_row(row: WireRow) -> list[Piece]:
    """One wire: tick box, circuit, what is left of the cut, what is right of it."""
    name = wrap(row.circuit, NAME_COL - 1.5) if row.first else ()
    mark = wrap(row.mark, NAME_COL - 1.5, SMALL, True) if row.mark and row.first else ()
    left = _cells(row.left) if row.first else ((), (), ())
    right = _cells(row.right)
    deep = max(len(name) + len(mark), *(len(c) for c in left + right))
    high = max(ROW_MM, deep * LINE + 1.4)

    def draw(ink: Ink, x: float, y: float) -> None:
        top = y + 0.5
        if row.first:
            ink.line(x, y, x + WIDE, y, HAIR)
        tick(ink, x, y + 0.35)
        lines(ink, x + TICK_COL, top, name)
        lines(ink, x + TICK_COL, top + len(name) * LINE, mark, SMALL, True)
        for at, cells in ((LEFT_X, left), (RIGHT_X, right)):
            for shift, cell, strong in zip((0.0, POINT_COL, POINT_COL + WIRE_COL), cells, (True, False, False), strict=True):
                lines(ink, x + at + shift, top, cell, BODY, strong)
        middle = x + RIGHT_X - 2.2
        if row.first:
            ink.line(middle - 0.8, y + LINE, middle + 0.8, y + 1.2, FIRM)  # the cut
        else:
            ink.shape([(middle, y - high + LINE + 0.6), (middle, y + LINE / 2 + 0.5), (middle + 1.4, y + LINE / 2 + 0.5)], THIN, close=False)

    return [Piece(high, draw)]


def refused_row(row: RefusedRow) -> list[Piece]:
    """A circuit without work: the sentence only."""
    made = wrap(f"{', '.join(row.points)}: {row.why}", WIDE - LEFT_X - 2, BODY, True)
    name = wrap(row.circuit, NAME_COL - 1.5)
    high = max(ROW_MM, max(len(made), len(name)) * LINE + 1.4)

    def draw(ink: Ink, x: float, y: float) -> None:
        ink.line(x, y, x + WIDE, y, HAIR)
        ink.line(x, y + 0.6, x + TICK_MM, y + 0.6 + TICK_MM, FIRM)
        ink.line(x, y + 0.6 + TICK_MM, x + TICK_MM, y + 0.6, FIRM)
        lines(ink, x + TICK_COL, y + 0.5, name)
        lines(ink, x + LEFT_X, y + 0.5, made, BODY, True)

    return [Piece(high, draw)]


def left_row(row: LeftRow) -> list[Piece]:
    """A cavity that is not joined: how it is treated and why."""
    point = wrap(row.point, POINT_COL + 2, BODY, True)
    what = wrap(", ".join(t for t in (row.wire, row.signal) if t), 60.0)
    treat = wrap(row.treat, 34.0, BODY, True)
    why = wrap(row.why, 60.0)
    deep = max(len(point), len(what), len(treat), len(why))
    parts = [(0, deep)] if deep <= 30 else [(k, min(k + 30, deep)) for k in range(0, deep, 30)]
    out = []
    for a, b in parts:
        high = max(ROW_MM, (b - a) * LINE + 1.4)

        def draw(ink: Ink, x: float, y: float, a: int = a, b: int = b) -> None:
            if a == 0:
                ink.line(x, y, x + WIDE, y, HAIR)
                tick(ink, x, y + 0.35)
            for at, cell, strong in ((TICK_COL, point, True), (27.0, what, False), (90.0, treat, True), (127.0, why, False)):
                lines(ink, x + at, y + 0.5, cell[a:b], BODY, strong)

        out.append(Piece(high, draw))
    return out


FOUND_MM = 34.0


def joint_row(row: JointRow) -> list[Piece]:
    """One joint: what is joined and where; the stages in working order, each with its box; the colours as found."""
    room = WIDE - FOUND_MM - 3
    title = f"{row.n}  {row.name}"
    title_mm = min(width(title, BODY, True) + 4, room * 0.45)
    head = wrap("  +  ".join(row.wires), room - title_mm - 1)
    names = wrap(title, title_mm - 2, BODY, True)
    notes = wrap("; ".join(t for t in (row.where, row.apart and f"told apart by {row.apart}", row.harm) if t), room)
    top = max(len(head), len(names)) * LINE
    rows = _stage_lines(row, room)
    high = top + len(notes) * LINE + len(rows) * (TICK_MM + 0.8) + 1.7

    def draw(ink: Ink, x: float, y: float) -> None:
        ink.line(x, y, x + WIDE, y, HAIR)
        lines(ink, x, y + 0.4, names, BODY, True)
        lines(ink, x + title_mm, y + 0.4, head)
        lines(ink, x, y + 0.4 + top, notes)
        at = y + top + len(notes) * LINE + 0.8
        for stages in rows:
            for shift, text in stages:
                tick(ink, x + shift, at)
                ink.text(x + shift + TICK_MM + 1, at + 3.8, text)
            at += TICK_MM + 0.8
        ink.text(x + WIDE - FOUND_MM, y + 0.4 + SMALL_LINE * 0.8, "colours as found", SMALL)
        write_line(ink, x + WIDE - FOUND_MM, y + max(high - 1.2, WRITE_MM + 3), FOUND_MM)

    return [Piece(high, draw)]


def _stage_lines(row: JointRow, room: float) -> list[list[tuple[float, str]]]:
    rows: list[list[tuple[float, str]]] = [[]]
    at = 0.0
    for stage in row.stages:
        need = TICK_MM + 1 + width(stage.text) + 3
        if at + need > room + 3 and rows[-1]:
            rows.append([])
            at = 0.0
        rows[-1].append((at, shorten(stage.text, room - TICK_MM - 1)))
        at += need
    return rows


def step(row: Step) -> list[Piece]:
    """A numbered step with its box and lines to write on."""
    blanks_mm = sum(width(b) + 22 for b in row.blanks)
    beside = blanks_mm <= 88
    made = wrap(row.text, WIDE - 15 - (blanks_mm + 3 if row.blanks and beside else 0))
    high = max(TICK_MM + 1.2, len(made) * LINE + 1.6, WRITE_MM if row.blanks else 0)
    under = 0.0 if beside or not row.blanks else WRITE_MM

    def draw(ink: Ink, x: float, y: float) -> None:
        drop = WRITE_MM - TICK_MM - 1.0 if row.blanks and len(made) == 1 else 0.0
        tick(ink, x, y + 0.3 + drop)
        ink.text(x + 7, y + LINE * 0.8 + 0.7 + drop, row.n, strong=True)
        lines(ink, x + 14, y + 0.7 + drop, made)
        at, base = (x + WIDE - blanks_mm, y + high - 1.4) if beside else (x + 14, y + high + under - 1.4)
        for word in row.blanks:
            ink.text(at, base, word)
            write_line(ink, at + width(word) + 1.5, base + 0.6, 18.0)
            at += width(word) + 22

    return [Piece(high + under, draw)]


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
            high = max(TICK_MM + 0.7 if block.tick else 0, max(len(c) for c in part) * BODY * LEADING + 1.3)

            def draw(ink: Ink, x: float, y: float, part: list[tuple[str, ...]] = part, first: bool = a == 0) -> None:
                if first:
                    ink.line(x, y, x + WIDE, y, HAIR)
                    if block.tick:
                        tick(ink, x, y + 0.35)
                for at, cell in zip(start, part, strict=True):
                    lines(ink, x + at, y + 0.4, cell)

            out.append(Piece(high, draw, over=(top,)))
    return out
