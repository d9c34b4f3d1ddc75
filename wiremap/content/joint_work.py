"""How a joint is made: when its turn comes, of which kind it is, and its three boxes."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from wiremap.content.given import Given
from wiremap.content.joint_notes import LookAlikes, joint_notes
from wiremap.content.joint_sleeves import sleeve_named, waits_on
from wiremap.content.joint_tug import pulled
from wiremap.content.steps import AddressLine, Step
from wiremap.content.words import (
    extra_words,
    listed,
    named_barrel,
    number,
    size_words,
    spaced,
    wire_words,
)
from wiremap.graph import Conductor, ConductorOrigin, Joint
from wiremap.sizing.joint_sides import joint_sides
from wiremap.sizing.part_tails import needs_tail, part_tail

SOLDER = {"lap-solder": "lapped and soldered", "solder-sleeve": "solder sleeve on, heated"}
UNCUT = ("open-barrel", "lap-solder")  # kinds that go round a wire in service without a cut
DEFAULT_KIND = "butt-crimp"  # where nobody states a kind
SELF_SLEEVED = "solder-sleeve"  # the kind that needs no sleeve over it
SIDE_RANK = {"machine": 0, "between": 1, "unit": 2}  # by `End.side`, in the order of the wires
NO_END_RANK = 3  # of what ends in no connector: the leads of parts, rings
TO_WRITE = "________"  # a place to write in by hand
COLOUR_FOUND = f"colour found {TO_WRITE}"


def joint_order(given: Given) -> list[Joint]:
    """The joints along the run from the machine's last tie, the unplaced ones last."""
    worked = {circuit.id for circuit in given.worked_circuits}
    joints = [joint for joint in given.harness.joints.values() if joint.circuit in worked]

    def place(joint: Joint) -> float:
        at_mm = joint_at(given, joint)
        return math.inf if at_mm is None else at_mm

    return sorted(joints, key=place)


def joint_numbers(given: Given) -> dict[str, int]:
    """Each joint's number, the same on the strip and beside its work."""
    return {joint.id: n for n, joint in enumerate(joint_order(given), 1)}


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


def side_rank(given: Given, conductor: Conductor) -> int:
    """Machine side first, the new wire of a module next, then the unit's; a part's lead last."""
    if conductor.is_lead:
        return NO_END_RANK
    for point in given.harness.points_on(conductor):
        if point.end is not None:
            return SIDE_RANK.get(point.end.side, SIDE_RANK["unit"])
    return NO_END_RANK


# -- the steps ------------------------------------------------------------------------------------


def joint_boxes(
    given: Given,
    numbers: Mapping[str, int],
    joint: Joint,
    alike: LookAlikes,
    *,
    cut: Collection[str],
) -> tuple[Step, Step, Step]:
    """Sleeves on before the crimp, the crimp looked at, the tug.

    `numbers` are those of the joints; the wires of the contacts in `cut` were cut before, so that
    their half of a bus could be read.
    """
    wires = []
    for conductor in _wires_by_side(given, joint):
        line = _wire_line(given, joint, conductor)
        if line.at in cut:
            line = replace(line, text=line.text.replace("cut to", "was cut to"), asked="")
        wires.append(line)
    crimp = listed(
        _strip(given, joint), *_tubes(given, joint), _join(given, joint), _ends(given, joint)
    )
    return (
        Step(
            n=f"J{numbers[joint.id]}",
            lines=tuple(wires),
            want=_sleeve_want(given, joint),
            note="; ".join(
                [*sleeve_named(given, joint.id), *joint_notes(given, numbers, joint, alike)]
            ),
        ),
        Step(text=f"{joint.id}: {crimp}", want="looked at", with_last=True),
        Step(text=pulled(given, joint), want="tug", with_last=True),
    )


def _wires_by_side(given: Given, joint: Joint) -> list[Conductor]:
    """The wires that meet in a joint, the machine's first."""
    return sorted(given.conductors(joint), key=lambda c: side_rank(given, c))


def _wire_line(given: Given, joint: Joint, conductor: Conductor) -> AddressLine:
    """A wire that meets here, and to which length it is cut."""
    cut = given.cut(conductor.id)
    length = f"{TO_WRITE} mm" if cut is None else f"{cut.mm:.0f} mm"
    wire = wire_words(conductor.wire)
    point = conductor.point or ""
    match conductor.origin:
        case ConductorOrigin.LEAD:
            tail = part_tail(conductor, joint, given.harness)
            told = f"tail {size_words(tail)}" if tail else ""
            return AddressLine(point, listed(told, extra_words(given.harness.points[point])))
        case ConductorOrigin.DIRECT:
            if not joint.tap:
                return AddressLine(point, f"{wire}, not cut")
            kept = "goes on uncut, bared in its run"
            if joint_kind(given, joint) not in UNCUT:
                kept = "both halves in"
            return AddressLine(point, f"{wire}, {kept}", COLOUR_FOUND)
        case ConductorOrigin.NEW:
            far = point or next(iter(given.loose_ends(conductor)), "")
            return AddressLine(f"new to {far}" if far else "new", f"{wire}, {length} long")
    return AddressLine(point, f"{wire}, cut to {length}", COLOUR_FOUND)


