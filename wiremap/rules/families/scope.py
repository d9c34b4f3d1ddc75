"""Family `scope`: what no workshop adapter touches, and what only a licensed person may settle."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.model import CLASS_B_DC_VOLTS, Cavity
from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.scope import is_restraint
from wiremap.rules.view import View
from wiremap.trade.functions import FUNCTIONS

SCOPE = Family("scope", Matter.PEOPLE)
TEXTS = "vehicle makers' workshop texts"
LICENSED = {
    "brake": "brake actuation",
    "wheel-speed": "a brake system's wheel speed",
    "steering": "steering",
}


def _joined(view: View) -> Iterator[tuple[str, Cavity]]:
    for point in view.joined():
        assert point.cavity is not None
        yield point.address, point.cavity


@SCOPE.stop(
    "class-b",
    acceptable=False,
    source="ISO 6469-3; UN R100",
    what="{a} is joined and belongs to voltage class B ({volts})",
    why="Above 60 V DC or 30 V AC a touch can kill; this is other work with other tools and other "
    "training.",
    fix="Take it out of the job; wiremap does no work on voltage class B.",
)
def class_b(view: View) -> Hits:
    """A joined contact above 60 V DC or 30 V AC, or a supply of the job above 60 V."""
    for address, cavity in _joined(view):
        if cavity.is_class_b:
            yield view.described_hit(address, volts=_volts(cavity))
    supply = view.job.supply
    most = max(supply.volts or 0.0, supply.max_volts or 0.0)
    if most > CLASS_B_DC_VOLTS:
        yield view.hit("supply", place=supply.place, a="the supply", volts=f"{most:g} V")


def _volts(cavity: Cavity) -> str:
    if cavity.volts_ac:
        return f"{cavity.volts_ac:g} V AC"
    return f"{cavity.volts} V" if cavity.volts else "as described"


@SCOPE.stop(
    "restraint",
    acceptable=False,
    source=TEXTS,
    what="{a} is joined and belongs to a restraint (airbag) circuit",
    why="Restraint wiring may fire or fail to fire after any splice; makers forbid work on it.",
    fix="Leave the contact alone: list it under `not_joined` and neither probe nor cut it.",
)
def restraint(view: View) -> Hits:
    """A joined contact that any source says belongs to a restraint circuit."""
    for address, cavity in _joined(view):
        if is_restraint(cavity):
            yield view.described_hit(address)


@SCOPE.note(
    "left-alone",
    source="vehicle makers' workshop texts; ISO 6469-3",
    what="{a} belongs to {what}: no probe, no cut, no joint",
    why="Restraint wiring may fire or fail to fire when it is touched, and voltage class B can "
    "kill; neither shows by its connector.",
    fix="Cover the contact before work begins; whoever holds the papers for such work may go on "
    "there.",
)
def left_alone(view: View) -> Hits:
    """A contact that is not joined and belongs to a restraint circuit or to voltage class B, so
    that nobody puts a probe there.
    """
    for point in view.points.values():
        if point.cavity is None or view.is_joined(point.address):
            continue
        what = " and ".join(_untouchable(point.cavity))
        if what:
            yield view.described_hit(point.address, what=what)


def _untouchable(cavity: Cavity) -> Iterator[str]:
    if is_restraint(cavity):
        yield "a restraint (airbag) circuit"
    if cavity.is_class_b:
        yield "voltage class B"


@SCOPE.stop(
    "licensed-work",
    source="common practice; national rules on brakes and steering",
    what="{a} is part of {what}: a licensed person must stand to it by name",
    why="A fault here takes away brakes or steering on the road.",
    fix="Have a person licensed for this work sign the finding in the notebook, or leave the "
    "contact out.",
)
def licensed_work(view: View) -> Hits:
    """A joined contact of brake actuation, wheel speed or steering."""
    for address, cavity in _joined(view):
        function = cavity.function
        if FUNCTIONS[function].licensed:
            yield view.described_hit(address, what=LICENSED.get(function, function))


@SCOPE.caution(
    "stop-lamps",
    source="common practice; UN R48 on light signals",
    what="{a} feeds the stop lamps",
    why="Following traffic depends on it, though it applies no brake.",
    fix="Prove every stop lamp lit before the machine goes on the road, and sign for it.",
)
def stop_lamps(view: View) -> Hits:
    """A joined contact that feeds stop lamps only."""
    for address, cavity in _joined(view):
        lamp = cavity.reading.qualifier("lamp")
        if cavity.function == "lamp-feed" and lamp in ("stop", "brake"):
            yield view.described_hit(address)


@SCOPE.caution(
    "carried-caution",
    source="the pinout itself",
    what="{a}: {caution}",
    why="Whoever wrote the pinout wanted everyone who joins this contact to read it.",
    fix="Read it, act on it, and sign for it.",
)
def carried_caution(view: View) -> Hits:
    """A joined contact whose description carries a caution."""
    for address, cavity in _joined(view):
        if cavity.caution:
            yield view.described_hit(address, caution=cavity.caution)
