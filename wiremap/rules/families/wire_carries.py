"""Family `wire`: steps in size, what conductors carry, what they lose."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from wiremap.graph import Conductor, Joint
from wiremap.rules.clash import STARRED
from wiremap.rules.limits import limit
from wiremap.rules.outputs import outputs
from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.sized import Rated, fuses, sizes
from wiremap.rules.view import View
from wiremap.sizing.conductor import Cable
from wiremap.sizing.feed_parts import Feed, Judged, Weight
from wiremap.sizing.sized import Sized

WIRE = Family("wire", Matter.UNIT)
SIGNALS = ("coding", "input", "bus", "data", "loop")  # no current to speak of
HEATING = ("wire", "let-through")  # objections that speak of the wire, not of its contacts


@WIRE.caution(
    "gauge-step",
    what="{circuit}: the wire steps from {thick} to {thin} at {point}",
    why="The thinner wire behind a joint carries the fuse and the drop of the thicker one before "
    "it, and their barrel must grip both.",
    fix="Use a wire of at least the same size, or sign that the thinner one and its fuse were "
    "looked at.",
    source="common practice: a replacement wire is of equal or greater section",
)
def gauge_step(view: View) -> Hits:
    """A joint where a conductor is thinner than the machine's own wire and nothing proves that it
    bears what its fuse or its load lets through.
    """
    for joint in view.harness.joints.values():
        step = _step(view, joint)
        if step is None or _is_proven(view, step.thin):
            continue
        circuit = view.harness.circuit(joint.circuit)
        point = step.thin.point
        yield view.hit(
            circuit.id,
            place=view.place_of(point) if point in view.points else circuit.place,
            also=view.described(point) if point else (),
            circuit=circuit.id,
            thick=step.thick.cable.name,
            thin=step.thin.cable.name,
            point=point or circuit.id,
        )


@dataclass(frozen=True, slots=True)
class _Leg:
    """One conductor of a joint with its cable."""

    conductor: Conductor
    cable: Cable

    @property
    def point(self) -> str:
        return self.conductor.point or ""


@dataclass(frozen=True, slots=True)
class _Step:
    thick: _Leg
    thin: _Leg


def _step(view: View, joint: Joint) -> _Step | None:
    """The thickest wire of the machine at a joint, and the thinnest other one, if they differ."""
    legs = _legs(view, joint)
    if len(legs) < 2 or joint.tap:
        return None
    machine = [leg for leg in legs if _is_machine(view, leg.point)]
    thick = max(machine or legs, key=lambda leg: leg.cable.area_mm2)
    others = [leg for leg in legs if leg is not thick]
    thin = min(others, key=lambda leg: (leg.cable.area_mm2, leg.conductor.id))
    if thin.cable.area_mm2 >= limit("same-size-share") * thick.cable.area_mm2:
        return None
    return _Step(thick, thin)


def _legs(view: View, joint: Joint) -> list[_Leg]:
    found = []
    for name in joint.conductors:
        size = sizes(view).conductors.get(name)
        if size is not None:
            found.append(_Leg(view.harness.conductors[name], size.cable))
    return found


def _is_proven(view: View, leg: _Leg) -> bool:
    """Whether a wire bears its fuse, or, where it lies behind none, what is said to flow in it."""
    behind = view.once(_judged_by_wire).get(leg.point or leg.conductor.circuit)
    if behind:
        objections = [objection.kind for judged in behind for objection in judged.objections]
        return view.job.surroundings.bundle is not None and not set(objections) & set(HEATING)
    if leg.point in view.points and _carries_nothing(view, leg.point):
        return True
    size = sizes(view).conductors[leg.conductor.id]
    if size.amps is None or size.ampacity_amps is None:
        return False
    return size.amps <= size.ampacity_amps


def _judged_by_wire(view: View) -> dict[str, list[Judged]]:
    """What was judged of each wire behind a fuse of known rating."""
    found: dict[str, list[Judged]] = defaultdict(list)
    for fuse in fuses(view):
        for judged in fuse.worked_out.judged:
            found[judged.subject].append(judged)
    return found


def _carries_nothing(view: View, address: str) -> bool:
    signal = view.signal(address)
    if signal is None:
        return False
    return signal.row.electrical in SIGNALS or signal.row.slug in STARRED


def _is_machine(view: View, address: str) -> bool:
    end = view.harness.end_of(address)
    return end is not None and end.side == "machine"


@WIRE.stop(
    "conductor-below-fuse",
    what="{fuse}, {amps:g} A, is too large for {wires}: {reason}",
    why="A fuse protects the thinnest wire after it; one that it does not protect burns before "
    "the fuse opens.",
    fix="Fit at most {largest} here, use a thicker wire, or give the thin wire a fuse of its own.",
    source="ISO 8820-3 opening limits, IEC 60364-4-43, heat balance of one wire",
)
def conductor_below_fuse(view: View) -> Hits:
    """A fuse that may let a wire behind it get hotter than its insulation stands."""
    for fuse in fuses(view):
        against = sorted(fuse.against(*HEATING), key=lambda found: found.weakness)
        if not against:
            continue
        wires = {found.judged.subject: found.judged for found in against}
        yield fuse.hit(
            view,
            *wires,
            reason=against[0].objection.text,
            wires=" and ".join(_wire(judged) for judged in wires.values()),
            largest=_largest(fuse),
        )


def _largest(fuse: Rated) -> str:
    sized = fuse.worked_out.sized
    if sized is None or not sized.has("largest_allowed"):
        return "a smaller fuse"
    return f"{sized.number('largest_allowed'):g} A"


def _wire(judged: Judged) -> str:
    return f"{judged.subject} ({judged.case.wire.name}, {judged.ampacity_amps:.3g} A)"


@WIRE.stop(
    "conductor-overloaded",
    what="{subject}: {amps:g} A of load, but its {wire} carries {carries:.3g} A in {ambient:g} C",
    why="The wire runs hotter than its insulation stands in ordinary service.",
    fix="Use a thicker wire, share the load over more wires, or correct the stated amps.",
    source="heat balance of one wire in still air",
)
def conductor_overloaded(view: View) -> Hits:
    """A conductor whose stated load is over what it carries; of an output the machine's load
    counts, whatever the output is rated for.
    """
    found = sizes(view)
    loads = view.once(_output_loads)
    for size in found.conductors.values():
        stated = [size.amps, loads.get(size.circuit)]
        amps = max((figure for figure in stated if figure is not None), default=None)
        if amps is None or size.ampacity_amps is None or amps <= size.ampacity_amps * (1 + 1e-9):
            continue
        in_job = size.subject in view.points
        yield view.hit(
            size.subject,
            place=None if in_job else view.harness.circuit(size.circuit).place,
            subject=size.subject,
            amps=amps,
            wire=size.cable.name,
            carries=size.ampacity_amps,
            ambient=found.ambient_C,
        )


def _output_loads(view: View) -> dict[str, float]:
    """What the machine's loads draw through each circuit that an output feeds alone [A]."""
    found: dict[str, float] = {}
    for output in outputs(view):
        amps = output.steady_amps()
        circuits = view.net_of(output.signal.address).circuits
        if amps is not None and len(output.loads) == 1:
            found.update(dict.fromkeys(circuits, amps))
    return found


