"""Whole-face mistakes: how a face is misread, and whether two tables of one shell agree better under one of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from wiremap.model import Cavity, Face, Pinout

WORDS = {
    "mirrored": "mirrored (the other side of the face)", "rotated": "turned by half a turn",
    "rows-swapped": "with its rows exchanged", "shifted": "counted one off", "by-columns": "counted by columns",
    "snake": "counted in a snake (every second row backwards)",
}
LEAST_TOLD = 4  # contacts that both tables tell something of
LEAST_MORE = 3  # agreements more than as written


@dataclass(frozen=True, slots=True)
class Misreading:
    """One way to misread a face: which cavity is taken for which."""

    kind: str
    taken_for: Mapping[str, str]


def grid_of(face: Face | None, names: Sequence[str]) -> tuple[tuple[str | None, ...], ...]:
    """The rows of a face; without one, all cavities in the order of the table as a single row."""
    return face.padded() if face is not None and face.rows else (tuple(names),)


def misreadings(rows: Sequence[Sequence[str | None]]) -> list[Misreading]:
    """Every whole-face mistake that moves something, each mapping once, the plainest name first."""
    found: dict[tuple[tuple[str, str], ...], Misreading] = {}
    for kind, moved in _moved(rows):
        taken = {a: b for a, b in moved if a is not None and b is not None}
        if any(a != b for a, b in taken.items()):
            found.setdefault(tuple(sorted(taken.items())), Misreading(kind, taken))
    return list(found.values())


Moved = list[tuple[str | None, str | None]]


def _moved(rows: Sequence[Sequence[str | None]]) -> Iterator[tuple[str, Moved]]:
    height, width = len(rows), max((len(r) for r in rows), default=0)
    spots = [(r, c) for r in range(height) for c in range(width)]

    def at(r: int, c: int) -> str | None:
        return rows[r][c] if c < len(rows[r]) else None

    yield "mirrored", [(at(r, c), at(r, width - 1 - c)) for r, c in spots]
    yield "rotated", [(at(r, c), at(height - 1 - r, width - 1 - c)) for r, c in spots]
    yield "rows-swapped", [(at(r, c), at(height - 1 - r, c)) for r, c in spots]
    line = [n for row in rows for n in row if n is not None]
    steps = list(pairwise(line))
    yield "shifted", list(steps)
    yield "shifted", [(b, a) for a, b in steps]
    columns = [n for c in range(width) for r in range(height) if (n := at(r, c)) is not None]
    yield "by-columns", list(zip(line, columns, strict=True))
    yield "by-columns", list(zip(columns, line, strict=True))
    snake = [n for i, row in enumerate(rows) for n in (row if i % 2 == 0 else tuple(reversed(row))) if n is not None]
    yield "snake", list(zip(line, snake, strict=True))


Told = Mapping[str, tuple[str, str]]  # cavity -> function, colour; empty where not told


def told_of(cavity: Cavity) -> tuple[str, str]:
    """What one table tells of a contact: function with side and half, and colour."""
    function = "" if cavity.function in ("unknown", "unused") else cavity.function
    if function:
        function += "".join(f" {k} {v}" for k, v in cavity.reading.qualifiers if k in ("side", "lamp", "circuit"))
    colour = cavity.wire.colour.canonical if cavity.wire and cavity.wire.colour else ""
    return function, colour


def agreement(one: Told, other: Told, taken: Mapping[str, str]) -> int:
    """How many statements of two tables agree when `other` is read through a mapping of cavities."""
    return sum(bool(a) and a == b for c, d in taken.items() if c in one and d in other
               for a, b in zip(one[c], other[d], strict=True))


@dataclass(frozen=True, slots=True)
class BetterFit:
    """Two tables agree better under a misreading than as written."""

    kind: str
    as_written: int
    as_misread: int
    told: int


def better_fit(pinout: Pinout, one: Told, other: Told) -> BetterFit | None:
    """The misreading under which two tables of one shell agree clearly better, if there is one."""
    both = [c for c in one if c in other and any(one[c]) and any(other[c])]
    if len(both) < LEAST_TOLD:
        return None
    straight = agreement(one, other, {c: c for c in one})
    told = sum(bool(a) and bool(b) for c in both for a, b in zip(one[c], other[c], strict=True))
    best: BetterFit | None = None
    for m in misreadings(grid_of(pinout.connector.face, tuple(pinout.cavities))):
        score = agreement(one, other, m.taken_for)
        if score >= straight + LEAST_MORE and 2 * score > told and (best is None or score > best.as_misread):
            best = BetterFit(m.kind, straight, score, told)
    return best
