"""What is done to wires beside the joints: what lies over them first, new wires, caps."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wiremap.content.given import Given
from wiremap.content.joint_ends import into, wire_end_steps
from wiremap.content.joint_work import SELF_SLEEVED, joint_kind, joint_order
from wiremap.content.outer_sleeve import outer_sleeves
from wiremap.content.reaches import all_run_exits, twist_words, where_left
from wiremap.content.steps import Step
from wiremap.content.words import listed, number, wire_words
from wiremap.graph import Conductor
from wiremap.model import EndKind
from wiremap.rules.limits import limit as rule_limit
from wiremap.trade.limits import limit

CAPPED = "cap on, tied back; sealed after the ring-out"


@dataclass(frozen=True, slots=True)
class WireWork:
    """A wire that meets no joint: its circuit, and a step for each of its ends."""

    circuit: str
    steps: tuple[Step, ...]


def before_joints(given: Given) -> Iterator[Step]:
    """What has to lie over the wires before they are joined."""
    order = joint_order(given)
    if all(joint_kind(given, joint) == SELF_SLEEVED for joint in order):
        return
    for sleeve in outer_sleeves(given):
        if sleeve.waits:
            passing = f" (passes {sleeve.thick_mm:.0f} mm)" if sleeve.thick_mm else ""
            cut = f"cut {number(sleeve.cut_mm)} mm"
            where = f"over the free end of {sleeve.waits}, pushed up to its plug"
            text = f"outer sleeve{passing}, {cut}, and boot slid on: {where}"
            yield Step(at=sleeve.run, text=text)


def new_wires(given: Given) -> Iterator[Step]:
    """Each end of a new wire that goes into a contact, a holder or on a stud, and the twists."""
    pairs = twist_words(given)
    jointless = list(_new_jointless(given))
    in_twist = [conductor.id for conductor in jointless if conductor.circuit in pairs]
    for conductor in new_as_cut(given):
        if conductor.id not in in_twist:
            yield from wire_end_steps(given, conductor)
    for label in dict.fromkeys(pairs.values()):
        circuits = [circuit for circuit, pair in pairs.items() if pair == label]
        of_pair = [conductor for conductor in jointless if conductor.circuit in circuits]
        yield from _twisted(given, label, circuits, of_pair)


def new_as_cut(given: Given) -> Iterator[Conductor]:
    """The new wires in the order in which they are cut: those of joints, straight ones, twists."""
    for joint in joint_order(given):
        yield from (c for c in given.conductors(joint) if c.is_new)
    pairs = list(twist_words(given).items())
    labels = ["", *dict.fromkeys(label for _, label in pairs)]
    of_twist = dict(pairs)
    jointless = _new_jointless(given)
    yield from sorted(jointless, key=lambda c: labels.index(of_twist.get(c.circuit, "")))


def _new_jointless(given: Given) -> Iterator[Conductor]:
    """The new wires that meet no joint."""
    return (conductor for conductor in _jointless(given) if conductor.is_new)


def _twisted(
    given: Given, label: str, circuits: list[str], jointless: list[Conductor]
) -> Iterator[Step]:
    """A pair of new wires: its first ends, the twist, and then what goes into contacts beyond."""
    ends = [tuple(wire_end_steps(given, conductor)) for conductor in jointless]
    for steps in ends:
        yield from steps[:1]
    if len(circuits) > 1:
        yield Step(
            at=label,
            text=f"{listed(*circuits)}: {_how_far(given, label)}{_trimmed(given, circuits)}",
        )
    for steps in ends:
        yield from steps[1:]


def _trimmed(given: Given, circuits: list[str]) -> str:
    """To which length each wire of a twist is trimmed once it is twisted."""
    wires = (c for c in given.worked_conductors if c.is_new and c.circuit in circuits)
    cuts = ((wire.circuit, given.cut(wire.id)) for wire in wires)
    lengths = {circuit: f"{cut.mm:.0f} mm" for circuit, cut in cuts if cut is not None}
    if not lengths:
        return ""
    told = listed(*(f"{circuit} {mm}" for circuit, mm in lengths.items()))
    if len(set(lengths.values())) == 1:
        told = f"{'both' if len(lengths) == 2 else 'each'} to {next(iter(lengths.values()))}"
    return f"; trimmed: {told}; then their flags there"


def _how_far(given: Given, label: str) -> str:
    """From where to where a pair is twisted: as far as the joint at which it leaves the run."""
    run_exit = all_run_exits(given).get(label)
    turns = f"a turn every {number(limit('twist-turn-mm'))} mm"
    straight = f"at most {number(rule_limit('untwisted-mm'))} mm of it straight at each contact"
    if run_exit is None:
        return f"twisted together along all their length, {turns}, {straight}"
    length = f"for {number(run_exit.length_mm)} mm from their contacts"
    return f"twisted {length}, {turns}, {straight}; leaves the run at {where_left(given, label)}"


def tails_without_joint(given: Given) -> Iterator[Step]:
    """The wires of a tail that go straight into a contact of ours."""
    for conductor in _jointless(given):
        if not conductor.is_new:
            yield from _tail_steps(given, conductor)


def wires_without_joint(given: Given) -> Iterator[WireWork]:
    """The wires from contact to contact: a box for each end that is made."""
    for conductor in _jointless(given):
        steps = wire_end_steps if conductor.is_new else _tail_steps
        yield WireWork(conductor.circuit, tuple(steps(given, conductor)))


def _jointless(given: Given) -> Iterator[Conductor]:
    """The conductors that meet no joint."""
    for conductor in given.worked_conductors:
        if not any(given.harness.is_joint(node) for node in (conductor.a, conductor.b)):
            yield conductor


def _tail_steps(given: Given, conductor: Conductor) -> Iterator[Step]:
    """The far end of a wire that an end brings: into a contact without a joint."""
    cut = given.cut(conductor.id)
    length = f"cut to {cut.mm:.0f} mm" if cut is not None else ""
    wire = listed(wire_words(conductor.wire), length, conductor.circuit)
    for node in (conductor.a, conductor.b):
        if node != conductor.point:
            yield Step(at=node, text=listed(wire, into(given, conductor, node)))


def capped_wires(given: Given) -> Iterator[Step]:
    """Caps for the wires that are not joined; they keep all their length, from the cut on."""
    tail = number(limit("kept-plug-tail-mm"))
    parted = f"parted {tail} mm behind the old plug"
    for point in given.treated("cap"):
        if point.brings_lead:
            cut = point.end is not None and point.end.kind == EndKind.CUT_TAIL
            yield Step(at=point.address, text=listed(parted if cut else "", CAPPED))
