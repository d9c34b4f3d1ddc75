"""The one list of ways in which the whole of a face is read wrongly."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

Rows = Sequence[Sequence[str | None]]


def misread(rows: Rows) -> Mapping[str, Mapping[str, str | None]]:
    """For each whole-face mistake that moves something, which cavity's wire ends in each cavity
    (None: in none).

    Cavities are counted, gaps are not: hands fill the holes that are there.  Keys are `mirrored`,
    `rotated`, `rows-swapped`, `by-columns`, `by-columns-back` (numbered by columns, counted by
    rows), `snake`, `shifted+1` and `shifted-1`; what does the same as an earlier one is left out.
    """
    lines = [[n for n in row if n is not None] for row in rows]
    order = [n for line in lines for n in line]
    width = max((len(row) for row in rows), default=0)
    columns = [
        n for c in range(width) for row in rows if c < len(row) and (n := row[c]) is not None
    ]
    read: dict[str, tuple[Sequence[str], Sequence[str | None]]] = {
        "mirrored": ([n for line in lines for n in reversed(line)], order),
        "rotated": (order[::-1], order),
        "rows-swapped": ([n for line in reversed(lines) for n in line], order),
        "by-columns": (columns, order),
        "by-columns-back": (order, columns),
        "snake": (
            [n for i, line in enumerate(lines) for n in (reversed(line) if i % 2 else line)],
            order,
        ),
        "shifted+1": (order, [None, *order[:-1]]),
        "shifted-1": (order, [*order[1:], None]),
    }
    kept: dict[str, Mapping[str, str | None]] = {}
    for kind, (holes, wires) in read.items():
        places = dict(zip(holes, wires, strict=True))
        if any(a != b for a, b in places.items()) and places not in kept.values():
            kept[kind] = places
    return kept
