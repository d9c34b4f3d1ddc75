"""Family `map`: every cavity accounted for, every doubt settled, every source heard."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from wiremap.base import Severity
from wiremap.graph import Misfit, Net, Point
from wiremap.model import Address, Cavity, Circuit
from wiremap.rules.clash import TELLING
from wiremap.rules.metal import beyond
from wiremap.rules.registry import Hit, rule
from wiremap.rules.view import View
from wiremap.trade.functions import FUNCTIONS

COMMON = "common practice"


def _misfits(view: View, kind: str) -> Iterator[Misfit]:
    return (m for m in view.harness.misfits if m.kind == kind)


@rule(
    "unknown-cavity",
    Severity.STOP,
    family="map",
    source=COMMON,
    what="{where} names {address}, which is nowhere described{near}",
    why="A wire to a contact that does not exist ends up in a neighbour.",
    fix="Write the cavity as its pinout names it: end, dot, cavity.",
)
def unknown_cavity(view: View) -> Iterator[Hit]:
    """A circuit, a `not_joined` or a `fed` entry that names a point that no end or extra has."""
    for m in _misfits(view, "unknown-point"):
        near = f"; did you mean {' or '.join(m.near)}?" if m.near else ""
        yield Hit(
            m.place,
            (m.address, m.circuit),
            {"where": f"circuit {m.circuit}", "address": m.address, "near": near},
        )
    for address, left in view.job.not_joined.items():
        if address not in view.points:
            yield Hit(
                left.place, (address,), {"where": "not_joined", "address": address, "near": ""}
            )
    for end in view.job.ends.values():
        for cavity, fed in end.fed.items():
            address = Address(end.name, cavity)
            if address not in view.points:
                yield Hit(
                    fed.place or end.place,
                    (address,),
                    {"where": f"{end.name}: fed", "address": address, "near": ""},
                )


@rule(
    "cavity-used-twice",
    Severity.STOP,
    family="map",
    source=COMMON,
    what="{address} stands in circuit {one} and again in {other}",
    why="One contact belongs to one circuit; two circuits at one contact are one metal by accident.",
    fix="Take it out of one of them, or make the two one circuit if that is what you want.",
)
def cavity_used_twice(view: View) -> Iterator[Hit]:
    """A contact named in two circuits, or twice in one."""
    for m in _misfits(view, "used-twice"):
        yield Hit(
            m.place,
            (m.address, m.circuit),
            {"address": view.name(m.address), "one": m.other_circuit, "other": m.circuit},
            ((m.other, "first named here"),) if m.other else (),
        )


@rule(
    "wire-needed",
    Severity.STOP,
    family="map",
    source=COMMON,
    what="circuit {circuit} joins {address} without a wire: no tail comes with it",
    why="A contact that is crimped by hand needs a wire to crimp.",
    fix="Add `wire:` with size and colour, and `length_mm:`.",
)
def wire_needed(view: View) -> Iterator[Hit]:
    """A circuit between contacts that bring no wire of their own, and that names none."""
    for m in _misfits(view, "wire-needed"):
        yield Hit(m.place, (m.circuit,), {"circuit": m.circuit, "address": m.address})


@rule(
    "one-point",
    Severity.STOP,
    family="map",
    source=COMMON,
    what="circuit {circuit} has a single point",
    why="A wire with one end joins nothing.",
    fix="Name the other point, or list this one under `not_joined`.",
)
def one_point(view: View) -> Iterator[Hit]:
    """A circuit that joins fewer than two points."""
    for m in _misfits(view, "one-point"):
        yield Hit(m.place, (m.circuit,), {"circuit": m.circuit})


@rule(
    "cavity-forgotten",
    Severity.STOP,
    family="map",
    source=COMMON,
    what="{a} is neither joined nor listed under `not_joined`",
    why="A contact that nobody thought of is the one that is wrong later.",
    fix="Join it, or write under `not_joined` why not and how it is treated (blank, cap, leave).",
)
def cavity_forgotten(view: View) -> Iterator[Hit]:
    """A cavity that no circuit names and no written decision leaves out; an unused one is exempt."""
    for point in view.harness.not_joined():
        assert point.cavity is not None
        if point.address not in view.job.not_joined and not point.cavity.unused:
            yield Hit(point.place, (point.address,), {"a": view.name(point.address)})


@rule(
    "joined-yet-left-out",
    Severity.STOP,
    family="map",
    source=COMMON,
    what="{a} is joined in circuit {circuit}, yet stands under `not_joined`",
    why="Of two opposite statements the bench may follow either.",
    fix="Strike one of the two.",
)
def joined_yet_left_out(view: View) -> Iterator[Hit]:
    """A contact that is joined and also listed as not joined."""
    for address, left in view.job.not_joined.items():
        ids = view.harness.circuits_at(address)
        if ids:
            place = view.place_of(address)
            yield Hit(
                left.place,
                (address,),
                {"a": view.name(address), "circuit": ids[0]},
                ((place, "joined here"),) if place else (),
            )


@rule(
    "needed-signal-open",
    Severity.STOP,
    family="map",
    source=COMMON,
    what="{a} is needed (need: must) but {how}",
    why="Without this signal the unit or the machine is not whole.",
    fix="Join it through to its partner, or set `need: may` in the pinout if the leaflet says so.",
)
def needed_signal_open(view: View) -> Iterator[Hit]:
    """A contact with `need: must` that is not joined, or whose signal finds no home, in-line units counted through."""
    for point in view.points.values():
        cavity = point.cavity
        if (
            cavity is None
            or cavity.need != "must"
            or (point.is_tap and not view.harness.circuits_at(point.address))
        ):
            continue
        if point.address in view.job.not_joined or not view.harness.circuits_at(point.address):
            if point.address in view.job.not_joined or cavity.unused:  # else told as forgotten
                yield Hit(
                    view.place_of(point.address),
                    (point.address,),
                    {"a": view.name(point.address), "how": "is left out"},
                    view.described(point.address),
                )
        elif not _finds_home(view, point):
            yield Hit(
                view.place_of(point.address),
                (point.address,),
                {
                    "a": view.name(point.address),
                    "how": "its signal ends before it reaches another unit or the machine",
                },
                view.described(point.address),
            )


def _finds_home(view: View, point: Point) -> bool:
    if view.signal(point.address) is not None and FUNCTIONS[point.function].electrical == "coding":
        return True  # the chain family asks what it selects
    metal = view.net_of(point.address)
    if _home_on(view, point, metal):
        return True
    intent = view.harness.intents.of(point.address)
    return len(intent.points) > len(metal.points) and _home_on(view, point, intent)


def _home_on(view: View, point: Point, net: Net) -> bool:
    passed = view.fixed(_passing)
    for address in net.points:
        other = view.points[address]
        if other.kind in ("stud", "chassis"):
            return True
        if (
            other.cavity is not None
            and other.owner != point.owner
            and address not in passed
            and _is_home(point, other)
        ):
            return True
    return any(s.owner != point.owner for s in beyond(view, net))


def _is_home(point: Point, other: Point) -> bool:
    """A drain is no home for a current, nor is a ground that has found nothing but a drain."""
    return other.function != "shield" or point.function == "shield"


def _passing(view: View) -> frozenset[str]:
    """Contacts of in-line units through which a signal only passes."""
    found = set()
    for end in view.job.ends.values():
        for pair in end.pinout.bridges:
            for segment in pair:
                found |= {f"{end.name}.{c}" for c in end.pinout.segments.get(segment, ())}
    return frozenset(found)


@rule(
    "left-out-unexplained",
    Severity.CAUTION,
    family="map",
    source=COMMON,
    what="{a} is not joined, but {lack}",
    why="The next person cannot tell a decision from a slip, and a loose end finds something to touch.",
    fix="Write `why` and `treat` (blank, cap or leave) under `not_joined`.",
)
def left_out_unexplained(view: View) -> Iterator[Hit]:
    """A `not_joined` entry without a reason or without a treatment."""
    for address, left in view.job.not_joined.items():
        lack = [
            w for w, v in (("why", left.why.strip()), ("how it is treated", left.treat)) if not v
        ]
        if lack and address in view.points:
            yield Hit(
                left.place,
                (address,),
                {"a": view.name(address), "lack": f"nothing tells {' or '.join(lack)}"},
            )


def _graded(view: View, grade: str) -> Iterator[Hit]:
    for circuit in view.job.circuits:
        if circuit.grade == grade and circuit.id not in view.confirmed:
            because = "; ".join(circuit.because)
            yield Hit(
                circuit.at("grade"),
                (circuit.id,),
                {
                    "circuit": circuit.id,
                    "points": " - ".join(circuit.join),
                    "because": f": {because}" if because else "",
                    "stale": _stale(view, circuit),
                },
            )


def _stale(view: View, circuit: Circuit) -> str:
    entries = [c for c in view.job.confirmed if c.circuit == circuit.id]
    if not entries:
        return ""
    if all(e.of is not None for e in entries):
        return " (it was confirmed for other points)"
    return " (the entry under `confirmed` lacks who, when or how)"


@rule(
    "ask-unsettled",
    Severity.STOP,
    family="map",
    source=COMMON,
    what="circuit {circuit} ({points}) is graded `ask` and nobody has settled it{stale}{because}",
    why="The proposal could not tell that both are the same signal.",
    fix="Find out at the machine and write under `confirmed` who, when and how.",
)
def ask_unsettled(view: View) -> Iterator[Hit]:
    """A circuit graded `ask` without a named person's settlement."""
    yield from _graded(view, "ask")


