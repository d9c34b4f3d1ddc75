"""Family `joint`: where joints lie in their run."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from wiremap.base import plural
from wiremap.model import KeepOut, Run
from wiremap.rules.cure import SIGN, said_anew
from wiremap.rules.registry import Family, Hit, Hits, Matter
from wiremap.rules.sized import sizes
from wiremap.rules.view import View
from wiremap.sizing.placing import JointSize, RunLayout
from wiremap.sizing.splices import rule as splice_rule
from wiremap.sizing.stations import JointGroup

JOINT = Family("joint", Matter.BENCH)


@dataclass(frozen=True, slots=True)
class Crowding:
    """Joints too close to one another: what is too close, and what helps."""

    reason: str
    fix: str


@dataclass(frozen=True, slots=True)
class Gap:
    """Two joints that the job itself puts at places of its own, and how far apart [mm]."""

    one: JointSize
    two: JointSize
    mm: float


@JOINT.caution(
    "sleeves-overlap",
    what="{run}: {reason}",
    why="Joints side by side make a thick place, chafe through one another's sleeves, and leave no "
    "room to close them.",
    fix="{fix}",
    source="workshop texts: 40 mm between splices",
)
def sleeves_overlap(view: View) -> Hits:
    """Joints that must lie side by side, or that the job itself puts too close together."""
    for layout in sizes(view).runs.values():
        crowding = _abreast(layout)
        if crowding is not None:
            yield _crowded(view, layout, (layout.machine, layout.unit), crowding)
        for group in layout.groups:
            crowding = _narrow(layout, group)
            if crowding is not None:
                yield _crowded(view, layout, group.names, crowding)
        for gap in _gaps(view, layout):
            joints = f"{gap.one.joint} and {gap.two.joint}"
            yield view.hit(
                gap.one.circuit,
                gap.two.circuit,
                place=view.harness.circuit(gap.two.circuit).at("at_mm"),
                run=layout.run,
                reason=f"{joints} lie {gap.mm:g} mm apart",
                fix="Move one of them: 40 mm from any other joint.",
            )


def _crowded(view: View, layout: RunLayout, subject: tuple[str, ...], crowding: Crowding) -> Hit:
    facts = {"run": layout.run, "reason": crowding.reason, "fix": crowding.fix}
    return view.hit_with(subject, facts, layout.place)


def _abreast(layout: RunLayout) -> Crowding | None:
    """More joints side by side than the two of one pair."""
    laid = layout.layout
    if laid is None or laid.abreast <= 1:
        return None
    groups = [group for group in layout.groups if group not in layout.stuck]
    at = Counter(laid.at(group.names[0]).station for group in groups)
    shared = sum(count > 1 for count in at.values())
    if not shared:
        return None
    places = plural(shared, "place")
    reason = f"{laid.abreast} joints lie side by side at {places}, {laid.lump_mm:.3g} mm thick"
    return Crowding(reason, _more_tail(layout))


def _more_tail(layout: RunLayout) -> str:
    bought = []
    for side, mm, _stations, abreast in layout.more:
        tail = layout.machine if side == "machine" else layout.unit
        bought.append(f"{mm:g} mm of {tail} tail gives {abreast} side by side")
    if not bought:
        return "Lengthen the run, or sign the thick place" + SIGN + "."
    return f"Peel back more: {'; '.join(bought)}."


def _narrow(layout: RunLayout, group: JointGroup) -> Crowding | None:
    """A pair whose window is shorter than one sleeve."""
    if layout.layout is None or len(group.names) != 2 or group in layout.stuck:
        return None
    one, two = (layout.layout.at(name).at_mm for name in group.names)
    if abs(one - two) >= group.shift_mm - 1:
        return None
    names = " and ".join(group.names)
    sleeves = f"less than their sleeves of {group.shift_mm:.0f} mm"
    reason = f"the pair's joints {names} lie {abs(one - two):.0f} mm apart, {sleeves}"
    return Crowding(reason, "Peel back more tail, or take shorter sleeves.")


def _gaps(view: View, layout: RunLayout) -> Iterator[Gap]:
    table = sizes(view).joints
    fixed = sorted((group.lo, group.names[0]) for group in layout.groups if _is_fixed(group))
    for (a, one), (b, two) in pairwise(fixed):
        if b - a < splice_rule("spacing_mm") and one in table and two in table:
            yield Gap(table[one], table[two], b - a)


def _is_fixed(group: JointGroup) -> bool:
    """Whether the job says where a single joint lies."""
    return group.lo == group.hi and len(group.names) == 1


@JOINT.caution(
    "joint-too-near",
    what="{joint}: at {at:g} mm it lies {where}",
    why="A joint does not bear bending, heat or a blow, and near a connector it works loose.",
    fix="Move it out of there: 40 mm from a connector or branch, clear of every keep-out.",
    source="workshop texts: 40 mm from a connector, branch or other splice",
)
def joint_too_near(view: View) -> Hits:
    """A joint that the job puts into a keep-out, or too near an end of the run."""
    for layout in sizes(view).runs.values():
        run = _run_of(view, layout)
        for group in filter(_is_fixed, layout.groups):
            where = _trouble(run, layout, group)
            if where:
                joint = view.harness.joints[group.names[0]]
                circuit = view.harness.circuit(joint.circuit)
                yield view.circuit_hit(circuit, "at_mm", joint=joint.id, at=group.lo, where=where)


def _run_of(view: View, layout: RunLayout) -> Run:
    ends = {layout.machine, layout.unit}
    runs = (run for run in view.job.runs if run.place == layout.place and {run.a, run.b} == ends)
    return next(runs)


def _trouble(run: Run, layout: RunLayout, group: JointGroup) -> str:
    """Where a joint lies that it must not, in words; else empty."""
    at, length, clear = group.lo, layout.window.run_mm, splice_rule("spacing_mm")
    kept = _keep_out(run, layout, at)
    if kept is not None:
        return f"in the keep-out for {kept.why or 'a stated reason'}"
    if at < clear or at > length - clear:
        return f"within {clear:g} mm of the last tie"
    if group in layout.stuck:
        return "out of its tails' reach"
    return ""


def _keep_out(run: Run, layout: RunLayout, at: float) -> KeepOut | None:
    """The keep-out that a place lies in; its own edges are free but at the ends of the run."""
    if not run.keep_out:  # what the window then bars are the ties
        return None
    for keep_out, (low, high) in zip(run.keep_out, layout.window.keep_out, strict=True):
        on_edge = at in (low, high) and 0 < at < layout.window.run_mm
        if low <= at <= high and not on_edge:
            return keep_out
    return None


@JOINT.caution(
    "joint-has-no-place",
    what="{run}: {why}",
    why="The two tails cannot be joined as they are.",
    fix="Peel back more tail, or bridge with new wire at least 100 mm longer than the gap and two "
    "joints a wire; a tail that is longer" + said_anew("tail_mm"),
    source="workshop texts on inserted repair wire",
)
def joint_has_no_place(view: View) -> Hits:
    """A run whose tails do not meet, or whose joints have no place outside the keep-outs."""
    joints = view.harness.joints
    for layout in sizes(view).runs.values():
        stuck = [name for group in layout.stuck for name in group.names]
        if any(joints[name].at_mm is None for name in stuck):
            facts = {"run": layout.run, "why": layout.why}
            yield view.hit_with((layout.machine, layout.unit), facts, layout.place)
