"""How a joint is made: when its turn comes, of which kind it is, its work step by step."""

from __future__ import annotations

import math
from collections.abc import Iterator

from wiremap.content.given import Given
from wiremap.content.pieces import Deed
from wiremap.content.words import barrel_words, listed, number
from wiremap.graph import Conductor, Joint

SOLDER = {"lap-solder": "lap and solder", "solder-sleeve": "solder sleeve, heat"}
UNCUT = ("open-barrel", "lap-solder")  # kinds that go round a wire in service
DEFAULT_KIND = "butt-crimp"
SELF_SLEEVED = "solder-sleeve"
SIDE_RANK = {"machine": 0, "between": 1, "unit": 2}
NO_END_RANK = 3


def joint_order(given: Given) -> list[Joint]:
    """The joints along the run from the machine's datum, the unplaced ones last."""
    worked = {circuit.id for circuit in given.worked}
    joints = [joint for joint in given.harness.joints.values() if joint.circuit in worked]

    def place(joint: Joint) -> float:
        at_mm = joint_at(given, joint)
        return math.inf if at_mm is None else at_mm

    return sorted(joints, key=place)


def joint_at(given: Given, joint: Joint) -> float | None:
    """Where the joint lies on its run [mm], as sized or else as stated."""
    size = given.joint_size(joint.id)
    if size is not None and size.at_mm is not None:
        return size.at_mm
    return joint.at_mm


def joint_kind(given: Given, joint: Joint) -> str:
    """The kind of a joint, as sized or else as stated."""
    size = given.joint_size(joint.id)
    kind = size.kind if size else joint.kind
    return kind or DEFAULT_KIND


def sleeve_mm(given: Given, joint: str) -> float:
    """How long the sleeve of a joint is cut [mm]; 0 where none is known."""
    size = given.joint_size(joint)
    if size is None or size.made is None or size.made.sleeve is None:
        return 0.0
    return size.made.sleeve_cut_mm or 0.0


def rank(given: Given, conductor: Conductor) -> int:
    """Machine side first, the new wire of a module next, then the unit's; a part's lead last."""
    if conductor.origin == "lead":
        return NO_END_RANK
    for point in (conductor.point, conductor.a, conductor.b):
        end = given.harness.end_of(point) if point else None
        if end is not None:
            return SIDE_RANK.get(end.side, SIDE_RANK["unit"])
    return NO_END_RANK


def stages(given: Given, joint: Joint) -> Iterator[str]:
    """The work at one joint, a box each."""
    size = given.joint_size(joint.id)
    made = size.made if size else None
    kind = joint_kind(given, joint)
    yield _cut(given, joint, kind)
    if kind != SELF_SLEEVED:
        yield _sleeve(given, joint)
    yield from _tubes(given, joint)
    yield f"strip {number(made.strip_mm)}" if made else "strip ____"
    if kind in SOLDER:
        yield SOLDER[kind]
    elif made and made.barrel:
        yield f"crimp {barrel_words(made.barrel)}"
    else:
        yield f"{kind.replace('-', ' ')} ________"
    yield "tug"
    yield from far_ends(given, joint)


def _cut(given: Given, joint: Joint, kind: str) -> str:
    """Where this joint's tails are cut; by the name of their end where two ends meet."""
    if joint.tap:
        return "bare in its run, not cut" if kind in UNCUT else "cut, both halves in"
    lengths: dict[str, dict[str, None]] = {}
    for conductor in sorted(given.conductors(joint), key=lambda c: rank(given, c)):
        cut = given.cut(conductor.id)
        end = given.harness.end_of(conductor.point) if conductor.point else None
        if conductor.origin == "tail" and cut is not None and end is not None:
            lengths.setdefault(end.name, {})[f"{cut.mm:.0f}"] = None
    told = [f"{name} {' and '.join(mm)}" for name, mm in lengths.items()]
    if len(lengths) == 1:
        told = [" and ".join(mm) for mm in lengths.values()]
    return f"cut {listed(*told)}" if told else "cut"


def _sleeve(given: Given, joint: Joint) -> str:
    size = given.joint_size(joint.id)
    length = sleeve_mm(given, joint.id)
    if length and size and size.made and size.made.sleeve:
        return f"sleeve {size.made.sleeve.name} × {length:.0f}"
    return "sleeve ________"


def _tubes(given: Given, joint: Joint) -> list[str]:
    """Tubes over what meets here without insulation: leads of parts and bare drain wires."""
    conductors = given.conductors(joint)
    tubes = [f"tube on {c.point}" for c in conductors if c.origin == "lead" and c.point]
    if any(c.wire is not None and c.wire.bare for c in conductors):
        tubes.append("tube")
    return tubes


def far_ends(given: Given, joint: Joint) -> Iterator[str]:
    """Where a new wire of this joint ends: in a contact, a holder, a ring."""
    for conductor in given.conductors(joint):
        if conductor.origin != "new":
            continue
        for node in (conductor.a, conductor.b):
            if not given.harness.is_joint(node):
                yield into(given, node)


def into(given: Given, address: str) -> str:
    """The deed of putting a wire into a contact, or on a stud."""
    if given.harness.points[address].kind == "stud":
        return f"ring on {address}, bare metal"
    return f"into {address}"


def closing(given: Given) -> list[Deed]:
    """What waits for the last reading of the ring-out: plugs, every sleeve, what goes over all."""
    deeds = [f"{point.address} blanked" for point in given.treated("blank")]
    if any(joint_kind(given, joint) != SELF_SLEEVED for joint in joint_order(given)):
        deeds += ["every sleeve shrunk", "outer sleeve over all joints", "boot"]
    return [Deed(text=deed) for deed in deeds]
