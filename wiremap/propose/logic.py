"""Lamps for both sides that face left and right ones: which take logic, and which only a splice.

One signal that became two, or two that became one, is more than a splice can do, unless one wire
feeds both.
"""

from __future__ import annotations

from collections.abc import Container

from wiremap.model import Address, Cavity, Flow, Grade
from wiremap.propose.doubt import Doubt
from wiremap.propose.result import NeedsLogic, Proposed
from wiremap.propose.sides import Contacts, Generations
from wiremap.trade.functions import FUNCTIONS


def logic_needed(sides: Generations, joined: Container[Address]) -> list[NeedsLogic]:
    """Left-over lamps whose light the other side parts or combines."""
    free = sides.without(joined)
    needs = []
    for point in free.points:
        cavity = free.mine(point)[point]
        facing = free.facing(point)
        partners = _partners(cavity, facing)
        why = _why_logic(cavity, {_lamp_side(facing[partner]) for partner in partners})
        if why:
            needs.append(NeedsLogic(points=(point, *partners), why=why))
    return needs


def _why_logic(cavity: Cavity, sides: set[str | None]) -> str:
    """What becomes of a lamp wire whose partners light these sides; empty if nothing is amiss."""
    lamp = cavity.reading.qualifier("lamp") or ""
    if "-" in lamp and sides:  # as `stop-tail`: two lamps on one wire
        return (
            f"one side has {lamp.replace('-', ' and ')} on one wire, the other apart: "
            "joining them feeds one lamp from the other's switch; it takes a converter"
        )
    if _lamp_side(cavity) is None and {"left", "right"} <= sides:
        return (
            f"one side has {lamp} for both sides on one wire, the other left and right apart: "
            "a splice would tie left and right together"
        )
    return ""


def _partners(cavity: Cavity, facing: Contacts) -> tuple[Address, ...]:
    """Lamps of the other side that are a part of this one."""
    lamp = cavity.reading.qualifier("lamp")
    side = _lamp_side(cavity)
    if lamp is None or (side is not None and "-" not in lamp):
        return ()
    parts = lamp.split("-")
    partners = []
    for point, other in facing.items():
        if other.reading.qualifier("lamp") not in parts:
            continue
        if side is None or _lamp_side(other) in (side, None):
            partners.append(point)
    return tuple(partners)


def splices(free: Generations) -> list[Proposed]:
    """One lamp wire that feeds the left and the right lamp of the other side: an ordinary splice.

    Only from the side that feeds: two sources into one lamp would be tied together.
    """
    spliced = []
    for point in two_sided_lamps(free):
        cavity = free.mine(point)[point]
        halves = _partners(cavity, free.facing(point))
        alone = len(_partners(cavity, free.mine(point))) == 1
        if alone and len(halves) == 2 and _feeds(cavity, old=point in free.old):
            join = (point, *halves) if point in free.old else (*halves, point)
            why = f"one wire for both sides feeds {halves[0]} and {halves[1]}"
            doubt = Doubt("one source to two loads, an ordinary splice: currents add")
            spliced.append(Proposed(join=join, grade=Grade.ASK, reasons=(why,), doubts=(doubt,)))
    return spliced


def _feeds(cavity: Cavity, *, old: bool) -> bool:
    """Whether a lamp's wire comes from the side of its contact."""
    flow = cavity.flow or FUNCTIONS[cavity.function].flow
    return flow == (Flow.TO_UNIT if old else Flow.FROM_UNIT)


def two_sided_lamps(free: Generations) -> list[Address]:
    """Lamps for both sides that face nothing but left and right ones: neither is their partner."""
    lamps = []
    for point in free.points:
        if _faces_left_and_right(free.mine(point)[point], free.mine(point), free.facing(point)):
            lamps.append(point)
    return lamps


def _faces_left_and_right(cavity: Cavity, mine: Contacts, facing: Contacts) -> bool:
    lamp = cavity.reading.qualifier("lamp")
    if lamp is None or _lamp_side(cavity) is not None or cavity.reading.unexplained:
        return False  # a word that nothing explains may name the side
    return _sides_of(lamp, mine) == {None} and _sides_of(lamp, facing) == {"left", "right"}


def _sides_of(lamp: str, contacts: Contacts) -> set[str | None]:
    sides = set()
    for cavity in contacts.values():
        if cavity.reading.qualifier("lamp") == lamp:
            sides.add(_lamp_side(cavity))
    return sides


def _lamp_side(cavity: Cavity) -> str | None:
    return cavity.reading.qualifier("side")
