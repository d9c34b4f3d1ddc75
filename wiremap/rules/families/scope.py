"""Family `scope`: what no workshop adapter touches, and what only a licensed person may settle."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from wiremap.model import CLASS_B_DC_VOLTS, Address, Cavity, Side
from wiremap.rules.cure import ABOUT_MEANS, SIGN, WORDS_MEAN_ELSE, typed
from wiremap.rules.dangers import (
    MUST_STAY_METAL,
    OpenDanger,
    dangers_at,
    joined_in_danger,
    names_danger,
    open_dangers,
)
from wiremap.rules.guards import is_loop
from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.scope import joined_with
from wiremap.rules.view import View
from wiremap.trade.dangers import DangerKind, Treatment

SCOPE = Family("scope", Matter.PEOPLE)
TEXTS = "vehicle makers' workshop texts"


def _joined(view: View) -> Iterator[tuple[str, Cavity]]:
    for point in view.joined():
        assert point.cavity is not None
        yield point.address, point.cavity


@SCOPE.stop(
    "class-b",
    acceptable=False,
    source="ISO 6469-3; UN R100",
    what="{a} is joined and belongs to voltage class B ({volts})",
    why="Above 60 V DC or 30 V AC a touch can kill; this work takes other tools and training.",
    fix="Take it out of the job; wiremap does no work on voltage class B.",
)
def class_b(view: View) -> Hits:
    """A joined contact above 60 V DC or 30 V AC by its volts, function or wording, or a supply of
    the job above 60 V.
    """
    for address, cavity in _joined(view):
        if cavity.is_class_b:
            yield view.described_hit(address, volts=_volts(cavity))
        elif names_danger(view, address, DangerKind.HIGH_VOLTAGE):
            yield view.described_hit(address, volts=_said(view, address, DangerKind.HIGH_VOLTAGE))
    supply = view.job.supply
    most = max(supply.volts or 0.0, supply.max_volts or 0.0)
    if most > CLASS_B_DC_VOLTS:
        yield view.hit("supply", place=supply.place, a="the supply", volts=f"{most:g} V")


def _said(view: View, address: str, kind: DangerKind) -> str:
    """The words that name a danger at a contact."""
    return next(f"`{named.said}`" for named in dangers_at(view, address) if named.kind == kind)


def _volts(cavity: Cavity) -> str:
    if cavity.volts_ac:
        return f"{cavity.volts_ac:g} V AC"
    return f"{cavity.volts} V" if cavity.volts else "as described"


@SCOPE.stop(
    "restraint",
    acceptable=False,
    source=TEXTS,
    what="{a} is joined and belongs to a restraint (airbag) or other squib circuit",
    why="Such wiring may fire or fail to fire after any splice; makers forbid work on it.",
    fix="Leave the contact alone: list it under `not_joined` and neither probe nor cut it.",
)
def restraint(view: View) -> Hits:
    """A joined contact that any source or its wording says belongs to a restraint or squib."""
    for address in joined_in_danger(view):
        if names_danger(view, address, DangerKind.RESTRAINT):
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
        what = " and ".join(_untouchable(view, point.address, point.cavity))
        if what:
            yield view.described_hit(point.address, what=what)


def _untouchable(view: View, address: str, cavity: Cavity) -> Iterator[str]:
    if names_danger(view, address, DangerKind.RESTRAINT):
        yield "a restraint (airbag) or other squib circuit"
    if cavity.is_class_b or names_danger(view, address, DangerKind.HIGH_VOLTAGE):
        yield "voltage class B"


@SCOPE.stop(
    "licensed-work",
    licensed=True,
    source="common practice; national rules on brakes, steering, lifting gear and guards",
    what="{kind} ({meaning}): {contacts}{beside}; a licensed person must stand to it by name",
    why="A fault here takes away brakes, steering or a guard, lets a load fall or an engine race.",
    fix="Have a person licensed for this work sign it"
    + typed(" (wiremap sign JOB --by NAME --licensed WHICH)")
    + WORDS_MEAN_ELSE
    + "; or leave the contact out.",
)
def licensed_work(view: View) -> Hits:
    """Joined contacts whose function or wording names brakes, steering, lifting, tipping, slewing,
    a winch, an outrigger, load moment, a power take-off, drive direction or enable, a start
    interlock, operator presence, two-hand or hold-to-run control, an emergency stop, a guard, what
    asks an engine for speed, or gas, one line a kind.
    """
    kinds: dict[DangerKind, list[OpenDanger]] = defaultdict(list)
    for address in joined_in_danger(view):
        for named in dangers_at(view, address):
            if named.treatment == Treatment.LICENSED and not named.lamps_only:
                kinds[named.kind].append(named)
    for kind, found in kinds.items():
        first, *_ = found
        addresses = [named.address for named in found]
        yield view.described_hit(
            *addresses,
            kind=kind.replace("-", " "),
            meaning=first.meaning,
            contacts=", ".join(map(view.name, addresses)),
            beside=joined_with(view, addresses),
            address=first.address,
        )


@SCOPE.stop(
    "guard-left-out",
    licensed=True,
    what="{a} is there for {kind} ({meaning}), and {how}",
    why="What stops the machine in danger acts through its own wire; a message may come late or "
    "never.",
    fix="Carry it through by wire" + WORDS_MEAN_ELSE,
)
def guard_left_out(view: View) -> Hits:
    """An emergency stop, a guard, a start interlock, a load moment cut-out, or what tells that the
    operator is there, left open or meeting nothing but an in-line module.
    """
    for address, found in view.fixed(open_dangers).items():
        point = view.points[address]
        must = (n for n in found if n.kind in MUST_STAY_METAL and not n.lamps_only)
        acting = next(must, None)
        if acting is None or view.idle_tap(point) or is_loop(point):
            continue  # a typed guard loop has rules of its own
        how = _how_lost(view, address)
        if how:
            kind, meaning = acting.kind.replace("-", " "), acting.meaning
            yield view.described_hit(address, kind=kind, meaning=meaning, how=how, address=address)


def _how_lost(view: View, address: str) -> str:
    """How a contact is carried by anything but metal, in words; else empty."""
    if not view.is_joined(address):
        left = view.job.not_joined.get(Address.read(address))
        why = f" ({left.why})" if left is not None and left.why else ""
        return f"is left open{why}"
    sides = {signal.side for signal in view.beside(address)}
    own = view.points[address].end
    if own is not None and own.side != Side.BETWEEN and sides == {Side.BETWEEN}:
        return "ends in an in-line module"
    return ""


@SCOPE.caution(
    "danger-lamp",
    what="{a} only tells of danger ({what}), as a lamp, a display or a counter does",
    why="Somebody relies on it, though it moves nothing.",
    fix="Prove it lit before the machine is used, and sign for it" + SIGN,
)
def danger_lamp(view: View) -> Hits:
    """A joined contact of a lamp, a display or a counter that tells of a danger."""
    for address in joined_in_danger(view):
        lamps = [named for named in dangers_at(view, address) if named.lamps_only]
        if lamps:
            what = " and ".join(named.kind.replace("-", " ") for named in lamps)
            yield view.described_hit(address, what=what)


@SCOPE.caution(
    "engine-stop-asked",
    what="{a} stops the engine: nobody has said whether it is energised to run or to stop",
    why="The emergency stop may act through it; taken for the other kind, the engine runs on.",
    fix="Find out which it is, and say it" + ABOUT_MEANS + "; or sign it" + SIGN,
)
def engine_stop_asked(view: View) -> Hits:
    """A joined contact whose wording names an engine stop or fuel shut-off."""
    for address in joined_in_danger(view):
        if names_danger(view, address, DangerKind.ENGINE_STOP):
            yield view.described_hit(address, address=address)


@SCOPE.caution(
    "door-contact-asked",
    what="{a} is a door contact: nobody has said whether something stops when the door opens",
    why="On one machine it lights a lamp, on the next it keeps hands away from what turns.",
    fix="Say what it does" + ABOUT_MEANS + "; what stops something is a guard; or sign it" + SIGN,
)
def door_contact_asked(view: View) -> Hits:
    """A joined contact whose wording names the contact of a door and no guard."""
    for address in joined_in_danger(view):
        if names_danger(view, address, DangerKind.DOOR) and not is_loop(view.points[address]):
            yield view.described_hit(address, address=address)


@SCOPE.caution(
    "stop-lamps",
    source="common practice; UN R48 on light signals",
    what="{a} feeds the stop lamps",
    why="Following traffic depends on it, though it applies no brake.",
    fix="Prove every stop lamp lit before the machine goes on the road, and sign for it" + SIGN,
)
def stop_lamps(view: View) -> Hits:
    """A joined contact that feeds stop lamps only."""
    for address, cavity in _joined(view):
        lamp = cavity.function == "lamp-feed" and cavity.reading.qualifier("lamp")
        if lamp in ("stop", "brake"):
            yield view.described_hit(address)


@SCOPE.caution(
    "carried-caution",
    source="the pinout itself",
    what="{a}: {caution}",
    why="Whoever wrote the pinout wanted everyone who joins this contact to read it.",
    fix="Read it, act on it, and sign for it" + SIGN,
)
def carried_caution(view: View) -> Hits:
    """A joined contact whose description carries a caution."""
    for address, cavity in _joined(view):
        if cavity.caution:
            yield view.described_hit(address, caution=cavity.caution)
