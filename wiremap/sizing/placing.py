"""The joints of a job: barrels and sleeves, where they go, and how long every conductor is cut."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from wiremap.base import Place
from wiremap.graph import Harness, Joint
from wiremap.model import Run
from wiremap.sizing.conductor import Cable
from wiremap.sizing.joint import Splice, splice
from wiremap.sizing.joint import size_joint as sized_joint
from wiremap.sizing.load import LEAD_MM, Loads, Missing, cable_of
from wiremap.sizing.sized import OutOfRange, Sized
from wiremap.sizing.splices import rule
from wiremap.sizing.stagger import (
    Layout,
    Unit,
    Window,
    fewest_abreast,
    lay_out,
    lengths_to_cut,
    more_tail,
)

DEFAULT_KIND = "butt-crimp"
PAIR_SLEEVE_MM = 25.0


@dataclass(frozen=True, slots=True)
class JointSize:
    """One joint as it will be made; `made` is None where `sized` tells why not."""

    joint: str
    circuit: str
    kind: str
    kind_stated: bool
    conductors: int
    made: Splice | None
    sized: Sized
    tinned: bool
    at_mm: float | None = None
    station: int | None = None
    run: str = ""
    place: Place | None = None


@dataclass(frozen=True, slots=True)
class RunLayout:
    """The stations of one run; `layout` is None, and `stuck` not empty, where `why` tells what stands in the way."""

    run: str
    machine: str  # end with datum 0
    unit: str
    window: Window
    units: tuple[Unit, ...]
    layout: Layout | None
    why: str = ""
    place: Place | None = None
    stuck: tuple[Unit, ...] = ()  # units without a place: left out of the layout

    @property
    def more(self) -> tuple[tuple[str, float, int, int], ...]:
        """What more tail would buy: (side, tail in mm, stations, abreast)."""
        free = tuple(u for u in self.units if u not in self.stuck)
        return more_tail(free, self.window, rule("spacing_mm"))


@dataclass(frozen=True, slots=True)
class CutLength:
    """How long one conductor is cut [mm], the slack in it for remakes, and from where it is measured."""

    conductor: str
    mm: float
    slack_mm: float
    measured_from: str


def joint_cables(joint: Joint, loads: Loads) -> tuple[list[Cable], list[Cable]] | None:
    """The conductors on the machine's side of a joint and on the other; None where a size is not known."""
    left: list[Cable] = []
    right: list[Cable] = []
    for cid in joint.conductors:
        conductor = loads.harness.conductors[cid]
        wire = _lead() if conductor.origin == "lead" else loads.cables.get(cid)
        if wire is None:
            return None
        if conductor.wire is not None and conductor.wire.bare:
            wire = cable_of(replace(conductor.wire, bare=False))
        end = loads.harness.end_of(conductor.point) if conductor.point else None
        machine = end is not None and end.side == "machine"
        (left if machine else right).append(wire)
        if conductor.origin == "direct":  # a wire that stays in service passes through
            right.append(wire)
    if not left or not right:
        both = left + right
        left, right = both[:1], both[1:]
    return left, right


def _lead() -> Cable:
    area = 3.141592653589793 / 4 * LEAD_MM**2
    return Cable(
        f"{LEAD_MM:g} mm lead",
        area,
        0.0172414 / area,
        LEAD_MM,
        None,
        "thin",
        "lead",
        "common practice: leads of small resistors and diodes",
        "common practice",
    )


def size_joints(
    loads: Loads, wet: bool, moves: bool
) -> Iterator[tuple[JointSize | None, Missing | None]]:
    """Each joint sized, or what is missing for it."""
    harness = loads.harness
    for joint in harness.joints.values():
        circuit = harness.circuit(joint.circuit)
        sides = joint_cables(joint, loads)
        if sides is None or not sides[1]:
            yield (
                None,
                Missing(
                    joint.id,
                    "a conductor's size is not known",
                    "its barrel and sleeve",
                    circuit.place,
                ),
            )
            continue
        kind = joint.kind or DEFAULT_KIND
        tinned = any(
            w.tinned for c in joint.conductors if (w := harness.conductors[c].wire) is not None
        )
        try:
            made = splice(kind, *sides, wet=wet)
            sized = sized_joint(
                *sides, kind, wet=wet, moves=moves, supported=joint.supported, tinned=tinned
            )
        except OutOfRange as refusal:
            yield None, Missing(joint.id, str(refusal), "its barrel and sleeve", circuit.place)
            continue
        yield (
            JointSize(
                joint.id,
                joint.circuit,
                kind,
                joint.kind is not None,
                len(joint.conductors),
                made,
                sized,
                tinned,
                joint.at_mm,
                place=circuit.place,
            ),
            None,
        )


