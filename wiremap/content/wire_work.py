"""What is done to wires beside the joints: what lies over them first, wires without one, caps."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wiremap.content.given import Given
from wiremap.content.joint_work import SELF_SLEEVED, into, joint_kind, joint_order
from wiremap.content.steps import AddressLine, Step
from wiremap.content.words import TREAT, listed, wire_words
from wiremap.graph import Conductor


@dataclass(frozen=True, slots=True)
class WireWork:
    """A wire that meets no joint: its circuit, and a step for each of its ends."""

    circuit: str
    steps: tuple[Step, ...]


def before_joints(given: Given) -> Iterator[Step]:
    """What has to lie over the wires before they are joined, and pairs twisted."""
    order = joint_order(given)
    if given.runs and any(joint_kind(given, joint) != SELF_SLEEVED for joint in order):
        over = given.outer_mm
        passing = f" (passes {over:.0f} mm)" if over else ""
        yield Step(text=f"Outer sleeve{passing} and boot slid on over a plug or a free tail.")
    new = {c.circuit for c in given.worked_conductors if c.origin == "new"}
    made: dict[str, list[str]] = {}
    for twist in given.job.twists.values():
        drain = " with its drain wire" if twist.drain else ""
        done = "Twisted" if new.intersection(twist.circuits) else "Left twisted"
        made.setdefault(done, []).append(f"pair {twist.name}{drain}")
    for done, pairs in made.items():
        yield Step(text=f"{done} up to the joints: {listed(*pairs)}.")


def wires_without_joint(given: Given) -> Iterator[WireWork]:
    """The wires from contact to contact: a box for each end that is made."""
    for conductor in given.worked_conductors:
        if not any(given.harness.is_joint(node) for node in (conductor.a, conductor.b)):
            yield WireWork(conductor.circuit, tuple(_straight(given, conductor)))


def _straight(given: Given, conductor: Conductor) -> Iterator[Step]:
    new = conductor.origin == "new"
    nodes = [n for n in (conductor.a, conductor.b) if new or n != conductor.point]
    cut = given.cut(conductor.id)
    length = f", cut to {cut.mm:.0f} mm" if cut is not None else ""
    first, *others = nodes
    what = AddressLine(
        conductor.circuit, f"{'new ' if new else ''}{wire_words(conductor.wire)}{length}"
    )
    yield Step(lines=(what, AddressLine(first, into(given, first))))
    for node in others:
        yield Step(at=node, text=into(given, node), with_last=True)


def capped_wires(given: Given) -> Iterator[Step]:
    """Caps for the wires that are not joined; they keep all their length."""
    for point in given.treated("cap"):
        if point.brings_lead:
            yield Step(at=point.address, text=TREAT["cap"])
