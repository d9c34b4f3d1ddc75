"""Wires: steps in size, what they carry, what they lose, whether they fit their contacts, whether they look alike."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from itertools import pairwise

from wiremap.base import Place, Severity
from wiremap.graph import Conductor, Joint, Point
from wiremap.model import Span
from wiremap.rules.registry import Hit, rule
from wiremap.rules.sized import GUIDE, fuses, sizes
from wiremap.rules.view import View
from wiremap.sizing.conductor import Cable
from wiremap.sizing.drop import allowed_percent
from wiremap.sizing.feed_parts import Feed, FuseSize, Judged
from wiremap.sizing.load import electrical_class
from wiremap.trade.colours import Colour, confusable

STEP = 0.95  # sizes that differ by less than a twentieth are the two systems' names for one wire


@rule(
    "gauge-step",
    Severity.CAUTION,
    family="wire",
    what="{circuit}: the wire steps from {thick} to {thin} at {point}",
    why="The thinner wire behind a joint carries the fuse and the drop of the thicker one before it, and their barrel "
    "must grip both.",
    fix="Use a wire of at least the same size, or sign that the thinner one and its fuse were looked at.",
    source="common practice: a replacement wire is of equal or greater section",
)
def gauge_step(view: View) -> Iterator[Hit]:
    """A joint where a conductor is thinner than the machine's own wire."""
    cables = {cid: s.cable for cid, s in sizes(view).conductors.items()}
    for joint in view.harness.joints.values():
        pair = _step(view, joint, cables)
        if pair is not None:
            thick, thin, point = pair
            circuit = view.harness.circuit(joint.circuit)
            yield Hit(
                view.place_of(point) if point in view.points else circuit.place,
                (joint.circuit,),
                {"circuit": joint.circuit, "thick": thick.name, "thin": thin.name, "point": point},
                view.described(*([point] if point in view.points else [])),
            )


def _step(view: View, joint: Joint, cables: dict[str, Cable]) -> tuple[Cable, Cable, str] | None:
    found = [(cables[c], view.harness.conductors[c]) for c in joint.conductors if c in cables]
    if len(found) < 2 or joint.tap:
        return None
    machine = [f for f in found if _on_machine(view, f[1])]
    thick = max(machine or found, key=lambda f: f[0].area_mm2)
    thin = min((f for f in found if f is not thick), key=lambda f: (f[0].area_mm2, f[1].id))
    if thin[0].area_mm2 >= STEP * thick[0].area_mm2:
        return None
    return thick[0], thin[0], thin[1].point or joint.circuit


def _on_machine(view: View, conductor: Conductor) -> bool:
    end = view.harness.end_of(conductor.point) if conductor.point else None
    return end is not None and end.side == "machine"


@rule(
    "conductor-below-fuse",
    Severity.STOP,
    family="wire",
    what="{fuse}, {amps:g} A, is too large for {wires}: {reason}",
    why="A fuse protects the thinnest wire after it; one that it does not protect burns before the fuse opens.",
    fix="Fit at most {largest} here, use a thicker wire, or give the thin wire a fuse of its own.",
    source="ISO 8820-3 opening limits, IEC 60364-4-43, heat balance of one wire",
)
def conductor_below_fuse(view: View) -> Iterator[Hit]:
    """A fuse that may let a wire behind it get hotter than its insulation stands."""
    for owner, subject, name, rating in fuses(view):
        bad = [j for j in owner.judged if any(f.kind in ("wire", "let-through") for f in j.faults)]
        if not bad or rating is None:
            continue
        bad.sort(key=lambda j: (j.ampacity_amps, j.subject))
        reason = next(f.text for f in bad[0].faults if f.kind in ("wire", "let-through"))
        most = (
            owner.sized.get("largest_allowed").value
            if owner.sized and _has(owner, "largest_allowed")
            else None
        )
        yield Hit(
            owner.place,
            (subject, *(j.subject for j in bad)),
            {
                "fuse": name,
                "amps": rating,
                "reason": reason,
                "wires": _wires(bad),
                "largest": f"{most:g} A" if isinstance(most, (int, float)) else "a smaller fuse",
            },
            view.described(*(j.subject for j in bad if j.subject in view.points)),
        )


