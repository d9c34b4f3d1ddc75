"""Family `joint`: how joints are made for their service, and cavities that stay open."""

from __future__ import annotations

from dataclasses import replace

from wiremap.graph import Conductor, Joint, Point
from wiremap.rules.cure import typed
from wiremap.rules.registry import Family, Hit, Hits, Matter
from wiremap.rules.view import View

JOINT = Family("joint", Matter.BENCH)
CRIMPS = ("butt-crimp", "open-barrel")
SOLDERED = ("lap-solder", "solder-sleeve")

HOLD_IT = "Move the joint to where nothing flexes, or hold it on both sides and say so" + typed(
    ': wiremap next JOB --about "{points}.supported" --answer yes --how "..." --by NAME'
)


def _joint_hit(view: View, joint: Joint, **facts: object) -> Hit:
    circuit = view.harness.circuit(joint.circuit)
    points = " - ".join(circuit.join)
    return view.circuit_hit(circuit, "joint", joint=joint.id, points=points, **facts)


@JOINT.stop(
    "solder-moves",
    matter=Matter.WORKING,
    what="{joint}: a {kind} joint where the harness moves ({moves})",
    why="Solder wicks up the strands, and they break at its edge.",
    fix=HOLD_IT,
    source="NASA-STD-8739.4, 19.3: no splice where the harness flexes",
)
def solder_moves(view: View) -> Hits:
    """A soldered joint in a harness that moves, without support on both sides."""
    moves = view.job.surroundings.moves
    for joint in _unsupported(view):
        if joint.kind in SOLDERED:
            yield _joint_hit(view, joint, kind=joint.kind, moves=moves)


@JOINT.caution(
    "crimp-moves",
    matter=Matter.WORKING,
    what="{joint}: a crimped joint where the harness moves ({moves})",
    why="The wire breaks at the barrel's edge when it flexes there, if later than at solder.",
    fix=HOLD_IT,
    source="NASA-STD-8739.4, 19.3: no splice where the harness flexes",
)
def crimp_moves(view: View) -> Hits:
    """A crimped joint in a harness that moves, without support on both sides."""
    moves = view.job.surroundings.moves
    for joint in _unsupported(view):
        if joint.kind not in SOLDERED:
            yield _joint_hit(view, joint, moves=moves)


def _unsupported(view: View) -> list[Joint]:
    """The joints of a harness that moves which nothing holds on both sides."""
    if view.job.surroundings.moves in (None, "", "none"):
        return []
    return [joint for joint in view.harness.joints.values() if not joint.supported]


@JOINT.stop(
    "tinned-crimp",
    what="{joint}: tinned strands of {wires} in a crimp",
    why="Solder creeps under the barrel's pressure, and the crimp loosens.",
    fix="Cut back to clean strands, or solder the joint.",
    source="NASA-STD-8739.4, 4.3: no solid and no tinned strands in a crimp",
)
def tinned_crimp(view: View) -> Hits:
    """A crimped joint of which a wire is tinned."""
    for joint in view.harness.joints.values():
        tinned = _tinned(view, joint)
        if tinned and (joint.kind or CRIMPS[0]) in CRIMPS:
            hit = _joint_hit(view, joint, wires=" and ".join(c.point or c.circuit for c in tinned))
            also = view.described(*(c.point for c in tinned if c.point))
            yield replace(hit, also=also)


def _tinned(view: View, joint: Joint) -> list[Conductor]:
    conductors = [view.harness.conductors[name] for name in joint.conductors]
    return [c for c in conductors if c.wire is not None and c.wire.tinned]


@JOINT.caution(
    "cavity-unsealed",
    matter=Matter.WORKING,
    what="{point}: left without a seal in a sealed connector",
    why="One open cavity lets water into all of them; it passes every test and fails later.",
    fix="Fit a cavity blank (`treat: blank`), or leave its wire in, capped (`treat: cap`).",
    source="workshop texts on sealed connectors",
)
def cavity_unsealed(view: View) -> Hits:
    """An unjoined cavity of a sealed connector that stays in use, with neither blank nor capped
    wire.
    """
    for point in view.points.values():
        if _stays_in_use(point) and not view.is_joined(point.address) and _is_open(view, point):
            yield view.hit(point.address, point=view.name(point.address))


def _stays_in_use(point: Point) -> bool:
    end = point.end
    if end is None or end.kind not in ("pigtail", "mate"):
        return False
    return bool(end.pinout.connector.sealed)


def _is_open(view: View, point: Point) -> bool:
    """Whether water finds a way through an unjoined cavity."""
    cavity = point.cavity
    assert cavity is not None
    left = view.job.not_joined.get(point.address)
    empty = cavity.as_found == "empty"
    if left is None:
        return cavity.unused or empty  # any other is not accounted for at all
    if left.treat == "cap":
        return empty
    return left.treat != "blank" and (empty or cavity.wire is None)
