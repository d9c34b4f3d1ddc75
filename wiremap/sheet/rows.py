"""Rows of work: wires across two cut ends, cavities left out, joints."""

from __future__ import annotations

from wiremap.content.pieces import (
    JointRow,
    Joints,
    LeftRow,
    RefusedRow,
    WireEnd,
    WireRow,
    WireTable,
)
from wiremap.sheet.elements import (
    FIRM,
    HAIR,
    LINE,
    THIN,
    TICK_MM,
    WIDE,
    Piece,
    closed,
    lines,
    tick,
    write_line,
)
from wiremap.sheet.ink import BODY, SMALL, Ink, shorten, width, wrap

TICK_COL, GAP = 6.8, 4.0
ROW_MM = 4.9  # a row that is read; one that is ticked is higher
TICK_ROW_MM = 5.8
LEAST_MM = (12.0, 12.0, 22.0, 18.0, 12.0, 22.0, 18.0)  # circuit; point, wire, signal on both sides
AIR = 1.5


def wire_table(table: WireTable) -> list[Piece]:
    """The map's rows, all on one set of columns; the column words come again on every page."""
    at = _columns(table)
    top = _wire_head(table, at)
    out = [top]
    for row in table.rows:
        made = _refused_row(row, at) if isinstance(row, RefusedRow) else _wire_row(row, at)
        out.append(Piece(made.height, made.draw, over=(top,)))
    return closed(out)


def _columns(table: WireTable) -> tuple[float, ...]:
    """Left edges of circuit, then point, wire, signal on both sides, and the right edge."""
    cells: list[list[float]] = [[] for _ in LEAST_MM]
    for row in table.rows:
        if isinstance(row, RefusedRow):
            continue
        texts = [row.circuit]
        for end in (row.left, row.right):
            texts += [end.point, end.wire, end.signal]
        for i, text in enumerate(texts):
            cells[i].append(width(text, BODY, i in (1, 4)) + AIR)
    need = _squeezed(cells, WIDE - GAP)
    spare = (WIDE - GAP - sum(need)) / len(need)
    edges = [0.0]
    for i, w in enumerate(need):
        edges.append(edges[-1] + w + spare + (GAP if i == 3 else 0.0))
    return tuple(edges)


STEP_MM = 4.0


def _squeezed(cells: list[list[float]], room: float) -> list[float]:
    """Widths that fit the room: step by step the column gives way where it costs the fewest further lines."""
    need = [max([least, *column]) for least, column in zip(LEAST_MM, cells, strict=True)]
    while (over := sum(need) - room) > 1e-6:
        best, least_cost, new = -1, float("inf"), 0.0
        for i, column in enumerate(cells):
            lower = max(
                [
                    LEAST_MM[i],
                    need[i] - min(STEP_MM, over),
                    *(w for w in column if w < need[i] - 1e-6),
                ]
            )
            if lower >= need[i] - 1e-6:
                continue
            cost = (sum(_lines(w, lower) - _lines(w, need[i]) for w in column) + 0.01) / (
                need[i] - lower
            )
            if cost < least_cost:
                best, least_cost, new = i, cost, lower
        if best < 0:  # every column at its least: the whole is scaled
            return [w * room / sum(need) for w in need]
        need[best] = new if need[best] - new <= over else need[best] - over
    return need


def _lines(text_mm: float, wide_mm: float) -> float:
    """How many lines a text takes, part lines counted as such once it wraps at all."""
    return 1.0 if text_mm <= wide_mm + 1e-6 else 1.0 + text_mm / wide_mm


def _wire_head(table: WireTable, at: tuple[float, ...]) -> Piece:
    def draw(ink: Ink, x: float, y: float) -> None:
        ink.text(x + at[0], y + 3.4, "circuit", SMALL)
        for point, signal, end, title in (
            (1, 3, at[4] - GAP, table.left),
            (4, 6, at[7], table.right),
        ):
            wide = at[signal] - at[point] - 1
            ink.text(x + at[point], y + 3.4, shorten(title, wide, SMALL, True), SMALL, strong=True)
            ink.text(x + at[signal], y + 3.4, shorten("signal", end - at[signal], SMALL), SMALL)
        ink.line(x, y + 4.8, x + WIDE, y + 4.8, THIN)

    return Piece(5.0, draw, keep=True)


def _cells(end: WireEnd, wide: list[float]) -> tuple[tuple[str, ...], ...]:
    return (
        wrap(end.point, wide[0], BODY, True),
        wrap(end.wire, wide[1]),
        wrap(end.signal, wide[2]),
    )


def _wire_row(row: WireRow, at: tuple[float, ...]) -> Piece:
    """One wire: its circuit, what is left of the cut, what is right of it."""
    wide = [at[i + 1] - at[i] - (GAP if i == 3 else 0.0) - AIR + 0.2 for i in range(7)]
    name = wrap(row.circuit, wide[0]) if row.first else ()
    mark = wrap(row.mark, wide[0], SMALL, True) if row.mark and row.first else ()
    left = _cells(row.left, wide[1:4]) if row.first else ((), (), ())
    right = _cells(row.right, wide[4:7])
    deep = max(len(name) + len(mark), *(len(c) for c in left + right))
    high = max(ROW_MM, deep * LINE + 0.85)

    def draw(ink: Ink, x: float, y: float) -> None:
        top = y + 0.4
        if row.first:
            ink.line(x, y, x + WIDE, y, HAIR)
        lines(ink, x + at[0], top, name)
        lines(ink, x + at[0], top + len(name) * LINE, mark, SMALL, True)
        for i, cell in enumerate((*left, *right), 1):
            lines(ink, x + at[i], top, cell, BODY, i in (1, 4))
        middle = x + at[4] - GAP / 2 - 0.9
        if row.first:
            ink.line(middle - 0.7, y + 4.1, middle + 0.7, y + 0.9, FIRM)  # the cut
        else:
            ink.shape(
                [(middle, y - 0.4), (middle, y + 2.6), (middle + 1.4, y + 2.6)], THIN, close=False
            )

    return Piece(high, draw)


