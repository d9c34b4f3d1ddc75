"""Which slips are plausible at a job: wires exchanged, faces misread, opens, touches."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import combinations, combinations_with_replacement, pairwise, product
from math import comb

from wiremap.base import Finding, fault
from wiremap.evidence import face_neighbours
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.face_read import BY_WORD, FaceRead
from wiremap.mistakes.mistake import Mistake
from wiremap.mistakes.open import OPEN_JOINT, Open
from wiremap.mistakes.swap import EXCHANGE, Swap
from wiremap.mistakes.touch import touch
from wiremap.model import End
from wiremap.rules import View
from wiremap.rules.faces import grid_of, misreadings
from wiremap.rules.pairs import halves
from wiremap.trade.colours import Colour, confusable


class SlipKind(StrEnum):
    """Why a slip is plausible, in the order in which slips of one grade are told."""

    LEGS_CROSSED = "legs-crossed"
    LIKE_COLOURED = "like-coloured"
    EXCHANGED = "exchanged"
    MIRRORED = "mirrored"
    ROTATED = "rotated"
    SHIFTED = "shifted"
    ROWS_SWAPPED = "rows-swapped"
    BY_COLUMNS = "by-columns"
    SNAKE = "snake"
    OPEN = "open"
    TOUCHING = "touching"


# exchanges of like-coloured wires in a job; a thousand wires of five colours at each of two ends
# come to half of it
MOST_LIKE = 400_000
KINDS = tuple(SlipKind)
WHOLE_FACE = frozenset(SlipKind(word) for word in BY_WORD)


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """A slip to be looked at."""

    kind: SlipKind
    subject: tuple[str, ...]  # the contacts, circuit or end that it concerns
    mistake: Mistake
    points: tuple[str, ...]  # whose metal it changes


def plausible(view: View, drawn: Drawn) -> Iterator[Planned]:
    """Every plausible single slip of a job."""
    yield from _exchanges(view)
    for end in _worked_ends(view):
        yield from _faces(end)
    yield from _opens(view)
    yield from _touches(view, drawn)


def too_many(view: View) -> Finding | None:
    """Why the slips of a job are not told: it has more than anybody could read; else None."""
    counts = {end.name: _like_count(view, end) for end in _worked_ends(view)}
    count = sum(counts.values())
    if count <= MOST_LIKE:
        return None
    end = max(_worked_ends(view), key=lambda each: counts[each.name])
    return fault(
        "over-limit",
        f"{count:,} pairs of like-coloured wires could be exchanged, most of them at {end.name}; "
        f"up to {MOST_LIKE:,} are told",
        end.place,
        fix="Part the job, or state the wires' colours more exactly.",
    )


def _like_count(view: View, end: End) -> int:
    """How many pairs of like-coloured wires an end has."""
    return sum(
        comb(len(here), 2) if here is there else len(here) * len(there)
        for here, there in _confusable(view, end)
    )


def _worked_ends(view: View) -> list[End]:
    """The ends that hands work at."""
    return [e for e in view.job.ends.values() if not e.is_tap and not e.mated]


# -- exchanges ------------------------------------------------------------------------------------


def _exchanges(view: View) -> Iterator[Planned]:
    """Two wires of one connector exchanged, each two once: pair legs, like colours, neighbours."""
    seen: set[frozenset[str]] = set()
    for kind, one, two in (*_pair_legs(view), *_like_coloured(view), *_neighbours(view)):
        both = frozenset((one, two))
        joined = view.harness.circuits_at(one) or view.harness.circuits_at(two)
        if both not in seen and joined:
            seen.add(both)
            pair = (one, two)
            swap = Swap(EXCHANGE, pair, one, two)
            yield Planned(kind=kind, subject=pair, mistake=swap, points=pair)


Exchange = tuple[SlipKind, str, str]


def _pair_legs(view: View) -> Iterator[Exchange]:
    for pair in view.fixed(halves).pairs:
        if not pair.high.is_tap:
            yield SlipKind.LEGS_CROSSED, pair.high.address, pair.low.address


def _like_coloured(view: View) -> Iterator[Exchange]:
    for end in _worked_ends(view):
        for here, there in _confusable(view, end):
            pairs = combinations(here, 2) if here is there else product(here, there)
            for pair in pairs:
                (_, one), (_, two) = sorted(pair)
                yield SlipKind.LIKE_COLOURED, one, two


Seat = tuple[int, str]  # a contact, after its place in the table


def _confusable(view: View, end: End) -> Iterator[tuple[list[Seat], list[Seat]]]:
    """The joined contacts of an end of two colours that can be taken for one another.

    For each two such colours the contacts of either; a colour is also one with itself.
    """
    found: dict[tuple[str, ...], list[Seat]] = {}
    colours: dict[tuple[str, ...], Colour] = {}
    for place, cavity in enumerate(end.pinout.cavities.values() if end.has_tail else ()):
        address = f"{end.name}.{cavity.name}"
        colour = cavity.wire.colour if cavity.wire else None
        if colour and view.harness.circuits_at(address):
            colours.setdefault(colour.colours, colour)
            found.setdefault(colour.colours, []).append((place, address))
    for one, two in combinations_with_replacement(found, 2):
        if confusable(colours[one], colours[two]):
            yield found[one], found[two]


def _neighbours(view: View) -> Iterator[Exchange]:
    for end in _worked_ends(view):
        for one, two in face_neighbours(end.pinout):
            if one in end.pinout.cavities and two in end.pinout.cavities:
                yield SlipKind.EXCHANGED, f"{end.name}.{one}", f"{end.name}.{two}"


# -- faces ----------------------------------------------------------------------------------------


def _faces(end: End) -> Iterator[Planned]:
    cavities = end.pinout.cavities
    for misreading in misreadings(grid_of(end.pinout.connector.face, tuple(cavities))):
        moved = {
            f"{end.name}.{a}": f"{end.name}.{b}"
            for a, b in misreading.taken_for.items()
            if a != b and a in cavities and b in cavities
        }
        if moved:
            left = [(a, None) for a in moved if a not in moved.values()]
            seats = (*((b, a) for a, b in moved.items()), *left)
            points = tuple(sorted({*moved, *moved.values()}))
            face = FaceRead(BY_WORD[misreading.kind], (end.name,), seats)
            kind = SlipKind(misreading.kind)
            yield Planned(kind=kind, subject=(end.name,), mistake=face, points=points)


# -- opens and touches ----------------------------------------------------------------------------


def _opens(view: View) -> Iterator[Planned]:
    for circuit in view.job.circuits:
        present = [a for a in circuit.join if a in view.points]
        for address in present if len(present) > 2 else present[:1]:
            subject, points = (circuit.id, address), (address,)
            loose = Open(OPEN_JOINT, subject, points)
            yield Planned(kind=SlipKind.OPEN, subject=subject, mistake=loose, points=points)


def _touches(view: View, drawn: Drawn) -> Iterator[Planned]:
    """Contacts side by side, and joints next to each other, each two metals once."""
    seen: set[frozenset[tuple[str, ...]]] = set()
    metals, circuits_at = view.harness.metals, view.harness.circuits_at
    for one, two in _side_by_side(view):
        if one not in view.points or two not in view.points:
            continue
        nets = frozenset((metals.of(one).points, metals.of(two).points))
        bare = not (circuits_at(one) or circuits_at(two))
        if len(nets) == 2 and nets not in seen and not bare:
            seen.add(nets)
            pair = (one, two)
            mistake = touch(drawn, drawn.net_of[one], drawn.net_of[two])
            yield Planned(kind=SlipKind.TOUCHING, subject=pair, mistake=mistake, points=pair)


def _side_by_side(view: View) -> Iterator[tuple[str, str]]:
    for end in _worked_ends(view):
        for one, two in face_neighbours(end.pinout):
            yield f"{end.name}.{one}", f"{end.name}.{two}"
    spliced = [joint.points for joint in view.harness.joints.values() if joint.points]
    yield from pairwise(first for first, *_ in spliced)  # taken to lie side by side
