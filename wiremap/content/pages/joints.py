"""The joints, one wire at a time."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from wiremap.content.given import Given
from wiremap.content.joint_notes import Alike, look_alikes, notes
from wiremap.content.joint_work import (
    UNCUT,
    far_ends,
    into,
    joint_kind,
    joint_order,
    rank,
    stages,
)
from wiremap.content.pieces import Block, Deed, Deeds, JointRow, Joints, Section, Text
from wiremap.content.stages import Page, Stage
from wiremap.content.words import TREAT, amount, conductor_words, number, spaced, wire_words
from wiremap.graph import Conductor, Joint

TITLE = "Joints, one wire at a time"
NO_JOINTS = "This job has no joints: every conductor runs from contact to contact."


def joints_section(given: Given) -> Section:
    """Every joint as one row of work."""
    order = joint_order(given)
    if not order:
        blocks: tuple[Block, ...] = (Text(NO_JOINTS), *contact_to_contact(given))
        return Section(key="joints", title=TITLE, blocks=blocks)
    alike = look_alikes(given)
    return Section(
        key="joints",
        title=TITLE,
        drawn_from="cut lengths are measured from each end's last tie or branch",
        blocks=(
            Deeds("", tuple(before_cut(given))),
            Joints(joint_rows(given)),
            *contact_to_contact(given),
            *capped(given),
        ),
        lead=" ".join(_lead(given, order, alike)),
    )


def joint_rows(given: Given) -> tuple[JointRow, ...]:
    """Each joint as one row of work, in the order of the run."""
    order, alike = joint_order(given), look_alikes(given)
    numbers = {joint.id: n for n, joint in enumerate(order, 1)}
    return tuple(_row(given, numbers, joint, alike) for joint in order)


def _lead(given: Given, order: Sequence[Joint], alike: Alike) -> Iterator[str]:
    """The words that the rows need, and no others."""
    yield (
        "Cut one wire, finish its row, then the next; shrink no sleeve before the ring-out is done."
    )
    slack = max((cut.slack_mm for cut in given.cuts), default=0.0)
    if slack:
        yield f"Cut: mm, {number(slack)} of it slack."
    ends = [stage for joint in order for stage in far_ends(given, joint)]
    if any(stage.startswith("into") for stage in ends):
        yield "Into: seal on, contact crimped."
    work = [stage for joint in order for stage in stages(given, joint)]
    if any(stage.startswith("crimp bare") for stage in work):
        yield "Bare: no plastic on the barrel, its own die."
    if any(address in alike for joint in order for address in joint.points):
        yield "Like: go by cavity and beep."
    if any(joint.circuit in given.harm for joint in order):
        yield "!: mixed up, it breaks or moves."


def before_cut(given: Given) -> Iterator[Deed]:
    """What is done before the first cut, a box each."""
    if given.survey is not None and given.survey.rows:
        yield Deed(n="0", text="survey read, figures written in (annex)")
    yield Deed(text="battery off, proven dead")
    yield Deed(text="both sides of every wire labelled")
    new = {c.circuit for c in given.worked_conductors if c.origin == "new"}
    for twist in given.job.twists.values():
        drain = ", drain in" if twist.drain else ""
        laid = not new.isdisjoint(twist.circuits)
        done = f"twisted{drain}" if laid else "left twisted up to its joints"
        yield Deed(text=f"pair {twist.name} {done}")
    lump = lump_mm(given)
    passing = f"to pass {number(lump)} mm" if lump else ""
    yield Deed(text=spaced("outer sleeve", passing, "and boot slid on over plug or free tail"))


def lump_mm(given: Given) -> float:
    """How thick the joints are where most lie abreast [mm], 0 if nobody knows."""
    lumps = [run.layout.lump_mm for run in given.runs if run.layout]
    return float(math.ceil(max(lumps, default=0.0)))


def _row(given: Given, numbers: Mapping[str, int], joint: Joint, alike: Alike) -> JointRow:
    conductors = sorted(given.conductors(joint), key=lambda c: rank(given, c))
    in_service = joint_kind(given, joint) not in UNCUT
    return JointRow(
        n=numbers[joint.id],
        harm=joint.circuit in given.harm,
        name=joint.id,
        wires=tuple(_wire(given, c, in_service=in_service) for c in conductors),
        stages=tuple(stages(given, joint)),
        notes=tuple(notes(given, numbers, joint, alike)),
    )


def _wire(given: Given, conductor: Conductor, *, in_service: bool) -> str:
    """One wire that meets here; a new one with the length to cut it to."""
    text = conductor_words(given.harness, conductor)
    cut = given.cut(conductor.id)
    if conductor.origin == "new" and cut is not None:
        what, to, far = text.partition(" to ")
        return f"{what} {cut.mm:.0f} mm{to}{far}"
    if conductor.origin == "direct" and in_service:
        return text.replace(", not cut", ", in service")
    return text


def contact_to_contact(given: Given) -> Iterator[Deeds]:
    """The conductors that meet no joint: a line each, a box for every deed."""
    for conductor in given.worked_conductors:
        nodes = (conductor.a, conductor.b)
        if any(given.harness.is_joint(node) for node in nodes):
            continue
        new = conductor.origin == "new"
        what = conductor_words(given.harness, conductor)
        if new:
            what = f"new {wire_words(conductor.wire)}"
        length = amount(conductor.length_mm, "mm")
        cut = f"cut {length}" if length else ""
        crimped = [into(given, node) for node in nodes if new or node != conductor.point]
        deeds = [spaced(f"{conductor.circuit}: {what}", cut), *crimped, "tug"]
        yield Deeds("", tuple(Deed(text=deed) for deed in deeds))


def capped(given: Given) -> Iterator[Deeds]:
    """Caps for the wires that are not joined, a box each; they keep all their length."""
    capped = [Deed(text=point.address) for point in given.treated("cap")]
    if capped:
        head = Deed(text=f"Not shortened: {TREAT['cap']}:", boxes=0)
        yield Deeds("", (head, *capped))


PAGE = Page(key="joints", stage=Stage.JOINTS, make=joints_section)