def _has(owner: Feed | FuseSize, name: str) -> bool:
    return owner.sized is not None and any(r.name == name for r in owner.sized.results)


def _wires(bad: list[Judged]) -> str:
    return " and ".join(f"{j.subject} ({j.case.wire.name}, {j.ampacity_amps:.3g} A)" for j in bad)


@rule(
    "conductor-overloaded",
    Severity.STOP,
    family="wire",
    what="{subject}: {amps:g} A of load, but its {wire} carries {carries:.3g} A in {ambient:g} C",
    why="The wire runs hotter than its insulation stands in ordinary service.",
    fix="Use a thicker wire, share the load over more wires, or correct the stated amps.",
    source="heat balance of one wire in still air",
)
def conductor_overloaded(view: View) -> Iterator[Hit]:
    """A conductor whose stated load is over what it carries."""
    found = sizes(view)
    for size in found.conductors.values():
        if (
            size.amps is not None
            and size.ampacity_amps is not None
            and size.amps > size.ampacity_amps * (1 + 1e-9)
        ):
            yield Hit(
                _place(view, size.subject, size.circuit),
                (size.subject,),
                {
                    "subject": size.subject,
                    "amps": size.amps,
                    "wire": size.cable.name,
                    "carries": size.ampacity_amps,
                    "ambient": found.ambient_C,
                },
            )


def _place(view: View, subject: str, circuit: str) -> Place | None:
    return view.place_of(subject) if subject in view.points else view.harness.circuit(circuit).place


@rule(
    "voltage-drop",
    Severity.CAUTION,
    family="wire",
    what="{circuit}: at {amps:g} A in all, the way to {load} and back loses {hot:.2f} V ({percent:.1f} %) at running "
    "temperature, {cold:.2f} V ({cold_percent:.1f} %) at 20 C{loom}; {limit:g} % is usual{over}",
    why="What is lost on the way is missing at the unit: it may reset while cranking, and drives lose power.",
    fix="Use a thicker or shorter wire, move the feed closer, or sign why the load does not mind.",
    source="ABYC E-11 style 3 % and 10 %; FAA AC 43.13-1B chapter 11",
)
def voltage_drop(view: View) -> Iterator[Hit]:
    """A feed that loses more than 3 % of the nominal voltage on the way to its load and back."""
    usual, most = allowed_percent("critical"), allowed_percent("other")
    for feed in sizes(view).feeds:
        for circuits in dict.fromkeys(tuple(feed.circuits) for _ in feed.drops):
            worst = max(feed.drops, key=lambda d: (d.percent, d.load))
            if worst.percent <= usual * (1 + 1e-9):
                continue
            sized = worst.sized
            loom = (
                (
                    f", of it {sized.number('loom_drop_20C'):.2f} V ({sized.number('loom_drop_20C_percent'):.1f} %) on the "
                    "machine's own loom"
                )
                if any(r.name == "loom_drop_20C" for r in sized.results)
                else ""
            )
            yield Hit(
                feed.place,
                circuits[:1],
                {
                    "circuit": circuits[0] if circuits else feed.address,
                    "amps": feed.load_amps or worst.amps,
                    "load": view.name(worst.load),
                    "hot": sized.number("drop"),
                    "percent": worst.percent,
                    "cold": sized.number("drop_20C"),
                    "cold_percent": sized.number("drop_20C_percent"),
                    "loom": loom,
                    "limit": usual,
                    "over": f", and {most:g} % the most for any load"
                    if worst.percent > most
                    else "",
                },
                view.described(worst.load),
            )


@rule(
    "contact-range",
    Severity.CAUTION,
    family="wire",
    what="{point}: its contact takes {range} mm2, the wire is {wire}",
    why="A crimp outside its range pulls out or breaks strands.",
    fix="Choose a wire in the range, or the contact for this size.",
    source="maker's contact range; the strictest reading of it",
)
def contact_range(view: View) -> Iterator[Hit]:
    """A wire that we crimp into a contact whose range does not take it."""
    for point, _conductor, cable in _crimped(view):
        accepts = point.cavity.accepts.csa_mm2 if point.cavity else None
        if accepts is not None and not _within(accepts, cable.area_mm2):
            yield Hit(
                view.place_of(point.address),
                (point.address,),
                {"point": view.name(point.address), "range": str(accepts), "wire": cable.name},
                view.described(point.address),
            )


