"""How far new wires reach: what decides where a unit in line, a holder, a stud is placed."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from wiremap.content.given import Given
from wiremap.content.joint_places import placed
from wiremap.content.joint_work import joint_numbers
from wiremap.content.steps import AddressLine
from wiremap.content.words import listed, number
from wiremap.graph import Conductor
from wiremap.sizing.placing import RunLayout

TWIST_SHARE = 10  # a pair is cut longer by one part of so many (common practice)
TO_BE_TWISTED = 1 + 1 / TWIST_SHARE


@dataclass(frozen=True, slots=True, kw_only=True)
class RunExit:
    """Where new wires leave a run."""

    circuit: str
    joint: str
    at_mm: float  # from the machine's last tie
    length_mm: float  # how far they go from there


def twist_words(given: Given) -> dict[str, str]:
    """The twist of each circuit of new wire that is twisted with others: `pair a`."""
    found: dict[str, str] = {}
    if not given.job.twists:
        return found
    new = {c.circuit for c in given.worked_conductors if c.is_new}
    for twist in given.job.twists.values():
        members = (*twist.circuits, *([twist.drain] if twist.drain else []))
        found.update({name: f"pair {twist.name}" for name in members if name in new})
    return found


def twisted_together(given: Given) -> frozenset[str]:
    """The circuits of new wire that are twisted with other new wire."""
    pairs = twist_words(given)
    many = Counter(pairs.values())
    return frozenset(circuit for circuit, label in pairs.items() if many[label] > 1)


def to_twist(mm: float) -> float:
    """How long a wire that will be so long once twisted is cut before it is [mm]."""
    return math.ceil(round(mm * TO_BE_TWISTED, 6))


def run_exits(given: Given, run: RunLayout) -> dict[str, RunExit]:
    """Where each twist, or new wire by itself, leaves a run, by `pair a` or the name of a circuit.

    The wires of a twist leave together, at the joint of the one that is as long as drawn: those
    that are cut longer go on beside the run, to joints further along.
    """
    if run.layout is None:
        return {}
    at_mm = {placed.name: placed.at_mm for placed in run.layout.placed}
    pairs = twist_words(given)
    found: dict[str, RunExit] = {}
    longer: dict[str, float] = {}
    for conductor in given.worked_conductors:
        joint = _joint(given, conductor)
        cut = given.cut(conductor.id)
        if not conductor.is_new or joint not in at_mm or cut is None:
            continue
        label = pairs.get(conductor.circuit, conductor.circuit)
        if label in longer and longer[label] <= cut.mm:
            continue
        longer[label] = cut.mm
        found[label] = RunExit(
            circuit=conductor.circuit,
            joint=joint,
            at_mm=at_mm[joint],
            length_mm=cut.mm - cut.slack_mm,
        )
    return found


def all_run_exits(given: Given) -> dict[str, RunExit]:
    """The exits of all runs."""
    found: dict[str, RunExit] = {}
    for run in given.runs:
        found.update(run_exits(given, run))
    return found


def reaches(given: Given) -> Iterator[AddressLine]:
    """For each new wire, or twist of them, from where to where it goes, and how far at most."""
    pairs = twist_words(given)
    exits = all_run_exits(given)
    told: set[str] = set()
    for conductor in given.worked_conductors:
        label = pairs.get(conductor.circuit, conductor.circuit)
        if not conductor.is_new or label in told:
            continue
        mm = _drawn_mm(given, conductor)
        if label in exits:
            mm = exits[label].length_mm
            conductor = _of(given, exits[label].circuit)
        told.add(label)
        if mm is not None:
            words = listed(f"{number(mm)} mm at most", _bare_feed(given, conductor))
            yield AddressLine(" – ".join(_from_to(given, conductor)), words)


def where_left(given: Given, label: str) -> str:
    """`J2 at 65`: the joint at which a twist leaves its run; empty where it meets none."""
    run_exit = all_run_exits(given).get(label)
    if run_exit is None:
        return ""
    return _joint_words(given, run_exit.joint)


def _of(given: Given, circuit: str) -> Conductor:
    """The new wire of a circuit."""
    wires = given.harness.conductors_by_circuit[circuit]
    return next(wire for wire in wires if wire.is_new)


def _joint(given: Given, conductor: Conductor) -> str:
    """The joint that a wire ends in; empty where it meets none."""
    nodes = (conductor.a, conductor.b)
    return next((node[1:] for node in nodes if given.harness.is_joint(node)), "")


def _drawn_mm(given: Given, conductor: Conductor) -> float | None:
    """How long a wire is without the slack of its joints [mm]."""
    cut = given.cut(conductor.id)
    return None if cut is None else cut.mm - cut.slack_mm


def _from_to(given: Given, conductor: Conductor) -> list[str]:
    """The two ends of a wire: a joint by its place, a T by the contact that it is behind."""
    joint = _joint(given, conductor)
    far = list(given.loose_ends(conductor))
    if not joint:
        return far
    meets = given.harness.joints[joint]
    taps = [str(a) for a in meets.points if meets.tap and given.harness.points[a].is_tap]
    return [next(iter(taps), None) or _joint_words(given, joint), *far]


def _joint_words(given: Given, joint: str) -> str:
    return placed(given, joint_numbers(given), given.harness.joints[joint])


def _bare_feed(given: Given, conductor: Conductor) -> str:
    """Which fuse lies before a lead between a wire in service and our own fuse, which does not
    protect it; empty of every other wire.
    """
    joint = given.harness.joints.get(_joint(given, conductor))
    ends = [given.harness.points[a].end for a in joint.points] if joint is not None else []
    if not any(end is not None and end.is_tap for end in ends):
        return ""
    fuses = [extra for extra in given.job.extras.values() if extra.is_fuse]
    holders = {leg for fuse in fuses for leg in fuse.legs}
    if joint is None or not holders.intersection(given.loose_ends(conductor)):
        return ""
    before = [fuse.label for fuse in given.fuses_out if set(fuse.feeds) & set(joint.points)]
    return f"only {listed(*before)} before it" if before else "no fuse before it"