class Placing:
    """Lays out the joints of every run of a job."""

    def __init__(self, harness: Harness, joints: Mapping[str, JointSize]) -> None:
        self.harness, self.joints = harness, joints

    def layouts(self) -> Iterator[tuple[RunLayout | None, Missing | None]]:
        """One layout for every run between a machine's end and another, or what is missing for it."""
        taken: set[str] = set()
        for run in self.harness.job.runs:
            machine, unit, mirrored = self._ends(run)
            if machine not in self.harness.job.ends or unit not in self.harness.job.ends:
                continue
            window = self._window(run, machine, unit, mirrored)
            name = f"{machine}-{unit}"
            if isinstance(window, Missing):
                yield None, window
                continue
            members = [j for j in self._joints_of(machine, unit) if j.id not in taken]
            taken |= {j.id for j in members}
            if members:
                units = tuple(self._units(members, machine, unit, window))
                stuck = tuple(u for u in units if not self._has_place(u, machine, unit, window))
                layout = lay_out(
                    [u for u in units if u not in stuck], rule("spacing_mm"), window.barred
                )
                why = self._why(stuck, window) if stuck else ""
                yield (
                    RunLayout(name, machine, unit, window, units, layout, why, run.place, stuck),
                    None,
                )
        yield from self._without_run(taken)

    def _ends(self, run: Run) -> tuple[str, str, bool]:
        ends = self.harness.job.ends
        if (
            run.b in ends
            and ends[run.b].side == "machine"
            and not (run.a in ends and ends[run.a].side == "machine")
        ):
            return run.b, run.a, True
        return run.a, run.b, False

    def _window(self, run: Run, machine: str, unit: str, mirrored: bool) -> Window | Missing:
        one, two = self.harness.job.ends[machine], self.harness.job.ends[unit]
        blocks = "where its joints go and how long its wires are cut"
        if run.mm is None:
            return Missing(f"{machine}-{unit}", "the run's mm are not stated", blocks, run.place)
        for end in (one, two):
            if end.has_tail and end.tail_mm is None:
                return Missing(end.name, "tail_mm is not stated", blocks, end.place)
        barred = tuple(
            (run.mm - k.to_mm, run.mm - k.from_mm) if mirrored else (k.from_mm, k.to_mm)
            for k in run.keep_out
        )
        return Window(
            run.mm,
            one.tail_mm if one.tail_mm is not None else run.mm,
            two.tail_mm if two.tail_mm is not None else run.mm,
            barred,
        )

    def _tails(self, joint: Joint) -> set[str]:
        return {
            end.name
            for a in joint.points
            if (end := self.harness.end_of(a)) is not None and end.has_tail
        }

    def _joints_of(self, machine: str, unit: str) -> list[Joint]:
        found = []
        for joint in self.harness.joints.values():
            tails = self._tails(joint)
            if tails and tails <= {machine, unit} and not joint.tap:
                found.append(joint)
        return found

    def _units(
        self, members: list[Joint], machine: str, unit: str, window: Window
    ) -> Iterator[Unit]:
        """Joints as units: the two of a twisted pair that share their ends lie together."""
        grouped: dict[tuple[str, ...], list[Joint]] = defaultdict(list)
        for joint in members:
            grouped[self._pair_key(joint)].append(joint)
        for key, joints in grouped.items():
            bounds = [self._bounds(j, machine, unit, window) for j in joints]
            if key[0] == "pair" and len(joints) == 2 and all(j.at_mm is None for j in joints):
                shift = max(
                    (
                        s.made.sleeve_cut_mm * (1 - s.made.sleeve.length_change)
                        if (s := self.joints.get(j.id))
                        and s.made
                        and s.made.sleeve
                        and s.made.sleeve_cut_mm
                        else PAIR_SLEEVE_MM
                    )
                    for j in joints
                )
                yield Unit(
                    tuple(j.id for j in joints),
                    max(b[0] for b in bounds),
                    min(b[1] for b in bounds),
                    max(self._diameter(j) for j in joints),
                    shift,
                )
                continue
            for joint, (lo, hi) in zip(joints, bounds, strict=True):
                yield Unit((joint.id,), lo, hi, self._diameter(joint))

    def _pair_key(self, joint: Joint) -> tuple[str, ...]:
        for twist in self.harness.job.twists.values():
            if joint.circuit in twist.circuits[:2] and len(twist.circuits) >= 2:
                return ("pair", twist.name, *sorted(self._tails(joint)))
        for address in joint.points:
            cavity = self.harness.points[address].cavity
            if cavity is not None and cavity.pair and cavity.function != "shield":
                return ("pair", cavity.pair, *sorted(self._tails(joint)))
        return ("single", joint.id)

    def _bounds(self, joint: Joint, machine: str, unit: str, window: Window) -> tuple[float, float]:
        if joint.at_mm is not None:
            return joint.at_mm, joint.at_mm
        return self._reach(joint, machine, unit, window)

    def _has_place(self, placed: Unit, machine: str, unit: str, window: Window) -> bool:
        lo, hi = self._reach(self.harness.joints[placed.names[0]], machine, unit, window)
        return (
            lo <= placed.lo
            and placed.hi <= hi
            and fewest_abreast([placed], 1.0, window.barred) is not None
        )

    def _reach(self, joint: Joint, machine: str, unit: str, window: Window) -> tuple[float, float]:
        """From where to where the tails that meet in a joint reach."""
        tails = self._tails(joint)
        return (
            window.lo if unit in tails else 0.0,
            window.hi if machine in tails else window.run_mm,
        )

    def _diameter(self, joint: Joint) -> float:
        sized = self.joints.get(joint.id)
        return sized.made.outside_mm if sized and sized.made else 0.0

    def _why(self, stuck: tuple[Unit, ...], window: Window) -> str:
        """What keeps these joints from a place."""
        names = ", ".join(name for u in stuck for name in u.names)
        if window.lo > window.hi and any(u.lo > u.hi for u in stuck):
            return (
                f"the tails do not meet: {window.machine_tail_mm:g} and {window.unit_tail_mm:g} mm on a run of "
                f"{window.run_mm:g} mm leave {window.lo - window.hi:g} mm between them; without a place: {names}"
            )
        spans = sorted(
            {f"{u.lo:g} mm" if u.lo == u.hi else f"{u.lo:g} to {u.hi:g} mm" for u in stuck}
        )
        return f"without a place inside the tails' reach and outside the keep-outs: {names} ({', '.join(spans)})"

    def _without_run(self, taken: set[str]) -> Iterator[tuple[None, Missing]]:
        stated = {frozenset((run.a, run.b)) for run in self.harness.job.runs}
        pairs: dict[tuple[str, ...], list[Joint]] = defaultdict(list)
        for joint in self.harness.joints.values():
            tails = self._tails(joint)
            if (
                joint.id not in taken
                and len(tails) == 2
                and joint.at_mm is None
                and frozenset(tails) not in stated
            ):
                pairs[tuple(sorted(tails))].append(joint)
        for ends, joints in sorted(pairs.items()):
            yield (
                None,
                Missing(
                    f"{ends[0]}-{ends[1]}",
                    "no run is stated between them",
                    f"where {len(joints)} joints go and how long their wires are cut",
                    self.harness.job.ends[ends[0]].place,
                ),
            )


def cut_lengths(harness: Harness, layouts: Mapping[str, RunLayout]) -> Iterator[CutLength]:
    """The length to cut of every loom and donor conductor, and of every new wire, slack for remakes on it."""
    want = rule("remakes") * rule("remake_mm") / 2
    cuts = {
        c.name: (c, run)
        for run in layouts.values()
        if run.layout
        for c in lengths_to_cut(run.layout, run.window)
    }
    for conductor in harness.conductors.values():
        joint = next((n[1:] for n in (conductor.a, conductor.b) if harness.is_joint(n)), None)
        if conductor.origin == "new" and conductor.length_mm is not None:
            ends = sum(harness.is_joint(n) for n in (conductor.a, conductor.b))
            yield CutLength(
                conductor.id, conductor.length_mm + want * ends, want * ends, "end to end"
            )
        elif conductor.origin == "tail" and joint in cuts:
            cut, run = cuts[joint]
            end = harness.end_of(conductor.point or "")
            machine = end is not None and end.name == run.machine
            yield CutLength(
                conductor.id,
                cut.machine_mm if machine else cut.unit_mm,
                cut.machine_slack_mm if machine else cut.unit_slack_mm,
                f"datum of {end.name if end else 'its end'}",
            )
