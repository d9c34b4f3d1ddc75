"""The joints of a job: barrels and sleeves, where they go, how long every conductor is cut."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import NamedTuple

from wiremap.base import Place
from wiremap.graph import Harness, Joint
from wiremap.model import End, Run
from wiremap.sizing.conductor import Cable
from wiremap.sizing.joint import SizedJoint, Splice, splice
from wiremap.sizing.joint import size_joint as sized_joint
from wiremap.sizing.joint_sides import SidesInCable, joint_cables
from wiremap.sizing.load import Loads, Missing
from wiremap.sizing.sized import OutOfRange
from wiremap.sizing.splices import rule
from wiremap.sizing.stagger import MoreTail, more_tail
from wiremap.sizing.stations import (
    UNKNOWN_MM,
    JointGroup,
    Layout,
    Window,
    fewest_abreast,
    lay_out,
)

DEFAULT_KIND = "butt-crimp"
BARREL = "its barrel and sleeve"
TOGETHER = "pair"  # first word of the key under which joints of one pair are grouped
ALONE = "single"


@dataclass(frozen=True, slots=True, kw_only=True)
class JointSize:
    """One joint as it will be made; `made` is None where `sized` tells why not."""

    joint: str
    circuit: str
    kind: str
    conductors: int
    made: Splice | None
    sized: SizedJoint
    tinned: bool
    at_mm: float | None
    station: int | None = None
    run: str = ""
    place: Place | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RunLayout:
    """The stations of one run.

    `layout` is None, and `stuck` not empty, where `why` tells what stands in the way.
    """

    run: str
    machine: str  # end with datum 0
    unit: str
    window: Window
    groups: tuple[JointGroup, ...]
    layout: Layout | None
    why: str
    place: Place | None
    stuck: tuple[JointGroup, ...]  # groups without a place: left out of the layout

    @property
    def more(self) -> tuple[MoreTail, ...]:
        """What peeling back more tail would buy."""
        free = tuple(group for group in self.groups if group not in self.stuck)
        return more_tail(free, self.window, rule("spacing_mm"))


def size_joints(loads: Loads, *, wet: bool, moves: bool) -> Iterator[JointSize | Missing]:
    """Each joint sized, or what is missing for it."""
    for joint in loads.harness.joints.values():
        place = loads.harness.circuit(joint.circuit).place
        try:
            sides = joint_cables(joint, loads)
            if sides is None or not sides.right:
                yield Missing(joint.id, "a conductor's size is not known", BARREL, place)
                continue
            yield _size(joint, sides, loads, wet=wet, moves=moves)
        except OutOfRange as refusal:
            yield Missing(joint.id, str(refusal), BARREL, place)


def _size(joint: Joint, sides: SidesInCable, loads: Loads, *, wet: bool, moves: bool) -> JointSize:
    kind = joint.kind or DEFAULT_KIND
    wires = [loads.harness.conductors[name].wire for name in joint.conductors]
    tinned = any(wire is not None and wire.tinned for wire in wires)
    answer = _answer(
        kind,
        tuple(sides.left),
        tuple(sides.right),
        wet=wet,
        moves=moves,
        supported=joint.supported,
        tinned=tinned,
    )
    return JointSize(
        joint=joint.id,
        circuit=joint.circuit,
        kind=kind,
        conductors=len(joint.conductors),
        made=answer.made,
        sized=answer.sized,
        tinned=tinned,
        at_mm=joint.at_mm,
        place=loads.harness.circuit(joint.circuit).place,
    )


class _Answer(NamedTuple):
    """A joint as it will be made, and its figures with their parents."""

    made: Splice | None
    sized: SizedJoint


@lru_cache(maxsize=1024)
def _answer(
    kind: str,
    left: tuple[Cable, ...],
    right: tuple[Cable, ...],
    *,
    wet: bool,
    moves: bool,
    supported: bool,
    tinned: bool,
) -> _Answer:
    """The answer for conductors in a place: a harness has many joints of few kinds."""
    sized = sized_joint(left, right, kind, wet=wet, moves=moves, supported=supported, tinned=tinned)
    return _Answer(splice(kind, left, right, wet=wet), sized)


@dataclass(frozen=True, slots=True)
class RunEnds:
    """A run between a machine's end and another, with the window its joints may lie in."""

    machine: str
    unit: str
    window: Window
    place: Place | None

    @property
    def name(self) -> str:
        """How the run is called: by its two ends, the machine's first."""
        return f"{self.machine}-{self.unit}"


