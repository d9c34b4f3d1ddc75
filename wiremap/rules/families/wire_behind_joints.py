"""Family `wire`: a wire that goes on thinner behind a joint."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from wiremap.graph import Conductor, Joint
from wiremap.rules.clash import STAR_RETURNS
from wiremap.rules.cure import SIGN
from wiremap.rules.limits import limit
from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.sized import fuses, sizes
from wiremap.rules.view import View
from wiremap.sizing.conductor import Cable
from wiremap.sizing.feed_parts import Judged
from wiremap.sizing.fuse_judge import HEATS_WIRE

WIRE = Family("wire", Matter.UNIT)
SIGNALS = ("coding", "input", "bus", "data", "loop")  # no current to speak of


@WIRE.caution(
    "gauge-step",
    what="{circuit}: the wire steps from {thick} to {thin} at {point}",
    why="The thinner wire behind a joint carries the fuse and the drop of the thicker one before "
    "it, and their barrel must grip both.",
    fix="Use a wire of at least the same size, or sign that the thinner one and its fuse were "
    "looked at" + SIGN,
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
        """The contact that it leads to; empty for a new wire between joints."""
        return self.conductor.point or ""


@dataclass(frozen=True, slots=True)
class _Step:
    thick: _Leg
    thin: _Leg


def _step(view: View, joint: Joint) -> _Step | None:
    """The thickest wire of the machine at a joint, and the thinnest other one, if they differ."""
    legs = _legs(view, joint)
    if len({leg.cable.area_mm2 for leg in legs}) < 2 or joint.tap:
        return None  # alike throughout, or with nothing to be held against
    machine = [leg for leg in legs if _is_machine(view, leg.point)]
    thick = max(machine or legs, key=lambda leg: leg.cable.area_mm2)
    others = [leg for leg in legs if leg is not thick]
    thin = min(others, key=lambda leg: (leg.cable.area_mm2, leg.conductor.id))
    if thin.cable.area_mm2 >= limit("same-size-share") * thick.cable.area_mm2:
        return None
    return _Step(thick, thin)


def _legs(view: View, joint: Joint) -> list[_Leg]:
    legs = []
    sized = sizes(view).conductors
    for name in joint.conductors:
        size = sized.get(name)
        if size is not None:
            legs.append(_Leg(view.harness.conductors[name], size.cable))
    return legs


def _is_proven(view: View, leg: _Leg) -> bool:
    """Whether a wire bears its fuse, or, where it lies behind none, what is said to flow in it."""
    behind = view.once(_judged_by_wire).get(leg.point or leg.conductor.circuit)
    if behind:
        against = {objection.kind for judged in behind for objection in judged.objections}
        return view.job.surroundings.bundle is not None and against.isdisjoint(HEATS_WIRE)
    if leg.point in view.points and _carries_nothing(view, leg.point):
        return True
    size = sizes(view).conductors[leg.conductor.id]
    if size.amps is None or size.ampacity_amps is None:
        return False
    return size.amps <= size.ampacity_amps


def _judged_by_wire(view: View) -> dict[str, list[Judged]]:
    """What was judged of each wire behind a fuse of known rating."""
    judged_by_wire: dict[str, list[Judged]] = defaultdict(list)
    for fuse in fuses(view):
        for judged in fuse.worked_out.judged:
            judged_by_wire[judged.subject].append(judged)
    return judged_by_wire


def _carries_nothing(view: View, address: str) -> bool:
    signal = view.signal(address)
    if signal is None:
        return False
    return signal.row.electrical in SIGNALS or signal.row.slug in STAR_RETURNS


def _is_machine(view: View, address: str) -> bool:
    end = view.harness.end_of(address)
    return end is not None and end.is_machine
