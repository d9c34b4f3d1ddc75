"""What waits for the last reading of the ring-out: plugs, every sleeve, what goes over all."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.content.given import Given
from wiremap.content.joint_work import SELF_SLEEVED, joint_kind, joint_order
from wiremap.content.outer_sleeve import outer_sleeves
from wiremap.content.steps import Step
from wiremap.content.words import listed, spaced
from wiremap.model import Side

INTO_HOLES = "Looked into, empty, then its blanking plug in"
RELIEVED = "tape or tube over the run, strain relief on: no wire bears a pull"
SEALED = "Caps sealed, tied back anew; strike off each"
NOT_EMPTY = "A contact in it: first silent against every other."


def closing_steps(given: Given) -> Iterator[Step]:
    """Each deed of closing up, in the order of the hands."""
    blanked = [point.address for point in given.treated("blank")]
    if blanked:
        yield Step(text=f"{INTO_HOLES}; strike off each: {spaced(*blanked)}", note=NOT_EMPTY)
    if given.new_faces:
        faces = listed(*given.new_faces)
        yield Step(
            text=f"Every contact of {faces} pulled gently: none comes; secondary locks shut."
        )
    order = joint_order(given)
    shrunk = [
        f"J{n}" for n, joint in enumerate(order, 1) if joint_kind(given, joint) != SELF_SLEEVED
    ]
    if shrunk:
        order_words = ", from the machine's last tie on" if given.runs else ""
        yield Step(
            text="Sleeves shrunk, adhesive seen at both ends, heat kept off seals and fuel; "
            f"strike off each{order_words}: {' '.join(shrunk)}"
        )
    capped = [point.address for point in given.treated("cap") if point.brings_lead]
    if capped:
        yield Step(text=f"{SEALED}: {spaced(*capped)}")
    if shrunk:
        yield from _over_all_joints(given)
    yield from _laid(given)


def _over_all_joints(given: Given) -> Iterator[Step]:
    """The outer sleeve of each run: shrunk where it was slid on before the joints, else wrapped."""
    for sleeve in outer_sleeves(given):
        words = "outer sleeve over all joints, shrunk; boot over its end"
        if not sleeve.waits:
            words = "wrap-around sleeve over all joints"
        if sleeve.left_at_mm:
            words += f"; wires come out of it at {sleeve.left_words}"
        yield Step(at=sleeve.run, text=words)


def _laid(given: Given) -> Iterator[Step]:
    """The harness tied where it will lie, nothing mated yet."""
    if not given.adapter:
        fixed = listed(*fixed_in_place(given))
        yield Step(at=fixed, text="fixed, not mated; harness tied, no tie on a joint")
        return
    no_tie = ", no tie on a joint" if given.harness.joints else ""
    if given.crimped_into:
        yield Step(at=listed(*given.crimped_into), text=RELIEVED)
    yield Step(text=f"Laid and tied where it will lie{no_tie}; nothing mated yet.")


def fixed_in_place(given: Given) -> list[str]:
    """What the hands fix on the machine: in-line units, the holders of our fuses, the new unit."""
    units = [e.name for e in given.job.ends.values() if e.side is Side.BETWEEN]
    holders = [f"holder of {e.name}" for e in given.job.extras.values() if e.is_fuse]
    return [*units, *holders, "new unit"]
