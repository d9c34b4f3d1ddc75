"""Family `bus`, the cable: twist, branches, shield."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from wiremap.base import Severity
from wiremap.graph import Net
from wiremap.model import CHASSIS, Circuit
from wiremap.rules.bus import halves
from wiremap.rules.clash import PAIRED
from wiremap.rules.registry import Hit, rule
from wiremap.rules.signals import Signal
from wiremap.rules.view import View

LONGER_MM, FAR_MM = 50.0, 100.0  # vehicle workshop texts on repairing a pair, read
STUB_MM = (
    (250.0, 1000.0),
    (1000.0, 300.0),
)  # up to kbit/s: longest stub; SAE J1939-11 and ISO 11898, read
FEW_OHMS = 1.0  # a drain's way to ground


def _twist_of(view: View) -> dict[str, list[str]]:
    found: dict[str, list[str]] = defaultdict(list)
    for name, twist in view.job.twists.items():
        for circuit in twist.circuits:
            found[circuit].append(name)
    return found


def _new_mm(view: View, circuit: Circuit) -> float | None:
    """The longest new wire of a circuit; None where none is new or its length is not told."""
    lengths = [
        c.length_mm
        for c in view.harness.conductors_by_circuit.get(circuit.id, ())
        if c.origin == "new"
    ]
    known = [x for x in lengths if x is not None]
    return max(known) if known else None


def _bus_circuits(view: View) -> Iterator[tuple[Circuit, Circuit]]:
    """The circuits of the two legs of each joined pair, once."""
    seen = set()
    for pair in view.fixed(halves).pairs:
        ids = [view.harness.circuits_at(leg.address) for leg in pair.legs]
        if ids[0] and ids[1] and ids[0][0] != ids[1][0] and (ids[0][0], ids[1][0]) not in seen:
            seen.add((ids[0][0], ids[1][0]))
            yield view.harness.circuit(ids[0][0]), view.harness.circuit(ids[1][0])


def _untwisted(view: View) -> Iterator[tuple[Circuit, Circuit, float]]:
    by_circuit = view.fixed(_twist_of)
    for one, two in _bus_circuits(view):
        both = set(by_circuit.get(one.id, ())) & set(by_circuit.get(two.id, ()))
        lengths = [x for x in (_new_mm(view, one), _new_mm(view, two)) if x is not None]
        if both:
            twist = view.job.twists[sorted(both)[0]]
            if twist.untwisted_mm is not None:
                yield one, two, twist.untwisted_mm
            elif lengths and twist.mm is not None and max(lengths) > twist.mm:
                yield one, two, max(lengths) - twist.mm
        elif lengths:
            yield one, two, max(lengths)


def _untwisted_hit(view: View, one: Circuit, two: Circuit, mm: float) -> Hit:
    return Hit(two.place, (one.id, two.id), {"a": one.id, "b": two.id, "mm": f"{mm:g}"})


@rule(
    "untwisted",
    Severity.CAUTION,
    family="bus",
    source="vehicle workshop texts on repairing a pair, read",
    what="{a} and {b} lie {mm} mm without twist, more than 50 mm",
    why="A piece without twist picks up noise that the pair cannot cancel.",
    fix="Twist the new piece up to the joints and write it under `twists`.",
)
def untwisted(view: View) -> Iterator[Hit]:
    """The legs of a pair lie more than 50 and up to 100 mm without twist."""
    for one, two, mm in _untwisted(view):
        if LONGER_MM < mm <= FAR_MM:
            yield _untwisted_hit(view, one, two, mm)


@rule(
    "untwisted-far",
    Severity.STOP,
    family="bus",
    source="vehicle workshop texts on repairing a pair, read",
    what="{a} and {b} lie {mm} mm without twist, more than 100 mm",
    why="That much without twist makes a bus fail now and then, which nobody finds later.",
    fix="Twist the new piece up to the joints and write it under `twists`.",
)
def untwisted_far(view: View) -> Iterator[Hit]:
    """The legs of a pair lie more than 100 mm without twist."""
    for one, two, mm in _untwisted(view):
        if mm > FAR_MM:
            yield _untwisted_hit(view, one, two, mm)


def _most_stub_mm(rate: float | None) -> float:
    for upto, longest in STUB_MM:
        if rate is not None and rate <= upto:
            return longest
    return STUB_MM[-1][1]


@rule(
    "bus-stub",
    Severity.CAUTION,
    family="bus",
    source="SAE J1939-11 and ISO 11898 limits, read in makers' manuals",
    what="{a} hangs on the bus by a stub of {mm} mm; {most} mm is the most at this rate",
    why="A branch reflects every edge; the longer it is, the more the bus errs.",
    fix="Cut the pair and lead it in and out of the unit, or shorten the branch.",
)
def bus_stub(view: View) -> Iterator[Hit]:
    """A branch from a bus that stays in service, or from a joint of three, longer than its bit rate allows."""
    for _, signals in _branched(view):
        rate = max((s.kbit_s for s in signals if s.kbit_s), default=None)
        for s in signals:
            point = view.points[s.address]
            circuit = view.circuit_of(s.address)
            if circuit is None or point.is_tap:
                continue
            lengths = [
                c.length_mm
                for c in view.harness.conductors_by_circuit.get(circuit.id, ())
                if (c.origin == "new" and c.point in (None, s.address))
                or (c.origin == "tail" and c.point == s.address)
            ]
            mm = sum(x for x in lengths if x is not None)
            if s.side != "machine" and mm > _most_stub_mm(rate):
                yield Hit(
                    view.place_of(s.address),
                    (s.address,),
                    {
                        "a": view.name(s.address),
                        "mm": f"{mm:g}",
                        "most": f"{_most_stub_mm(rate):g}",
                    },
                )


def _branched(view: View) -> Iterator[tuple[Net, list[Signal]]]:
    for net in view.nets:
        if not net.circuits:
            continue
        signals = [s for s in view.signals(net) if s.row.slug in PAIRED]
        if len(signals) > 2 or (
            len(signals) == 2 and any(view.points[s.address].is_tap for s in signals)
        ):
            yield net, signals


@rule(
    "bus-star",
    Severity.CAUTION,
    family="bus",
    source="ISO 11898-2; common practice",
    what="{n} bus contacts meet on the metal of {a}: a star instead of a line",
    why="A bus is one line from terminator to terminator; a star reflects at every joint.",
    fix="Lead the pair from one unit to the next, in and out.",
)
def bus_star(view: View) -> Iterator[Hit]:
    """Three or more bus contacts on one metal."""
    for _, signals in _branched(view):
        if len(signals) > 2:
            yield Hit(
                view.place_of(signals[-1].address),
                tuple(s.address for s in signals),
                {"n": len(signals), "a": view.name(signals[0].address)},
            )


@rule(
    "drain-grounds",
    Severity.CAUTION,
    family="bus",
    source="SAE J1939-11; common practice",
    what="the shield at {a} is grounded {n}: {where}",
    why="A drain is grounded once per segment: nowhere it is no shield, twice it carries ground current.",
    fix="Ground it at one place and leave every other end open and insulated.",
)
def drain_grounds(view: View) -> Iterator[Hit]:
    """A joined shield that meets ground nowhere, or at more than one place."""
    for net in view.harness.bench:  # studs taken as places of their own, not as one chassis
        shields = (
            [s for s in view.signals(net) if s.row.electrical == "shield"] if net.circuits else []
        )
        if not shields:
            continue
        places = _grounds(view, net)
        if len(places) != 1:
            told = (
                ("nowhere", "once", "twice")[len(places)]
                if len(places) < 3
                else f"{len(places)} times"
            )
            yield Hit(
                view.place_of(shields[0].address),
                tuple(s.address for s in shields),
                {
                    "a": view.name(shields[0].address),
                    "n": told,
                    "where": ", ".join(places)
                    or "no ground is known on its metal or inside its units",
                },
            )


def _grounds(view: View, net: Net) -> list[str]:
    """The ways from a shield's metal to ground: contacts and studs on it, and links of few ohms inside units."""
    found = [
        a
        for a in net.points
        if (s := view.signal(a)) is not None and s.row.electrical == "ground" and a != CHASSIS
    ]
    found += [a for a in net.points if view.points[a].kind == "stud"]
    for mine in net.points:
        for other, end in view.once(_few_ohms).get(mine, ()):
            if other not in net.points and (other == CHASSIS or _is_ground(view, other)):
                found.append(f"inside {end} ({mine} to {other})")
    return found