@rule(
    "seal-range",
    Severity.CAUTION,
    family="wire",
    what="{point}: its seal takes insulation of {range} mm, {wire} has {outside:g} mm",
    why="A seal grips the insulation, not the copper: too thin leaks, too thick tears it.",
    fix="Choose another wall thickness, or the seal for this diameter.",
    source="maker's seal range; ISO 6722-1 outside diameters, from memory",
)
def seal_range(view: View) -> Iterator[Hit]:
    """A wire that we put through a seal whose range does not take its insulation."""
    for point, conductor, cable in _crimped(view):
        accepts = point.cavity.accepts.insulation_mm if point.cavity else None
        bare = conductor.wire is not None and conductor.wire.bare
        if (
            accepts is None
            or cable.outside_mm is None
            or bare
            or _within(accepts, cable.outside_mm)
        ):
            continue
        yield Hit(
            view.place_of(point.address),
            (point.address,),
            {
                "point": view.name(point.address),
                "range": str(accepts),
                "wire": f"{cable.name} {cable.wall} wall",
                "outside": round(cable.outside_mm, 2),
            },
            view.described(point.address),
        )


def _within(span: Span, value: float) -> bool:
    return span.low * (1 - 1e-9) <= value <= span.high * (1 + 1e-9)


def _crimped(view: View) -> Iterator[tuple[Point, Conductor, Cable]]:
    """Every contact that gets its crimp from us: a mate's, with the wire that ends in it."""
    cables = sizes(view).conductors
    for conductor in view.harness.conductors.values():
        for address in (conductor.a, conductor.b):
            point = view.points.get(address)
            if (
                point is None
                or point.end is None
                or point.end.kind != "mate"
                or conductor.id not in cables
            ):
                continue
            yield point, conductor, cables[conductor.id].cable


@rule(
    "contact-current",
    Severity.STOP,
    family="wire",
    what="{point}: {amps:g} A through a contact good for {good:g} A",
    why="An overloaded contact anneals its spring, heats and opens.",
    fix="Part the load over more contacts, or lead it past this connector.",
    source="maker's contact current",
)
def contact_current(view: View) -> Iterator[Hit]:
    """A load over what its contact carries; cut-off and tapped contacts carry nothing of it."""
    for point in view.joined():
        if point.cavity is None or point.end is None or point.end.kind in ("cut-tail", "tap"):
            continue
        amps, good = point.cavity.amps, point.cavity.accepts.amps
        if amps is not None and good is not None and amps > good * (1 + 1e-9):
            yield Hit(
                view.place_of(point.address),
                (point.address,),
                {"point": view.name(point.address), "amps": amps, "good": good},
                view.described(point.address),
            )


@rule(
    "colours-confused",
    Severity.CAUTION,
    family="wire",
    what="{end}: {wires} can be taken for one another; tell them apart by {how}",
    why="Two wires that look alike are exchanged sooner or later, and colour is then no help in finding it.",
    fix="Flag both wires with their cavity before the cut, and ring them out by {how}.",
    source="common practice",
)
def colours_confused(view: View) -> Iterator[Hit]:
    """Joined wires of one connector that look alike and must not be exchanged."""
    for end, group in _lookalikes(view):
        nets = {view.net_of(p.address).points for p in group}
        if len(nets) > 1 and not _one_loop(group):
            yield _colour_hit(view, end, group, {"how": _apart(group)})


@rule(
    "colour-repeated",
    Severity.NOTE,
    family="wire",
    what="{end}: {wires} look alike; exchanging them changes nothing",
    why="The same metal, or a loop that reads alike both ways, bears an exchange.",
    fix="Nothing need be done.",
    source="common practice",
)
def colour_repeated(view: View) -> Iterator[Hit]:
    """Joined wires of one connector that look alike but may be exchanged without harm."""
    for end, group in _lookalikes(view):
        nets = {view.net_of(p.address).points for p in group}
        if len(nets) == 1 or _one_loop(group):
            yield _colour_hit(view, end, group, {})


