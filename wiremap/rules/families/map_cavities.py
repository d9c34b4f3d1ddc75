"""Family `map`: every cavity accounted for, once."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.base import Place
from wiremap.evidence.confirmed import BETWEEN_POINTS
from wiremap.graph import Misfit, Net, Point
from wiremap.model import Need, NotJoined
from wiremap.rules.answered import said_already
from wiremap.rules.cure import LET_OPEN, PARTNER, typed
from wiremap.rules.registry import Family, Hit, Hits, Matter
from wiremap.rules.view import View
from wiremap.trade.functions import FUNCTIONS

MAP = Family("map", Matter.BENCH)


def _misfits(view: View, kind: str) -> Iterator[Misfit]:
    return (misfit for misfit in view.harness.misfits if misfit.kind == kind)


@MAP.stop(
    "unknown-cavity",
    what="{where} names {address}, which is nowhere described{near}",
    why="A wire to a contact that does not exist ends up in a neighbour.",
    fix="Write the cavity as its pinout names it: end, dot, cavity.",
)
def unknown_cavity(view: View) -> Hits:
    """A circuit, a `not_joined` or a `fed` entry that names a point that no end or extra has."""
    for misfit in _misfits(view, "unknown-point"):
        near = f"; did you mean {' or '.join(misfit.near)}?" if misfit.near else ""
        where = f"circuit {misfit.circuit}"
        yield view.hit(
            misfit.address,
            misfit.circuit,
            place=misfit.place,
            where=where,
            address=misfit.address,
            near=near,
        )
    for where, address, place in _named_elsewhere(view):
        if address not in view.points:
            yield view.hit(address, place=place, where=where, address=address, near="")


def _named_elsewhere(view: View) -> Iterator[tuple[str, str, Place | None]]:
    for address, left in view.job.not_joined.items():
        yield "not_joined", address, left.place
    for end in view.job.ends.values():
        for cavity, fed in end.fed.items():
            yield f"{end.name}: fed", f"{end.name}.{cavity}", fed.place or end.place


@MAP.stop(
    "cavity-used-twice",
    what="{a} stands in circuit {one} and again in {other}",
    why="One contact belongs to one circuit; two circuits at one contact become one by accident.",
    fix="Take it out of one of them, or make the two one circuit if that is what you want.",
)
def cavity_used_twice(view: View) -> Hits:
    """A contact named in two circuits, or twice in one."""
    for misfit in _misfits(view, "used-twice"):
        yield view.hit(
            misfit.address,
            misfit.circuit,
            place=misfit.place,
            also=((misfit.other, "first named here"),) if misfit.other else (),
            one=misfit.other_circuit,
            other=misfit.circuit,
        )


@MAP.stop(
    "wire-needed",
    what="no wire is told for {points}, and none comes with {address}",
    why="A contact that is crimped by hand needs a wire to crimp.",
    fix="Say which, and how long"
    + typed(': wiremap next JOB --about "{points}.wire" --answer "1.0 RD, 400 mm"'),
)
def wire_needed(view: View) -> Hits:
    """A circuit between contacts that bring no wire of their own, and that names none."""
    for misfit in _misfits(view, "wire-needed"):
        yield _circuit_misfit(view, misfit)


@MAP.stop(
    "one-point",
    what="circuit {circuit} has a single point",
    why="A wire with one end joins nothing.",
    fix="Name the other point, or list this one under `not_joined`.",
)
def one_point(view: View) -> Hits:
    """A circuit that joins fewer than two points."""
    for misfit in _misfits(view, "one-point"):
        yield _circuit_misfit(view, misfit)


def _circuit_misfit(view: View, misfit: Misfit) -> Hit:
    name = misfit.circuit
    join = next((each.join for each in view.job.circuits if each.id == name), ())
    points = BETWEEN_POINTS.join(join)
    return view.hit(name, place=misfit.place, circuit=name, address=misfit.address, points=points)


@MAP.stop(
    "cavity-forgotten",
    what="{a} is neither joined nor listed under `not_joined`",
    why="A contact that nobody thought of is the one that is wrong later.",
    fix="Say what it goes with, or that it is left alone"
    + typed(": wiremap next JOB --about {a}.partner")
    + "; it must be joined, or listed with how it is treated (blank, cap, leave){said}",
)
def cavity_forgotten(view: View) -> Hits:
    """A cavity that no circuit names and no written decision leaves out; an unused one is
    exempt.
    """
    for point in view.harness.not_joined():
        assert point.cavity is not None
        if point.address not in view.job.not_joined and not point.cavity.unused:
            yield view.hit(point.address, place=point.place, said=said_already(view, point.address))


@MAP.stop(
    "joined-yet-left-out",
    what="{a} is joined in circuit {circuit}, yet stands under `not_joined`",
    why="Of two opposite statements the bench may follow either.",
    fix="Strike one of the two.",
)
def joined_yet_left_out(view: View) -> Hits:
    """A contact that is joined and also listed as not joined."""
    for address, left in view.job.not_joined.items():
        circuit = view.circuit_of(address)
        if circuit is None:
            continue
        place = view.place_of(address)
        also = ((place, "joined here"),) if place else ()
        yield view.hit(address, place=left.place, also=also, circuit=circuit.id)


@MAP.stop(
    "needed-signal-open",
    matter=Matter.WORKING,
    what="{a} is needed ({need}) but {how}",
    why="Without this signal the unit or the machine is not whole.",
    fix="Say what it goes with" + PARTNER + LET_OPEN,
)
def needed_signal_open(view: View) -> Hits:
    """A contact with `need: must`, or a unit's supply or ground, that is not joined, or whose
    signal finds no partner, in-line units counted through.
    """
    for point in view.points.values():
        need = _need(point)
        how = _how_open(view, point) if need else ""
        if how and not view.idle_tap(point):
            told = {"need": need, "how": how, "said": said_already(view, point.address)}
            yield view.described_hit(point.address, address=point.address, **told)


def _need(point: Point) -> str:
    """Why a contact must be joined, in words; else empty."""
    cavity, end = point.cavity, point.end
    if cavity is None or end is None:
        return ""
    if cavity.need == Need.MUST:
        return "need: must"
    if end.is_machine or "need" in cavity.places:
        return ""
    if FUNCTIONS[cavity.function].electrical == "supply":
        return "a unit's supply"
    return "a unit's ground" if cavity.function == "power-ground" else ""


def _how_open(view: View, point: Point) -> str:
    """How a contact is left without its partner, in words; else empty."""
    address = point.address
    left_out = "is left out"
    if address in view.job.not_joined:
        return left_out
    if not view.is_joined(address):
        unused = point.cavity is not None and point.cavity.unused
        return left_out if unused else ""  # any other is told as forgotten
    if _finds_partner(view, point):
        return ""
    return "its signal ends before it reaches another unit or the machine"


def _finds_partner(view: View, point: Point) -> bool:
    """Whether a signal arrives somewhere, in-line units counted through."""
    if FUNCTIONS[point.function].electrical == "coding":
        return True  # the chain family asks what it selects
    metal = view.net_of(point.address)
    if _has_partner_on(view, point, metal):
        return True
    intent = view.harness.intents.of(point.address)
    return len(intent.points) > len(metal.points) and _has_partner_on(view, point, intent)


def _has_partner_on(view: View, point: Point, net: Net) -> bool:
    passing = view.fixed(_passing)
    if any(_is_partner(point, view.points[address], passing) for address in net.points):
        return True
    return any(signal.owner != point.owner for signal in view.beyond(net))


def _is_partner(point: Point, other: Point, passing: frozenset[str]) -> bool:
    if other.kind in ("stud", "chassis"):
        return True
    if other.cavity is None or other.owner == point.owner:
        return False
    if other.address in passing:
        return False
    # a drain carries no current, and is no way back for a ground that has found nothing else
    return other.function != "shield" or point.function == "shield"


def _passing(view: View) -> frozenset[str]:
    """Contacts of in-line units through which a signal only passes."""
    addresses: set[str] = set()
    for end in view.job.ends.values():
        for pair in end.pinout.bridges:
            for segment in pair:
                cavities = end.pinout.segments.get(segment, ())
                addresses.update(f"{end.name}.{cavity}" for cavity in cavities)
    return frozenset(addresses)


@MAP.caution(
    "left-out-unexplained",
    matter=Matter.HOUSE,
    what="{a} is not joined, but {lack}",
    why="The next person cannot tell a decision from a slip, and a loose end finds something to "
    "touch.",
    fix="Say what is done with it (blank, cap or leave) and why"
    + typed(': wiremap next JOB --about {a}.treat --answer blank --how "..." --by NAME'),
)
def left_out_unexplained(view: View) -> Hits:
    """A `not_joined` entry without a reason or without a treatment."""
    for address, left in view.job.not_joined.items():
        lack = " or ".join(_lack(left))
        if lack and address in view.points:
            yield view.hit(address, place=left.place, lack=f"nothing tells {lack}")


def _lack(left: NotJoined) -> Iterator[str]:
    if not left.why.strip():
        yield "why"
    if not left.treat:
        yield "how it is treated"
