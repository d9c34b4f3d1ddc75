"""Whole-face mistakes: how a face is misread, and whether two tables agree better under one."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from wiremap.model import Cavity, End, Face, Pinout
from wiremap.model.misread import misread
from wiremap.naming import Meaning

MISREAD_WORDS = {
    "mirrored": "mirrored (the other side of the face)",
    "rotated": "turned by half a turn",
    "rows-swapped": "with its rows exchanged",
    "shifted": "counted one off",
    "by-columns": "counted by columns",
    "snake": "counted in a snake (every second row backwards)",
}
LEAST_TOLD = 4  # contacts that both tables tell something of
LEAST_MORE = 3  # so many more must agree than as written
TELLING = ("side", "lamp", "circuit")

Statements = Mapping[str, tuple[str, str]]  # cavity -> function, colour; empty where not told


@dataclass(frozen=True, slots=True)
class Misreading:
    """One way to misread a face: which cavity is taken for which."""

    kind: str
    taken_for: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class BetterFit:
    """Two tables agree better under a misreading than as written."""

    kind: str
    as_written: int  # statements that agree
    as_misread: int
    told: int  # statements that both tables make


def grid_of(face: Face | None, names: Sequence[str]) -> tuple[tuple[str | None, ...], ...]:
    """The rows of a face; without one, all cavities in the order of the table as a single row."""
    if face is None or not face.rows:
        return (tuple(names),)
    return face.padded()


def misreadings(rows: Sequence[Sequence[str | None]]) -> list[Misreading]:
    """Every whole-face mistake that moves something, each mapping once, the plainest name first."""
    distinct: dict[tuple[tuple[str, str], ...], Misreading] = {}
    for key, places in misread(rows).items():
        kind = key.removesuffix("-back").rstrip("+-1")  # both directions have one name in words
        taken = {a: b for a, b in places.items() if b is not None}
        if any(a != b for a, b in taken.items()):
            distinct.setdefault(tuple(sorted(taken.items())), Misreading(kind, taken))
    return list(distinct.values())


def statements_by(end: End) -> Statements:
    """What the table of an end tells of each of its contacts."""
    return {name: statements_of(cavity) for name, cavity in end.pinout.cavities.items()}


def statements_of(cavity: Cavity) -> tuple[str, str]:
    """What one table tells of a contact: function with side and half, and colour."""
    function = ""
    if not cavity.unused:
        function = _function(cavity.reading)
    if cavity.wire is None or cavity.wire.colour is None:
        return function, ""
    return function, cavity.wire.colour.canonical


def claimed_by_source(pinout: Pinout) -> dict[str, Statements]:
    """What each further source of a paper tells of its contacts."""
    claimed: dict[str, dict[str, tuple[str, str]]] = defaultdict(dict)
    for name, cavity in pinout.cavities.items():
        for claim in cavity.also:
            claimed[claim.source or claim.basis][name] = (_function(claim.reading), "")
    return dict(claimed)


def _function(reading: Meaning) -> str:
    if reading.function == "unknown":
        return ""
    telling = [f" {key} {value}" for key, value in reading.qualifiers if key in TELLING]
    return reading.function + "".join(telling)


def agreement(one: Statements, other: Statements, taken: Mapping[str, str]) -> int:
    """How many statements agree when `other` is read through a mapping of cavities."""
    return sum(
        bool(mine) and mine == theirs
        for cavity, instead in taken.items()
        if cavity in one and instead in other
        for mine, theirs in zip(one[cavity], other[instead], strict=True)
    )


def better_fit(pinout: Pinout, one: Statements, other: Statements) -> BetterFit | None:
    """The misreading under which two tables of one shell agree clearly better, if there is one."""
    both = [name for name in one if name in other and any(one[name]) and any(other[name])]
    if len(both) < LEAST_TOLD:
        return None
    straight = agreement(one, other, {name: name for name in one})
    told = sum(
        bool(a) and bool(b) for name in both for a, b in zip(one[name], other[name], strict=True)
    )
    best: BetterFit | None = None
    for misreading in misreadings(grid_of(pinout.connector.face, tuple(pinout.cavities))):
        score = agreement(one, other, misreading.taken_for)
        if score < straight + LEAST_MORE or 2 * score <= told:
            continue
        if best is None or score > best.as_misread:
            best = BetterFit(misreading.kind, straight, score, told)
    return best