def _sleeve_want(given: Given, joint: Joint) -> str:
    """The box of the sleeve, with the wire that it waits on."""
    if joint_kind(given, joint) == SELF_SLEEVED:
        return "wires looked at"
    return spaced("sleeve on", waits_on(given, joint))


def _strip(given: Given, joint: Joint) -> str:
    """How much of each wire is bare in the barrel; a bare wire stands out of its tube."""
    size = given.joint_size(joint.id)
    made = size.made if size is not None else None
    length = TO_WRITE if made is None else number(made.strip_mm)
    wires = [c.wire for c in given.conductors(joint) if not c.is_lead]
    bare = [wire is not None and wire.bare for wire in wires]
    if bare and all(bare):
        return f"{length} mm left out of its tube"
    return f"strip each wire {length} mm"


def _join(given: Given, joint: Joint) -> str:
    """How the wires are joined."""
    kind = joint_kind(given, joint)
    if kind in SOLDER:
        return SOLDER[kind]
    size = given.joint_size(joint.id)
    made = size.made if size is not None else None
    if made is not None and made.barrel is not None:
        return f"crimp in {named_barrel(made.barrel)}"
    return f"{kind.replace('-', ' ')} {TO_WRITE}"


def _ends(given: Given, joint: Joint) -> str:
    """Which wires share an end of a barrel that is crimped from both ends; between which mastic
    goes.
    """
    filled = filled_ends(given, joint)
    mastic = listed(*(f"mastic between {_together(given, side)}" for side in filled))
    sides = joint_sides(joint, given.harness)
    if joint_kind(given, joint) != DEFAULT_KIND or max(map(len, sides)) == 1:
        return mastic
    left, right = (_together(given, side) for side in sides)
    if any(c.origin == ConductorOrigin.DIRECT for c in sides.left):
        right = right.replace(left, "its other half", 1)
        left = f"either half of {left}"
    ends = f"one end {left}, other end {right}"
    if len(filled) == 1:
        return f"{ends}, mastic between these"
    return listed(ends, mastic)


def filled_ends(given: Given, joint: Joint) -> list[Sequence[Conductor]]:
    """The ends of a sleeved joint in which mastic lies between the wires: in the wet, where there
    are several, for the groove between round wires lets water in (common practice).
    """
    if not given.job.surroundings.wet or joint_kind(given, joint) == SELF_SLEEVED:
        return []
    return [side for side in joint_sides(joint, given.harness) if len(side) > 1]


def _together(given: Given, side: Sequence[Conductor]) -> str:
    return " + ".join(_called(given, conductor) for conductor in side)


def _called(given: Given, conductor: Conductor) -> str:
    """A wire by the flag that it bears; a half of one in service by its point."""
    if conductor.point:
        return conductor.point
    return f"new to {next(iter(given.loose_ends(conductor)), conductor.circuit)}"


def _tubes(given: Given, joint: Joint) -> list[str]:
    """Tubes over what meets here without insulation: leads of parts and bare drain wires."""
    conductors = given.conductors(joint)
    leads = [c for c in conductors if c.is_lead and not needs_tail(c, joint)]
    tubes = [f"tube on {c.point}" for c in leads if c.point]
    bare = [c for c in conductors if c.wire is not None and c.wire.bare]
    return tubes + [f"tube of {tube_cut(given, c)} on {_called(given, c)}" for c in bare if c.point]


def tube_length(given: Given, conductor: Conductor) -> float | None:
    """How long the tube over a bare wire is [mm]: as the wire is cut, less what lies bare in its
    joints.  None where nobody knows how long the wire is.
    """
    cut = given.cut(conductor.id)
    if cut is None:
        return None
    nodes = (conductor.a, conductor.b)
    sizes = [given.joint_size(node[1:]) for node in nodes if given.harness.is_joint(node)]
    return cut.mm - sum(size.made.strip_mm for size in sizes if size and size.made)


def tube_cut(given: Given, conductor: Conductor) -> str:
    """How long the tube over a bare wire is cut."""
    length_mm = tube_length(given, conductor)
    return f"{TO_WRITE} mm" if length_mm is None else f"{length_mm:.0f} mm"


def said_step(step: Step) -> str:
    """A step in one line, as a deed is kept."""
    parts = [f"{line.at} {line.text}" for line in step.lines]
    return listed(*parts, spaced(step.at, step.text))