def _few_ohms(view: View) -> dict[str, list[tuple[str, str | None]]]:
    found: dict[str, list[tuple[str, str | None]]] = defaultdict(list)
    for bond in view.harness.active_bonds():
        if bond.origin in ("inside", "behind") and bond.ohms.high <= FEW_OHMS:
            found[bond.a].append((bond.b, bond.end))
            found[bond.b].append((bond.a, bond.end))
    return found


def _is_ground(view: View, address: str) -> bool:
    signal = view.signal(address)
    return signal is not None and signal.row.electrical == "ground"


@rule(
    "twist-mixed",
    Severity.CAUTION,
    family="bus",
    source="common practice",
    what="{what}",
    why="Two wires that are not the halves of one pair do not cancel each other's noise, though every beep is right.",
    fix="Put both legs of a pair, and only them, into one twist.",
)
def twist_mixed(view: View) -> Iterator[Hit]:
    """The legs of one pair in two sheaths, or a twist that holds one leg of each of two pairs."""
    by_circuit = view.fixed(_twist_of)
    for one, two in _bus_circuits(view):
        mine, other = by_circuit.get(one.id, []), by_circuit.get(two.id, [])
        if (mine or other) and not set(mine) & set(other):
            told = [
                f"{c.id} lies in {'twist ' + x[0] if x else 'no twist'}"
                for c, x in ((one, mine), (two, other))
            ]
            twist = view.job.twists[(other or mine)[0]]
            yield Hit(
                twist.place,
                (one.id, two.id),
                {"what": f"{told[0]}, {told[1]}: the legs of one pair in two sheaths"},
            )
