"""Family `joint`: barrels and sleeves."""

from __future__ import annotations

from wiremap.rules.registry import Family, Hit, Hits, Matter
from wiremap.rules.sized import sizes
from wiremap.rules.view import View
from wiremap.sizing.placing import JointSize
from wiremap.sizing.splices import rule as splice_rule

JOINT = Family("joint", Matter.BENCH)


def _joint_hit(view: View, size: JointSize, **facts: object) -> Hit:
    circuit = view.harness.circuit(size.circuit)
    return view.circuit_hit(circuit, "joint", joint=size.joint, **facts)


@JOINT.caution(
    "joint-no-sleeve",
    matter=Matter.WORKING,
    what="{joint}: no tabled sleeve passes over {over:.3g} mm and grips {grip:.3g} mm{wet}",
    why="A sleeve that does not grip the thin wire lets water into the joint.",
    fix="Build the thin wire up with a short length of sleeve first, choose a slimmer joint, or "
    "part it into two.",
    source="supplied bore 1.2 x what it passes, recovered bore 0.8 x what it grips; sleeve tables "
    "from memory",
)
def joint_no_sleeve(view: View) -> Hits:
    """A joint that no tabled sleeve both passes over and grips."""
    wet = ", adhesive lined" if view.job.surroundings.wet else ""
    for size in sizes(view).joints.values():
        made = size.made
        if made is None or made.sleeve is not None or size.kind == "solder-sleeve":
            continue
        yield _joint_hit(view, size, over=made.over_mm, grip=made.grip_mm, wet=wet)


@JOINT.caution(
    "joint-no-barrel",
    what="{joint}: no barrel fits this joint: {reason}",
    why="A barrel outside its range does not hold the strands.",
    fix="Double the thin side back, lay all wires in one open barrel, or part the joint into two.",
    source="barrel ranges in circular mils, from memory",
)
def joint_no_barrel(view: View) -> Hits:
    """A joint that no tabled barrel takes."""
    for size in sizes(view).joints.values():
        if size.made is None:
            yield _joint_hit(view, size, reason=size.sized.no_barrel)


@JOINT.caution(
    "joint-too-many",
    what="{joint}: {count} conductors in one joint; {most:g} is the most that lies well",
    why="Strands in the middle of a crowd are not pressed.",
    fix="Part it into two joints with a link between them.",
)
def joint_too_many(view: View) -> Hits:
    """A joint of more conductors than lie well in one barrel."""
    most = splice_rule("most_in_barrel")
    for joint in view.harness.joints.values():
        count = len(joint.conductors)
        if count > most:
            circuit = view.harness.circuit(joint.circuit)
            yield view.circuit_hit(circuit, "join", joint=joint.id, count=count, most=most)
