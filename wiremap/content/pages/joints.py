"""The joints, one wire at a time."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.content.bus import BusHalf, alone_reading, bus_halves, cut_step
from wiremap.content.given import Given
from wiremap.content.joint_ends import CONTACTS, digits_read
from wiremap.content.joint_notes import LookAlikes
from wiremap.content.joint_work import (
    joint_boxes,
    joint_numbers,
    joint_order,
)
from wiremap.content.named_first import named_first, named_here
from wiremap.content.old_plug import parted_words, proved_first
from wiremap.content.pieces import Block, Section, TextPiece
from wiremap.content.reaches import twist_words
from wiremap.content.small_faces import plug_faces, small_faces
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Step, Steps
from wiremap.content.stops import cut_ends
from wiremap.content.wire_work import (
    before_joints,
    capped_wires,
    new_wires,
    tails_without_joint,
)
from wiremap.content.words import listed, number, spaced
from wiremap.graph import Joint
from wiremap.model import Address, ExtraKind, LookedAt
from wiremap.sizing.stagger import remake_slack_mm
from wiremap.trade.limits import limit

TITLE = "Joints, one wire at a time"
NO_JOINTS = "No joints: every wire runs from contact to contact."
TIES_FROM = "lengths from the last tie or branch of each side"
FROM_TIE = "lengths from its side's last tie"
PLUGS_FROM = "lengths from plug to plug"
NEW_WIRES = "Flags on first; where a pair is trimmed once it is twisted, after that."
LONGER = "To a joint {slack} mm longer, to make it again."
BUS = "The bus, whose pair alone is cut together: {order}"
NEW_ENDS = "Each wire end into {what}; by flag and cavity"
LEAD = (
    "Take one wire by its flag: part it {kept} mm behind the old plug, cut it to the length in its "
    "row, finish the row, then take the next. Another colour than the one told: stop before it is "
    "cut, read the flag again at the face, have the papers set right. What is cut off the "
    "machine's wire gets its cavity and goes with the old plug; what is cut off the unit's is "
    "waste. Lengths run from the last "
    "tie to the cut: past the joint's place lie up to {slack} mm of slack, to make it again. No "
    "sleeve is shrunk before the ring-out is done."
)


def joints_section(given: Given) -> Section:
    """Every joint with its three boxes, the buses first where they are cut."""
    order = joint_order(given)
    blocks: list[Block] = []
    if order:
        blocks.append(Steps(steps=tuple(before_joints(given))))
    else:
        blocks.append(TextPiece(NO_JOINTS, keep=True))
    ends: tuple[Step, ...] = ()
    if given.adapter:
        ends = (*digits_read(given), *new_wires(given))
    ends += tuple(tails_without_joint(given))
    if ends:
        blocks += small_faces(given, given.crimped_into, LookedAt.WIRE_ENTRY)
        title = NEW_ENDS.format(what=_ended_in(given))
        blocks.append(Steps(title=title, lead=CONTACTS, steps=ends))
    blocks += _joints(given, order)
    caps = tuple(capped_wires(given))
    if caps:
        blocks.append(Steps(title="Not joined, not shortened", steps=caps))
    return Section(
        key="joints",
        title=TITLE if order else "Wires, one at a time",
        drawn_from=_drawn_from(given),
        blocks=tuple(blocks),
        lead=_lead(given, order),
        fresh=False,
        faces_again=given.adapter,
    )


def _drawn_from(given: Given) -> str:
    """From where lengths run; where wires are parted first, as on every page of the joints."""
    if given.adapter:
        return PLUGS_FROM
    return f"{parted_words()}; {FROM_TIE}" if cut_ends(given) else TIES_FROM


def _lead(given: Given, order: list[Joint]) -> str:
    """How the wires are taken, one after another."""
    if given.adapter:
        slacks = [cut.slack_mm for cut in given.cuts if cut.slack_mm]
        longer = LONGER.format(slack=number(max(slacks))) if slacks else ""
        return spaced(NEW_WIRES, longer)
    kept, slack = number(limit("kept-plug-tail-mm")), number(remake_slack_mm() / 2)
    return LEAD.format(kept=kept, slack=slack) if order else ""


def _ended_in(given: Given) -> str:
    """What new wires end in: contacts, and the holders and rings that the job has."""
    kinds = {extra.kind for extra in given.job.extras.values()}
    words = ["its contact"]
    words += ["its holder"] if ExtraKind.FUSE in kinds else []
    words += ["its ring"] if ExtraKind.STUD in kinds else []
    return " or ".join(words)


def _joints(given: Given, order: list[Joint]) -> Iterator[Block]:
    """Each joint, a bus cut, read and set before its first one."""
    numbers = joint_numbers(given)
    alike, named = LookAlikes(given), named_first(given)
    halves = list(bus_halves(given))
    cut = {leg for half in halves for leg in half.legs}
    tapped = {end.name for end in given.job.ends.values() if end.is_tap}
    for joint in order:
        for half in [h for h in halves if set(h.legs).intersection(joint.points)]:
            halves.remove(half)
            yield _bus(given, half)
        taps = {address.end for address in joint.points} & tapped if joint.tap else set()
        first = tuple(proved_first(given, joint))
        yield from plug_faces(given, taps | {Address.read(step.at).end for step in first})
        yield from small_faces(given, taps, LookedAt.WIRE_ENTRY)
        boxes = joint_boxes(given, numbers, joint, alike, cut=cut)
        last = tuple(_one_twist(given, joint, order))
        first = (*named_here(named, joint), *first)
        yield Steps(steps=(*first, *boxes, *last), whole=True)


def _one_twist(given: Given, joint: Joint, order: list[Joint]) -> Iterator[Step]:
    """At the second joint of a pair: that its new wires come from one twist, as no beep shows."""
    pairs = twist_words(given)
    for twist in given.job.twists.values():
        legs = [circuit for circuit in twist.circuits if circuit in pairs]
        last = next((each.circuit for each in reversed(order) if each.circuit in legs), None)
        if len(legs) > 1 and joint.circuit == last:
            text = f"{listed(*legs)}: the new wires come out of one twist, followed to their plug"
            yield Step(text=text, want="looked at", with_last=True)


def _bus(given: Given, half: BusHalf) -> Steps:
    """The bus cut, this half of it read, the switch set."""
    steps = [cut_step(given, half), alone_reading(half)]
    if half.switch is not None:
        steps.append(half.switch.step)
    return Steps(title=BUS.format(order=half.order), steps=tuple(steps), whole=True)


PAGE = Page(key="joints", stage=Stage.JOINTS, make=joints_section)