DROP = (
    "{circuit}: at {amps:g} A in all, what the job adds on the way to {load} and back loses "
    "{percent:.1f} % at running temperature; with the machine's own part it is {hot:.2f} V "
    "({whole:.1f} %){loom}; {limit:g} % is the most"
)
LOST = "What is lost on the way is missing at the unit: it may reset while cranking, drives weaken."
THICKER = "Use a thicker or shorter wire, move the feed closer, or sign why the load does not mind."
ABYC = "ABYC E-11 style 3 % and 10 %; FAA AC 43.13-1B chapter 11; 5 % as the job's own share here"


@WIRE.caution("voltage-drop", matter=Matter.WORKING, what=DROP, why=LOST, fix=THICKER, source=ABYC)
def voltage_drop(view: View) -> Hits:
    """A feed on which the job adds more than 5 % of the nominal voltage, or what it states, to
    what is lost.
    """
    return _drops(view, Weight.CAUTION)


@WIRE.stop("voltage-drop-far", matter=Matter.WORKING, what=DROP, why=LOST, fix=THICKER, source=ABYC)
def voltage_drop_far(view: View) -> Hits:
    """A feed on which the job adds more than 10 % of the nominal voltage, or what it states, to
    what is lost.
    """
    return _drops(view, Weight.STOP)


def _drops(view: View, weight: Weight) -> Hits:
    for feed in sizes(view).feeds:
        worst = max(feed.drops, key=lambda drop: (drop.added_percent, drop.load), default=None)
        if worst is None or worst.weight != weight:
            continue
        yield view.hit(
            *feed.circuits[:1],
            place=feed.place,
            also=view.described(worst.load),
            circuit=_circuit(feed),
            amps=feed.load_amps or worst.amps,
            load=view.name(worst.load),
            percent=worst.added_percent,
            hot=worst.sized.number("drop"),
            whole=worst.percent,
            loom=_loom_share(worst.sized),
            limit=worst.limits.stop if weight == Weight.STOP else worst.limits.caution,
        )


def _circuit(feed: Feed) -> str:
    return feed.circuits[0] if feed.circuits else feed.address


def _loom_share(sized: Sized) -> str:
    if not sized.has("loom_drop_20C"):
        return ""
    volts, percent = sized.number("loom_drop_20C"), sized.number("loom_drop_20C_percent")
    return f", of it {volts:.2f} V ({percent:.1f} %) on the machine's own loom at 20 C"
