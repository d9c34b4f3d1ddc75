"""Family `bus`: the cable itself: twist, branches, shield."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from wiremap.graph import Conductor, Net
from wiremap.model import CHASSIS, Circuit
from wiremap.rules.cure import typed
from wiremap.rules.limits import limit
from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.segments import ends_itself
from wiremap.rules.signals import Signal
from wiremap.rules.sized import sizes
from wiremap.rules.twists import bus_circuits, high_half, shared_twist, twists_of
from wiremap.rules.view import View
from wiremap.trade.functions import PAIR_HALVES

BUS = Family("bus", Matter.WORKING)
NOT_TOLD_MM = 0.0  # what nobody tells is judged by nothing
PAIR_REPAIR = "vehicle workshop texts on repairing a pair, read"


def _new_mm(view: View, circuit: Circuit) -> list[float]:
    """The lengths that are told of a circuit's new wires [mm]."""
    conductors = view.harness.conductors_by_circuit.get(circuit.id, ())
    return [c.length_mm for c in conductors if c.is_new and c.length_mm is not None]


def _untwisted_mm(view: View, one: Circuit, two: Circuit) -> float:
    """How far the legs of a pair are known to lie without twist [mm]."""
    new = max([*_new_mm(view, one), *_new_mm(view, two)], default=NOT_TOLD_MM)
    twist = shared_twist(view, one, two)
    if twist is None:
        return new
    if twist.untwisted_mm is not None:
        return twist.untwisted_mm
    return new - twist.mm if twist.mm is not None else NOT_TOLD_MM


@BUS.caution(
    "untwisted",
    source=PAIR_REPAIR,
    what="{a} and {b} lie {mm} mm without twist; {most:g} mm is the most at {rate}",
    why="A piece without twist picks up noise that the pair cannot cancel, the more the faster it "
    "is.",
    fix="Twist the new piece up to the joints, and say how much stays untwisted"
    + typed(": wiremap next JOB --about {high}.untwisted_mm")
    + ".",
)
def untwisted(view: View) -> Hits:
    """The wires of a pair lie farther without twist than their bit rate allows."""
    for one, two in bus_circuits(view):
        mm = _untwisted_mm(view, one, two)
        rate = _rate(view, one)
        slow = rate is not None and rate <= limit("slow-kbit-s")
        most = limit("untwisted-slow-mm") if slow else limit("untwisted-mm")
        if mm > most:
            told = "an unstated rate" if rate is None else f"{rate:g} kbit/s"
            facts: dict[str, Any] = {"mm": f"{mm:g}", "rate": told, "high": high_half(view, one)}
            hit = view.hit(one.id, two.id, place=two.place, most=most, **facts)
            yield replace(hit, alike=told)


def _rate(view: View, circuit: Circuit) -> float | None:
    """The fastest rate that is stated on a circuit's metal [kbit/s]."""
    rates = []
    for address in circuit.join:
        if address in view.points:
            rates += [s.kbit_s for s in view.signals(view.net_of(address)) if s.kbit_s is not None]
    return max(rates, default=None)


def _most_stub_mm(signals: list[Signal]) -> float:
    """The longest stub that the fastest stated rate allows [mm]."""
    rate = max((s.kbit_s for s in signals if s.kbit_s), default=None)
    if rate is not None and rate <= limit("slow-kbit-s"):
        return limit("stub-slow-mm")
    return limit("stub-mm")


@BUS.caution(
    "bus-stub",
    source="SAE J1939-11 and ISO 11898 limits, read in makers' manuals",
    what="{a} hangs on the bus by a stub of {mm} mm; {most} mm is the most at this rate",
    why="A branch reflects every edge; the longer it is, the more the bus errs.",
    fix="Lead the pair in and out of the unit, shorten the branch, or end the bus beyond it.",
)
def bus_stub(view: View) -> Hits:
    """A branch from a bus that stays in service, from a joint of three, or beyond a terminator
    across the joint, longer than its bit rate allows.
    """
    for signals in [*_branched(view), *_beyond_terminators(view)]:
        most = _most_stub_mm(signals)
        for signal in signals:
            mm = _stub_mm(view, signal)
            if not signal.is_machine and mm > most:
                hit = view.hit(signal.address, mm=f"{mm:g}", most=f"{most:g}")
                yield replace(hit, alike=f"{most:g}")


def _stub_mm(view: View, signal: Signal) -> float:
    """The wire between a bus contact and where it branches off, as far as it is told [mm]."""
    circuit = view.circuit_of(signal.address)
    if circuit is None or view.points[signal.address].is_tap:
        return NOT_TOLD_MM
    mm = NOT_TOLD_MM
    for conductor in view.harness.conductors_by_circuit.get(circuit.id, ()):
        own = conductor.point == signal.address and (conductor.is_new or conductor.is_tail)
        shared = conductor.point is None and conductor.is_new
        if own or shared:
            mm += _lies_mm(view, conductor)
    return mm


def _lies_mm(view: View, conductor: Conductor) -> float:
    """How long a wire lies between its ends: as it is cut, less what is kept for remakes [mm]."""
    cut = sizes(view).cuts.get(conductor.id)
    if cut is not None:
        return cut.mm - cut.slack_mm
    return conductor.length_mm or NOT_TOLD_MM