@rule(
    "likely-unsettled",
    Severity.CAUTION,
    family="map",
    source=COMMON,
    what="circuit {circuit} ({points}) is only `likely`{stale}{because}",
    why="One soft point speaks against it.",
    fix="Check that point and write under `confirmed` who, when and how, or sign the finding.",
)
def likely_unsettled(view: View) -> Iterator[Hit]:
    """A circuit graded `likely` without a named person's settlement."""
    yield from _graded(view, "likely")


@rule(
    "settlement-stale",
    Severity.STOP,
    family="map",
    source=COMMON,
    what="the settlement of circuit {circuit} was made for other points than it joins now",
    why="Whoever settled it looked at another joint.",
    fix="Settle it again for the points as they stand, or put the old points back.",
)
def settlement_stale(view: View) -> Iterator[Hit]:
    """A `confirmed` entry whose fingerprint no longer fits its circuit, where the grade does not already hold."""
    graded = {c.id for c in view.job.circuits if c.grade == "ask"}
    for entry in view.job.confirmed:
        if (
            entry.of is not None
            and entry.circuit not in view.confirmed
            and entry.circuit not in graded
        ):
            circuit = next((c for c in view.job.circuits if c.id == entry.circuit), None)
            if circuit is not None:
                yield Hit(
                    entry.place,
                    (entry.circuit,),
                    {"circuit": entry.circuit},
                    ((circuit.place, "the circuit"),) if circuit.place else (),
                )


