"""The one list of ways in which the whole of a face is read wrongly."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import chain, zip_longest

Rows = Sequence[Sequence[str | None]]


def misread(rows: Rows) -> Mapping[str, Mapping[str, str | None]]:
    """For each whole-face mistake that moves something, which cavity's wire ends in each cavity
    (None: in none).

    Cavities are counted, gaps are not: hands fill the holes that are there.  Keys are `mirrored`,
    `rotated`, `rows-swapped`, `by-columns`, `by-columns-back` (numbered by columns, counted by
    rows), `snake`, `shifted+1` and `shifted-1`; what does the same as an earlier one is left out.
    """
    lines = [[name for name in row if name is not None] for row in rows]
    order = list(chain.from_iterable(lines))
    columns = [name for column in zip_longest(*rows) for name in column if name is not None]
    backwards = [line[::-1] for line in lines]
    snake = [line[::-1] if at % 2 else line for at, line in enumerate(lines)]
    # of each mistake the cavities, and the one whose wire ends in each of them
    ways: dict[str, tuple[Iterable[str], Sequence[str | None]]] = {
        "mirrored": (chain.from_iterable(backwards), order),
        "rotated": (order[::-1], order),
        "rows-swapped": (chain.from_iterable(lines[::-1]), order),
        "by-columns": (columns, order),
        "by-columns-back": (order, columns),
        "snake": (chain.from_iterable(snake), order),
        "shifted+1": (order, [None, *order][:-1]),
        "shifted-1": (order, [*order, None][1:]),
    }
    kept: dict[str, Mapping[str, str | None]] = {}
    for kind, (holes, wires) in ways.items():
        places = dict(zip(holes, wires, strict=True))
        if any(a != b for a, b in places.items()) and places not in kept.values():
            kept[kind] = places
    return kept
