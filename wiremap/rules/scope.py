"""Family `scope`: what no workshop adapter touches, and what only a licensed person may settle."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.base import Severity
from wiremap.graph import Point
from wiremap.model import CLASS_B_DC_VOLTS, Cavity
from wiremap.rules.registry import Hit, rule
from wiremap.rules.view import View
from wiremap.trade.functions import FUNCTIONS


def is_restraint(cavity: Cavity) -> bool:
    """Whether any claim about a contact says restraint."""
    return "restraint" in {cavity.function, *(c.reading.function for c in cavity.also)}


def _hit(view: View, point: Point, **facts: object) -> Hit:
    also = view.described(point.address)
    return Hit(
        view.place_of(point.address),
        (point.address,),
        {"a": view.name(point.address), **facts},
        also,
    )


@rule(
    "class-b",
    Severity.STOP,
    family="scope",
    acceptable=False,
    source="ISO 6469-3; UN R100",
    what="{a} is joined and belongs to voltage class B ({volts})",
    why="Above 60 V DC or 30 V AC a touch can kill; this is other work with other tools and other training.",
    fix="Take it out of the job; wiremap does no work on voltage class B.",
)
def class_b(view: View) -> Iterator[Hit]:
    """A joined contact above 60 V DC or 30 V AC, or a supply of the job above 60 V."""
    for point in view.joined():
        assert point.cavity is not None
        if point.cavity.is_class_b:
            cavity = point.cavity
            told = (
                f"{cavity.volts_ac:g} V AC"
                if cavity.volts_ac
                else f"{cavity.volts} V"
                if cavity.volts
                else "as described"
            )
            yield _hit(view, point, volts=told)
    supply = view.job.supply
    most = max((v for v in (supply.volts, supply.max_volts) if v is not None), default=0.0)
    if most > CLASS_B_DC_VOLTS:
        yield Hit(supply.place, ("supply",), {"a": "the supply", "volts": f"{most:g} V"})


@rule(
    "restraint",
    Severity.STOP,
    family="scope",
    acceptable=False,
    source="vehicle makers' workshop texts",
    what="{a} is joined and belongs to a restraint (airbag) circuit",
    why="Restraint wiring may fire or fail to fire after any splice; makers forbid work on it.",
    fix="Leave the contact alone: list it under `not_joined` and neither probe nor cut it.",
)
def restraint(view: View) -> Iterator[Hit]:
    """A joined contact that any source says belongs to a restraint circuit."""
    for point in view.joined():
        assert point.cavity is not None
        if is_restraint(point.cavity):
            yield _hit(view, point)


@rule(
    "left-alone",
    Severity.NOTE,
    family="scope",
    source="vehicle makers' workshop texts; ISO 6469-3",
    what="{a} belongs to {what}: no probe, no cut, no joint",
    why="Restraint wiring may fire or fail to fire when it is touched, and voltage class B can kill; neither shows by its connector.",
    fix="Cover the contact before work begins; whoever holds the papers for such work may go on there.",
)
def left_alone(view: View) -> Iterator[Hit]:
    """A contact that is not joined and belongs to a restraint circuit or to voltage class B, so that nobody puts a probe there."""
    for point in view.points.values():
        if point.cavity is not None and not view.harness.circuits_at(point.address):
            words = (
                ("a restraint (airbag) circuit", is_restraint(point.cavity)),
                ("voltage class B", point.cavity.is_class_b),
            )
            what = " and ".join(word for word, so in words if so)
            if what:
                yield _hit(view, point, what=what)


@rule(
    "licensed-work",
    Severity.STOP,
    family="scope",
    source="common practice; national rules on brakes and steering",
    what="{a} is part of {what}: a licensed person must stand to it by name",
    why="A fault here takes away brakes or steering on the road.",
    fix="Have a person licensed for this work sign the finding in the notebook, or leave the contact out.",
)
def licensed_work(view: View) -> Iterator[Hit]:
    """A joined contact of brake actuation, wheel speed or steering."""
    words = {
        "brake": "brake actuation",
        "wheel-speed": "a brake system's wheel speed",
        "steering": "steering",
    }
    for point in view.joined():
        if (row := FUNCTIONS.get(point.function)) and row.licensed:
            yield _hit(view, point, what=words.get(row.slug, row.slug))


@rule(
    "stop-lamps",
    Severity.CAUTION,
    family="scope",
    source="common practice; UN R48 on light signals",
    what="{a} feeds the stop lamps",
    why="Following traffic depends on it, though it applies no brake.",
    fix="Prove every stop lamp lit before the machine goes on the road, and sign for it.",
)
def stop_lamps(view: View) -> Iterator[Hit]:
    """A joined contact that feeds stop lamps only."""
    for point in view.joined():
        cavity = point.cavity
        if (
            cavity is not None
            and cavity.function == "lamp-feed"
            and cavity.reading.qualifier("lamp") in ("stop", "brake")
        ):
            yield _hit(view, point)


@rule(
    "carried-caution",
    Severity.CAUTION,
    family="scope",
    source="the pinout itself",
    what="{a}: {caution}",
    why="Whoever wrote the pinout wanted everyone who joins this contact to read it.",
    fix="Read it, act on it, and sign for it.",
)
def carried_caution(view: View) -> Iterator[Hit]:
    """A joined contact whose description carries a caution."""
    for point in view.joined():
        if point.cavity is not None and point.cavity.caution:
            yield _hit(view, point, caution=point.cavity.caution)