@rule(
    "joined-to-nothing",
    Severity.STOP,
    family="map",
    source=COMMON,
    what="{a} is joined although its description says {what}",
    why="Where nothing should be, the paper is wrong or the wire goes astray.",
    fix="Check the cavity; describe what is there, or take it out of the circuit.",
)
def joined_to_nothing(view: View) -> Iterator[Hit]:
    """A joined contact that is unused, reserved or left to the maker's discretion, or whose hole was found empty."""
    for point in view.joined():
        cavity = point.cavity
        assert cavity is not None
        if FUNCTIONS[cavity.function].electrical == "nothing" or cavity.as_found == "empty":
            what = "the hole is empty" if cavity.as_found == "empty" else cavity.function
            yield Hit(
                view.place_of(point.address),
                (point.address,),
                {"a": view.name(point.address), "what": what},
                view.described(point.address),
            )


@rule(
    "unknown-joined",
    Severity.STOP,
    family="map",
    source=COMMON,
    what="{a} is joined, but nobody has said what it is for",
    why="An unknown contact may be anything, a supply included.",
    fix="Find out its function, or let a named person confirm the circuit and say how it was found.",
)
def unknown_joined(view: View) -> Iterator[Hit]:
    """A joined contact of unknown function in a circuit that no named person has settled."""
    for point in view.joined():
        if (
            point.function == "unknown"
            and not set(view.harness.circuits_at(point.address)) <= view.confirmed
        ):
            yield Hit(
                view.place_of(point.address),
                (point.address,),
                {"a": view.name(point.address)},
                view.described(point.address),
            )


@rule(
    "twins-unsettled",
    Severity.STOP,
    family="map",
    source=COMMON,
    what="{a} and {b} are joined, but {end} has {n} contacts like it ({twins}) and the words do not tell which is meant",
    why="Like signals exchanged work the wrong axle, lamp or valve, and nothing else shows it.",
    fix="Tell them apart at the machine and write under `confirmed` who, when and how.",
)
def twins_unsettled(view: View) -> Iterator[Hit]:
    """Drives, inputs or lamps of one function whose wordings differ, where the other connector offers several alike."""
    twins = view.fixed(_twins)
    for circuit in view.job.circuits:
        if circuit.id in view.confirmed or circuit.grade in ("certain", "likely", "ask"):
            continue
        cavities = [
            p
            for a in circuit.join
            if (p := view.points.get(a)) is not None and p.cavity is not None
        ]
        for one in cavities:
            hit = next(
                (
                    h
                    for two in cavities
                    if two.owner != one.owner
                    and (h := _twin_hit(view, circuit, one, two, twins)) is not None
                ),
                None,
            )
            if hit is not None:
                yield hit
                break


Twins = dict[tuple[str, str, tuple[tuple[str, str], ...]], list[Point]]


def _twin_key(point: Point) -> tuple[str, str, tuple[tuple[str, str], ...]]:
    assert point.cavity is not None
    return (
        point.owner,
        point.function,
        tuple(q for q in point.cavity.reading.qualifiers if q[0] in TELLING),
    )


def _twins(view: View) -> Twins:
    found: Twins = defaultdict(list)
    for point in view.points.values():
        if point.cavity is not None and FUNCTIONS[point.function].electrical in (
            "drive",
            "input",
            "lamp",
            "speaker",
        ):
            found[_twin_key(point)].append(point)
    return found


def _twin_hit(view: View, circuit: Circuit, one: Point, two: Point, twins: Twins) -> Hit | None:
    a, b = one.cavity, two.cavity
    assert a is not None and b is not None
    if one.function != two.function or _words(a) == _words(b) or (a.mark and a.mark == b.mark):
        return None
    alike = twins.get(_twin_key(two), [])
    if len(alike) < 2 or len(twins.get(_twin_key(one), [])) < 2:
        return None
    return Hit(
        circuit.place,
        (circuit.id,),
        {
            "a": view.name(one.address),
            "b": view.name(two.address),
            "end": two.owner,
            "n": len(alike),
            "twins": ", ".join(p.address for p in alike),
        },
        view.described(one.address, two.address),
    )


def _words(cavity: Cavity) -> tuple[str, ...]:
    return tuple(sorted(w.casefold() for w in cavity.reading.unexplained)) or ("",)