def _refused_row(row: RefusedRow, at: tuple[float, ...]) -> Piece:
    """A circuit without work: the sentence only."""
    made = wrap(f"{', '.join(row.points)}: {row.why}", WIDE - at[1] - TICK_COL - 2, BODY, True)
    name = wrap(row.circuit, at[1] - at[0] - AIR)
    high = max(TICK_ROW_MM, max(len(made), len(name)) * LINE + 1.7)

    def draw(ink: Ink, x: float, y: float) -> None:
        ink.line(x, y, x + WIDE, y, HAIR)
        ink.line(x, y + 0.6, x + TICK_MM, y + 0.6 + TICK_MM, FIRM)
        ink.line(x, y + 0.6 + TICK_MM, x + TICK_MM, y + 0.6, FIRM)
        lines(ink, x + TICK_COL, y + 0.85, name)
        lines(ink, x + TICK_COL + at[1], y + 0.85, made, BODY, True)

    return Piece(high, draw)


LEFT_AT = (0.0, 17.6, 79.8, 108.2, WIDE)  # point, wire and signal, treatment, why


def left_row(row: LeftRow) -> list[Piece]:
    """A cavity that is not joined: how it is treated and why."""
    texts = (
        (row.point, True),
        (", ".join(t for t in (row.wire, row.signal) if t), False),
        (row.treat, True),
        (row.why, False),
    )
    cells = [
        wrap(t, LEFT_AT[i + 1] - LEFT_AT[i] - 1.5, BODY, strong)
        for i, (t, strong) in enumerate(texts)
    ]
    deep = max(len(c) for c in cells)
    out = []
    for a in range(0, deep, 30):
        high = max(ROW_MM, min(30, deep - a) * LINE + 0.85)

        def draw(ink: Ink, x: float, y: float, a: int = a) -> None:
            if a == 0:
                ink.line(x, y, x + WIDE, y, HAIR)
            for i, cell in enumerate(cells):
                lines(ink, x + LEFT_AT[i], y + 0.4, cell[a : a + 30], BODY, texts[i][1])

        out.append(Piece(high, draw))
    return out


FOUND_MM = 27.0
MEETS = "\u2014"  # between the two sides of a joint


def joint_rows(block: Joints) -> list[Piece]:
    """The joints under their column words, which come again on every page."""

    def words(ink: Ink, x: float, y: float) -> None:
        ink.text(x, y + 3.4, "joint, the wires that meet, and the work from left to right", SMALL)
        ink.text(x + WIDE - FOUND_MM, y + 3.4, "colours as found", SMALL)

    top = Piece(4.4, words, keep=True)
    return [
        top,
        *(Piece(p.height, p.draw, over=(top,)) for row in block.rows for p in [_joint_row(row)]),
    ]


def _joint_row(row: JointRow) -> Piece:
    """One joint: what is joined; the stages in working order, each with its box; a line for the colours as found."""
    room = WIDE - FOUND_MM - 3
    names = wrap(f"{row.n}{'!' if row.harm else ''} {row.name}", room * 0.4, BODY, True)
    title_mm = max(width(n, BODY, True) for n in names) + 3
    first, *rest = row.wires
    head = wrap(f"{first}  {MEETS}  {'  +  '.join(rest)}" if rest else first, room - title_mm)
    rows = _stage_lines(row, room)
    note = "; ".join(row.notes)
    note_mm = width(note, BODY, True) + 3
    free = (
        title_mm + width(head[0]),
        max((shift + TICK_MM + 0.9 + width(text) for shift, text in rows[-1]), default=0.0),
    )
    place = next((i for i, end in enumerate(free) if note and end + note_mm <= room), -1)
    below = wrap(note, room, BODY, True) if note and place < 0 else ()
    top = max(len(head), len(names)) * LINE
    high = top + len(rows) * (TICK_MM + 0.5) + len(below) * LINE + 0.4

    def draw(ink: Ink, x: float, y: float) -> None:
        ink.line(x, y, x + WIDE, y, HAIR)
        lines(ink, x, y + 0.5, names, BODY, True)
        lines(ink, x + title_mm, y + 0.5, head)
        at = y + top + 0.5
        for stages in rows:
            for shift, text in stages:
                tick(ink, x + shift, at)
                ink.text(x + shift + TICK_MM + 0.8, at + 3.8, text)
            at += TICK_MM + 0.5
        if place >= 0:
            ink.text(
                x + room,
                (y + 0.5 + LINE * 0.8, at - TICK_MM - 0.5 + 3.8)[place],
                note,
                strong=True,
                align="right",
            )
        lines(ink, x, at - 0.2, below, BODY, True)
        write_line(ink, x + WIDE - FOUND_MM, y + high - 1.5, FOUND_MM)

    return Piece(high, draw)


def _stage_lines(row: JointRow, room: float) -> list[list[tuple[float, str]]]:
    rows: list[list[tuple[float, str]]] = [[]]
    at = 0.0
    for stage in row.stages:
        need = TICK_MM + 0.8 + width(stage.text)
        if at + need > room and rows[-1]:
            rows.append([])
            at = 0.0
        rows[-1].append((at, shorten(stage.text, room - TICK_MM - 1)))
        at += need + 1.3
    return rows
