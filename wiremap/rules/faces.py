"""Whole-face mistakes: how a face is misread, and whether two tables of one shell agree better under one of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from wiremap.model import Cavity, Face, Pinout
from wiremap.model.misread import misread

WORDS = {
    "mirrored": "mirrored (the other side of the face)",
    "rotated": "turned by half a turn",
    "rows-swapped": "with its rows exchanged",
    "shifted": "counted one off",
    "by-columns": "counted by columns",
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
    for key, places in misread(rows).items():
        kind = key.removesuffix("-back").rstrip("+-1")
        taken = {a: b for a, b in places.items() if b is not None}
        if any(a != b for a, b in taken.items()):
            found.setdefault(tuple(sorted(taken.items())), Misreading(kind, taken))
    return list(found.values())


Told = Mapping[str, tuple[str, str]]  # cavity -> function, colour; empty where not told


def told_of(cavity: Cavity) -> tuple[str, str]:
    """What one table tells of a contact: function with side and half, and colour."""
    function = "" if cavity.function in ("unknown", "unused") else cavity.function
    if function:
        function += "".join(
            f" {k} {v}" for k, v in cavity.reading.qualifiers if k in ("side", "lamp", "circuit")
        )
    colour = cavity.wire.colour.canonical if cavity.wire and cavity.wire.colour else ""
    return function, colour


def agreement(one: Told, other: Told, taken: Mapping[str, str]) -> int:
    """How many statements of two tables agree when `other` is read through a mapping of cavities."""
    return sum(
        bool(a) and a == b
        for c, d in taken.items()
        if c in one and d in other
        for a, b in zip(one[c], other[d], strict=True)
    )


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
        if (
            score >= straight + LEAST_MORE
            and 2 * score > told
            and (best is None or score > best.as_misread)
        ):
            best = BetterFit(m.kind, straight, score, told)
    return best