def _beyond_terminators(view: View) -> Iterator[list[Signal]]:
    """The bus contacts that a joint with a terminator across it leaves on a branch.

    The line ends at the terminator; a contact with one of its own is the line's other end.
    """
    for net, carried in view.carried:
        signals = [s for s in carried if s.row.slug in PAIR_HALVES]
        if net.circuits and len(signals) == 2 and _terminated(view, net):
            yield [s for s in signals if not ends_itself(view, s.address)]


def _terminated(view: View, net: Net) -> bool:
    """Whether a resistor of the job ties a metal to the other leg of its pair."""
    return any(s.row.slug in PAIR_HALVES for s in _behind_resistors(view, net))


def _behind_resistors(view: View, net: Net) -> Iterator[Signal]:
    for extra in view.extras(net, "resistor"):
        for leg in extra.legs:
            if leg not in net:
                yield from view.signals(view.net_of(leg))


def _branched(view: View) -> Iterator[list[Signal]]:
    """The bus contacts of every metal that is not a plain wire from one contact to another."""
    for net, carried in view.carried:
        signals = [s for s in carried if s.row.slug in PAIR_HALVES]
        tapped = any(view.points[s.address].is_tap for s in signals)
        if net.circuits and len(signals) > (1 if tapped else 2):
            yield signals


@BUS.caution(
    "bus-star",
    source="ISO 11898-2; common practice",
    what="{n} bus contacts are connected at {a}: a star instead of a line",
    why="A bus is one line from terminator to terminator; a star reflects at every joint.",
    fix="Lead the pair from one unit to the next, in and out.",
)
def bus_star(view: View) -> Hits:
    """Three or more bus contacts that are connected."""
    for signals in _branched(view):
        if len(signals) > 2:
            place = view.place_of(signals[-1].address)
            yield view.hit(*(s.address for s in signals), place=place, n=len(signals))


@BUS.caution(
    "drain-grounds",
    source="SAE J1939-11; common practice",
    what="the shield at {a} is grounded {n}: {where}",
    why="A drain is grounded once per segment: nowhere it is no shield, twice it carries ground "
    "current.",
    fix="Ground it at one place and leave every other end open and insulated.",
)
def drain_grounds(view: View) -> Hits:
    """A joined shield that meets ground nowhere, or at more than one place."""
    for net in view.harness.bench:  # studs taken as places of their own, not as one chassis
        shields = [s.address for s in view.signals(net) if s.row.electrical == "shield"]
        if not shields or not net.circuits:
            continue
        places = _grounds(view, net)
        if len(places) != 1:
            nowhere = "no ground is connected with it or known inside its units"
            yield view.hit(*shields, n=_times(len(places)), where=", ".join(places) or nowhere)


def _times(count: int) -> str:
    return {0: "nowhere", 2: "twice"}.get(count, f"{count} times")


def _grounds(view: View, net: Net) -> list[str]:
    """The ways from a shield's metal to ground: contacts, studs, links inside units."""
    ways = [address for address in net.points if _is_ground(view, address)]
    ways += [address for address in net.points if view.points[address].kind == "stud"]
    for mine in net.points:
        if mine in ways:
            continue  # its own way to the chassis is no second one
        for other, end in view.once(_few_ohms).get(mine, ()):
            grounded = other == CHASSIS or _is_ground(view, other)
            if grounded and other not in net:
                ways.append(f"inside {end} ({mine} to {other})")
    return ways


def _few_ohms(view: View) -> dict[str, list[tuple[str, str | None]]]:
    """What lies a few ohms away from each point, inside a unit or behind a loom."""
    near: dict[str, list[tuple[str, str | None]]] = defaultdict(list)
    for bond in view.harness.active_bonds():
        if bond.origin in ("inside", "behind") and bond.ohms.high <= limit("drain-ohms"):
            near[bond.a].append((bond.b, bond.end))
            near[bond.b].append((bond.a, bond.end))
    return near


def _is_ground(view: View, address: str) -> bool:
    signal = view.signal(address)
    return signal is not None and signal.row.electrical == "ground" and address != CHASSIS


@BUS.caution(
    "twist-mixed",
    what="{what}",
    why="Two wires that are not the halves of one pair do not cancel each other's noise, though "
    "every beep is right.",
    fix="Put both wires of a pair, and only them, into one twist.",
)
def twist_mixed(view: View) -> Hits:
    """The wires of one pair in two sheaths, or a twist that holds one wire of each of two pairs."""
    twists = view.fixed(twists_of)
    for one, two in bus_circuits(view):
        mine, other = twists.get(one.id, []), twists.get(two.id, [])
        guilty = other or mine
        if guilty and not set(mine) & set(other):
            told = f"{_lies_in(one, mine)}, {_lies_in(two, other)}"
            what = f"{told}: the wires of one pair in two sheaths"
            yield view.hit(one.id, two.id, place=view.job.twists[guilty[0]].place, what=what)


def _lies_in(circuit: Circuit, twists: list[str]) -> str:
    where = f"twist {twists[0]}" if twists else "no twist"
    return f"{circuit.id} lies in {where}"