class Placing:
    """Lays out the joints of every run of a job."""

    def __init__(self, harness: Harness, joints: Mapping[str, JointSize]) -> None:
        self.harness = harness
        self.joints = joints

    def layouts(self) -> Iterator[RunLayout | Missing]:
        """One layout for every run between two ends of the job, or what is missing for it.

        Raises OutOfRange for a place so crowded that its thickness is beyond the tables.
        """
        taken: set[str] = set()
        for run in self.harness.job.runs:
            ends = self._ends_of(run)
            if isinstance(ends, Missing):
                yield ends
            elif ends is not None:
                members = [joint for joint in self._joints_of(ends) if joint.id not in taken]
                taken.update(joint.id for joint in members)
                if members:
                    yield self._layout(self._off_ties(ends, members), members)
        yield from self._without_run(taken)

    def _layout(self, ends: RunEnds, members: list[Joint]) -> RunLayout:
        groups = tuple(self._groups(members, ends))
        stuck = tuple(group for group in groups if not self._has_place(group, ends))
        free = [group for group in groups if group not in stuck]
        return RunLayout(
            run=ends.name,
            machine=ends.machine,
            unit=ends.unit,
            window=ends.window,
            groups=groups,
            layout=lay_out(free, rule("spacing_mm"), ends.window.barred),
            why=_why(stuck, ends.window) if stuck else "",
            place=ends.place,
            stuck=stuck,
        )

    def _off_ties(self, ends: RunEnds, members: list[Joint]) -> RunEnds:
        """The run with both its ties kept clear by half a sleeve, where nobody states keep-outs.

        A joint on a tie is bent and chafed there (common practice).  Where a joint would lose its
        only place so, the run is left as it is.
        """
        mades = [self.joints[joint.id].made for joint in members if joint.id in self.joints]
        sleeves = [each.sleeve_cut_mm for each in mades if each is not None and each.sleeve_cut_mm]
        window = ends.window
        if window.keep_out or not sleeves:
            return ends
        half = math.ceil(max(sleeves) / 2)
        if 2 * half >= window.run_mm:
            return ends
        tried = replace(ends, window=window.off_ties(half))
        groups = self._groups(members, tried)
        return tried if all(self._has_place(group, tried) for group in groups) else ends

    def _ends_of(self, run: Run) -> RunEnds | Missing | None:
        """A run told from the machine's side, its keep-outs turned with it.

        None where it names an end that the job has not.
        """
        one = self.harness.job.ends.get(run.a)
        two = self.harness.job.ends.get(run.b)
        if one is None or two is None:
            return None
        mirrored = two.is_machine and not one.is_machine
        machine, unit = (two, one) if mirrored else (one, two)
        lack = self._lack(run, machine, unit)
        if lack is not None:
            return lack
        assert run.mm is not None
        barred = []
        for keep in run.keep_out:
            span = (keep.from_mm, keep.to_mm)
            if mirrored:
                span = (run.mm - keep.to_mm, run.mm - keep.from_mm)
            barred.append(span)
        window = Window(
            run_mm=run.mm,
            machine_tail_mm=run.mm if machine.tail_mm is None else machine.tail_mm,
            unit_tail_mm=run.mm if unit.tail_mm is None else unit.tail_mm,
            keep_out=tuple(barred),
        )
        return RunEnds(machine.name, unit.name, window, run.place)

    def _lack(self, run: Run, machine: End, unit: End) -> Missing | None:
        blocks = "where its joints go and how long its wires are cut"
        if run.mm is None:
            name = f"{machine.name}-{unit.name}"
            return Missing(name, "the run's mm are not stated", blocks, run.place)
        for end in (machine, unit):
            if end.has_tail and end.tail_mm is None:
                return Missing(end.name, "tail_mm is not stated", blocks, end.place)
        return None

    def _tails(self, joint: Joint) -> set[str]:
        """The ends whose tails meet in a joint."""
        found = set()
        for address in joint.points:
            end = self.harness.end_of(address)
            if end is not None and end.has_tail:
                found.add(end.name)
        return found

    def _joints_of(self, ends: RunEnds) -> Iterator[Joint]:
        for joint in self.harness.joints.values():
            tails = self._tails(joint)
            if tails and tails <= {ends.machine, ends.unit} and not joint.tap:
                yield joint

    def _groups(self, members: list[Joint], ends: RunEnds) -> Iterator[JointGroup]:
        """Joints as groups: the two of a twisted pair that share their ends lie together."""
        grouped: dict[tuple[str, ...], list[Joint]] = defaultdict(list)
        for joint in members:
            grouped[self._pair_key(joint)].append(joint)
        for key, joints in grouped.items():
            free = all(joint.at_mm is None for joint in joints)
            if key[0] == TOGETHER and len(joints) == 2 and free:
                yield self._pair(joints, ends)
                continue
            for joint in joints:
                low, high = self._bounds(joint, ends)
                yield JointGroup((joint.id,), low, high, self._diameter(joint))

    def _pair(self, joints: list[Joint], ends: RunEnds) -> JointGroup:
        """Two joints in the reach of both, one sleeve apart."""
        bounds = [self._bounds(joint, ends) for joint in joints]
        return JointGroup(
            names=tuple(joint.id for joint in joints),
            lo=max(low for low, _ in bounds),
            hi=min(high for _, high in bounds),
            diameter_mm=max(map(self._diameter, joints)),
            shift_mm=max(map(self._sleeve_mm, joints)),
        )

    def _sleeve_mm(self, joint: Joint) -> float:
        """Length of a joint's shrunk sleeve [mm], or a usual one where it has none."""
        made = self._made(joint)
        if made is None or made.sleeve is None or not made.sleeve_cut_mm:
            return rule("pair_sleeve_mm")
        return made.sleeve_cut_mm * (1 - made.sleeve.length_change)

    def _made(self, joint: Joint) -> Splice | None:
        sized = self.joints.get(joint.id)
        return sized.made if sized else None

    def _pair_key(self, joint: Joint) -> tuple[str, ...]:
        """What joints of one pair have in common; a joint's own name where it belongs to none."""
        name = self._pair_name(joint)
        if name is None:
            return ALONE, joint.id
        return TOGETHER, name, *sorted(self._tails(joint))

    def _pair_name(self, joint: Joint) -> str | None:
        """The twist or the bus pair that a joint's circuit is half of; None for others."""
        for twist in self.harness.job.twists.values():
            if joint.circuit in twist.circuits[:2] and len(twist.circuits) >= 2:
                return twist.name
        for address in joint.points:
            cavity = self.harness.points[address].cavity
            if cavity is not None and cavity.pair and cavity.function != "shield":
                return cavity.pair
        return None

    def _bounds(self, joint: Joint, ends: RunEnds) -> tuple[float, float]:
        """From where to where a joint may lie [mm]: its stated place alone, or the tails' reach."""
        if joint.at_mm is not None:
            return joint.at_mm, joint.at_mm
        return self._reach(joint, ends)

    def _has_place(self, group: JointGroup, ends: RunEnds) -> bool:
        """Whether a group fits within its tails' reach and outside the keep-outs, all alone."""
        low, high = self._reach(self.harness.joints[group.names[0]], ends)
        if group.lo < low or group.hi > high:
            return False
        return fewest_abreast([group], 1.0, ends.window.barred) is not None

    def _reach(self, joint: Joint, ends: RunEnds) -> tuple[float, float]:
        """From where to where the tails that meet in a joint reach [mm]."""
        tails = self._tails(joint)
        low = ends.window.lo if ends.unit in tails else 0.0
        high = ends.window.hi if ends.machine in tails else ends.window.run_mm
        return low, high

    def _diameter(self, joint: Joint) -> float:
        made = self._made(joint)
        return made.outside_mm if made else UNKNOWN_MM

    def _without_run(self, taken: set[str]) -> Iterator[Missing]:
        """The ends between which joints lie and no run is stated."""
        stated = {frozenset((run.a, run.b)) for run in self.harness.job.runs}
        pairs: dict[tuple[str, ...], int] = defaultdict(int)
        for joint in self.harness.joints.values():
            tails = self._tails(joint)
            if len(tails) != 2 or frozenset(tails) in stated:
                continue
            if joint.id not in taken and joint.at_mm is None:
                pairs[tuple(sorted(tails))] += 1
        for both, count in sorted(pairs.items()):
            blocks = f"where {count} joints go and how long their wires are cut"
            place = self.harness.job.ends[both[0]].place
            yield Missing("-".join(both), "no run is stated between them", blocks, place)


def _why(stuck: tuple[JointGroup, ...], window: Window) -> str:
    """What keeps these joints from a place."""
    names = ", ".join(name for group in stuck for name in group.names)
    if window.lo > window.hi and any(group.lo > group.hi for group in stuck):
        return f"{window.gap_told}; without a place: {names}"
    spans = ", ".join(sorted(set(map(_span, stuck))))
    reach = "inside the tails' reach and outside the keep-outs"
    return f"without a place {reach}: {names} ({spans})"


def _span(group: JointGroup) -> str:
    if group.lo == group.hi:
        return f"{group.lo:g} mm"
    return f"{group.lo:g} to {group.hi:g} mm"