def _colour_hit(view: View, end: str, group: list[Point], more: dict[str, object]) -> Hit:
    wires = " and ".join(
        f"{p.cavity.name} ({p.cavity.wire.colour.word})"
        for p in group
        if p.cavity and p.cavity.wire and p.cavity.wire.colour
    )
    return Hit(
        view.place_of(group[0].address),
        tuple(p.address for p in group),
        {"end": end, "wires": wires, **more},
        view.described(*(p.address for p in group)),
    )


def _one_loop(group: list[Point]) -> bool:
    chains = {p.cavity.chain for p in group if p.cavity}
    loops = {p.function for p in group}
    return (
        len(group) == 2
        and len(chains) == 1
        and None not in chains
        and loops == {"interlock-out", "interlock-back"}
    )


def _lookalikes(view: View) -> list[tuple[str, list[Point]]]:
    """Groups of joined wires of one tail that look alike, by end; worked out once."""
    return view.once(_grouped)


def _grouped(view: View) -> list[tuple[str, list[Point]]]:
    by_end: dict[str, list[tuple[Point, Colour]]] = defaultdict(list)
    for point in view.joined():
        wire = point.cavity.wire if point.cavity else None
        if (
            point.end is not None
            and point.end.has_tail
            and wire is not None
            and wire.colour is not None
        ):
            by_end[point.end.name].append((point, wire.colour))
    found = []
    for end, wires in by_end.items():
        alike: dict[tuple[str, ...], list[Point]] = defaultdict(
            list
        )  # base and tracer exchanged count as alike
        for point, colour in wires:
            alike[tuple(sorted(colour.colours))].append(point)
        found += [(end, group) for group in alike.values() if len(group) > 1]
        found += [(end, pair) for pair in _neighbours(wires)]
    return found


def _neighbours(wires: list[tuple[Point, Colour]]) -> Iterator[list[Point]]:
    """A supply and its neighbour on the face whose unlike colours are taken for one another in poor light."""
    colours = {p.cavity.name: (p, c) for p, c in wires if p.cavity}
    end = wires[0][0].end
    face = end.pinout.connector.face if end else None
    rows = face.padded() if face else ()
    beside = [pair for row in rows for pair in pairwise(row)]
    beside += [pair for one, two in pairwise(rows) for pair in zip(one, two, strict=False)]
    for a, b in beside:
        if a in colours and b in colours:
            (one, first), (two, second) = colours[a], colours[b]
            supply = "supply" in (electrical_class(one.function), electrical_class(two.function))
            if (
                supply
                and sorted(first.colours) != sorted(second.colours)
                and confusable(first, second)
            ):
                yield [one, two]


def _apart(group: list[Point]) -> str:
    """What a meter shows differently on wires of one colour."""
    functions = {p.function for p in group}
    if functions & {"power-ground", "frame-ground"} and functions & {
        "sensor-return",
        "signal-ground",
        "bus-ground",
    }:
        return "ohms to chassis, battery off: the ground under 0.5 ohm, the return open"
    if any("supply" in f or f == "wake" for f in functions):
        return "volts to battery minus, key off and on"
    if functions <= {"high-side-drive", "low-side-drive", "lamp-feed"}:
        return "unplugging one load and seeing which goes open"
    return "a beep from the contact itself, not by colour"


@rule(
    "size-missing",
    Severity.NOTE,
    family="wire",
    what="{subject}: {what}; not sized: {blocks}",
    why="A figure that nobody states is not guessed; only what rests on it stays open.",
    fix="Measure or look it up and write it down.",
    source=GUIDE,
)
def size_missing(view: View) -> Iterator[Hit]:
    """A size, length or load that is not stated, with what could not be sized for want of it."""
    for lack in sizes(view).missing:
        yield Hit(
            lack.place,
            (lack.subject,),
            {"subject": lack.subject, "what": lack.what, "blocks": lack.blocks},
        )
