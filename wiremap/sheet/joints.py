"""Second page: the joints one wire at a time, and their places at true scale."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from wiremap.graph import Joint
from wiremap.sheet.given import Given
from wiremap.sheet.pieces import Block, JointRow, Joints, Section, Spot, Stage, Step, Strip, Text
from wiremap.sheet.words import conductor_words, number, wire_words

SOLDER = ("lap-solder", "solder-sleeve")
FIRST = "Outer sleeve and connector boot go over the loom now, pushed back past the last joint. Label both sides of every wire."


def joint_order(given: Given) -> list[Joint]:
    """The joints in working order: along the run from the machine's datum, the unplaced ones last."""
    worked = {c.id for c in given.worked}
    joints = [j for j in given.harness.joints.values() if j.circuit in worked]
    index = {j.id: i for i, j in enumerate(joints)}
    return sorted(joints, key=lambda j: (_at(given, j) is None, _at(given, j) or 0.0, index[j.id]))


def _at(given: Given, joint: Joint) -> float | None:
    size = given.sizes.joints.get(joint.id) if given.sizes else None
    return size.at_mm if size is not None and size.at_mm is not None else joint.at_mm


def joints_section(given: Given) -> Section:
    """Every joint as one row of work."""
    order = joint_order(given)
    if not order:
        text = "This job has no joints: every conductor runs from contact to contact."
        return Section("joints", "Joints, one wire at a time", "", (Text(text), *_contacts(given)))
    like = _alike(given)
    blocks: list[Block] = [Step("0", FIRST)]
    blocks.append(Joints(tuple(_row(given, n, joint, like) for n, joint in enumerate(order, 1))))
    blocks += _contacts(given)
    lead = "Cut one wire, finish its row, then the next. The sleeve waits clear of the heat; shrink it after the ring-out."
    if given.sizes and given.sizes.cuts:
        found = {cut.slack_mm for cut in given.sizes.cuts.values()}
        lead += " Cut: mm, machine side first, " + ("slack for two remakes in it." if len(found) == 1 else "slack as in lengths.")
    if any(a in like for j in order for a in j.points):
        lead += " Like: same colours, told apart by cavity and a beep."
    if any(j.circuit in given.harm for j in order):
        lead += " !: mixed up, something breaks or moves."
    measured = "cut lengths run from each end's own datum: its last tie or branch"
    return Section("joints", "Joints, one wire at a time", measured, tuple(blocks), lead)


def _origin(given: Given) -> str:
    return next((r.machine for r in given.sizes.runs.values()), "") if given.sizes else ""


def _row(given: Given, n: int, joint: Joint, like: dict[str, tuple[str, ...]]) -> JointRow:
    wires = []
    for conductor in (given.harness.conductors[c] for c in joint.conductors):
        text = conductor_words(given.harness, conductor)
        cut = given.sizes.cuts.get(conductor.id) if given.sizes else None
        if conductor.origin == "new" and cut is not None:
            text = text.replace(" to ", f" {cut.mm:.0f} mm to ", 1) if " to " in text else f"{text} {cut.mm:.0f} mm"
        if conductor.origin == "tail" and (others := like.get(conductor.point or "")):
            text += f" (like {', '.join(others) if len(others) < 3 else f'{others[0]} and {len(others) - 1} more'})"
        wires.append(text)
    return JointRow(n, joint.circuit in given.harm, joint.id, tuple(wires), tuple(_stages(given, joint)))


def _stages(given: Given, joint: Joint) -> Iterator[Stage]:
    size = given.sizes.joints.get(joint.id) if given.sizes else None
    made = size.made if size else None
    kind = (size.kind if size else joint.kind) or "butt-crimp"
    sleeve = made.sleeve if made else None
    if kind != "solder-sleeve":
        if sleeve is not None and made is not None and made.sleeve_cut_mm:
            yield Stage(f"sleeve {sleeve.name} × {made.sleeve_cut_mm:.0f}")
        else:
            yield Stage("sleeve ________")
    cuts = _cut_lengths(given, joint)
    yield Stage("open, not cut" if joint.tap else f"cut {'/'.join(cuts)}" if cuts else "cut")
    yield Stage(f"strip {number(made.strip_mm)}" if made else "strip ____")
    if kind in SOLDER:
        yield Stage("lap and solder" if kind == "lap-solder" else "solder sleeve, heat")
    else:
        yield Stage(f"crimp {made.barrel.name}" if made and made.barrel else f"{kind.replace('-', ' ')} ________")
    yield Stage("tug")
    yield from _far_ends(given, joint)
    if kind != "solder-sleeve":
        yield Stage("shrink")


def _cut_lengths(given: Given, joint: Joint) -> list[str]:
    """Where this joint's tails are cut, machine side first, each length of an end once."""
    found: dict[tuple[int, str, str], None] = {}
    for cid in joint.conductors:
        conductor = given.harness.conductors[cid]
        cut = given.sizes.cuts.get(cid) if given.sizes else None
        end = given.harness.end_of(conductor.point) if conductor.point else None
        if conductor.origin == "tail" and cut is not None and end is not None:
            found[0 if end.side == "machine" else 1, end.name, f"{cut.mm:.0f}"] = None
    return [mm for _, _, mm in sorted(found)]


def _far_ends(given: Given, joint: Joint) -> Iterator[Stage]:
    """Where a new wire of this joint ends in a contact, a holder or a ring: that belongs to the same row."""
    for cid in joint.conductors:
        conductor = given.harness.conductors[cid]
        if conductor.origin == "new":
            for node in (conductor.a, conductor.b):
                if not given.harness.is_joint(node):
                    yield Stage(_into(given, node))


def _alike(given: Given) -> dict[str, tuple[str, ...]]:
    """For each wire the others of its end that bear the same colours, in whatever order."""
    groups: dict[tuple[str, str], list[str]] = defaultdict(list)
    for point in given.harness.points.values():
        cavity = point.cavity
        if cavity is None or cavity.wire is None or not point.brings_lead or cavity.wire.colour is None:
            continue
        groups[(point.owner, "+".join(sorted(cavity.wire.colour.colours)))].append(point.address)
    return {a: tuple(o for o in alike if o != a) for alike in groups.values() for a in alike if len(alike) > 1}


def _contacts(given: Given) -> list[Step]:
    """The conductors that meet no joint: from contact to contact."""
    worked = {c.id for c in given.worked}
    rows: list[Step] = []
    for conductor in given.harness.conductors.values():
        ends = [x for x in (conductor.a, conductor.b) if not given.harness.is_joint(x)]
        if conductor.circuit not in worked or len(ends) < 2:
            continue
        crimped = ends if conductor.origin == "new" else [x for x in ends if x != conductor.point]
        length = f", {number(conductor.length_mm)} mm" if conductor.length_mm is not None else ""
        what = f"new {wire_words(conductor.wire)}" if conductor.origin == "new" else conductor_words(given.harness, conductor)
        rows.append(
            Step(
                "no joint" if not rows else "",
                f"{conductor.circuit}: {what}{length}; {', '.join(_into(given, x) for x in crimped)}; tug.",
            )
        )
    return rows


def _into(given: Given, address: str) -> str:
    point = given.harness.points[address]
    if point.kind == "stud":
        return f"ring on {address}, bare metal"
    if point.extra is not None:
        return f"into {address}"
    return f"into {address}"


def strip_section(given: Given) -> Section | None:
    """Joint places at true scale, a strip for every run."""
    runs = given.sizes.runs.values() if given.sizes else ()
    order = {j.id: n for n, j in enumerate(joint_order(given), 1)}
    blocks: list[Block] = []
    for run in runs:
        if run.layout is None:
            blocks.append(Text(f"{run.run}: no places can be given: {run.why}"))
            continue
        spots = tuple(Spot(order[p.name], p.name, p.at_mm, _sleeve(given, p.name)) for p in run.layout.placed if p.name in order)
        job_run = next((r for r in given.harness.job.runs if {r.a, r.b} == {run.machine, run.unit}), None)
        barred = tuple((lo, hi, "") for lo, hi in run.window.barred)
        why = ", ".join(k.why for k in job_run.keep_out if k.why) if job_run else ""
        lanes = run.layout.abreast
        file = "single file" if lanes == 1 else f"{lanes} abreast at most"
        words = f"Run {run.machine} to {run.unit}, {number(run.window.run_mm)} mm, {file}."
        words += f" Hatched, no joint: {why}." if why else " Hatched: no joint." if barred else ""
        blocks.append(Text(words))
        blocks.append(Strip(run.run, run.machine, run.unit, run.window.run_mm, spots, barred))
    if not blocks:
        return None
    return Section(
        "strip", "Joint places at true scale", f"from the {_origin(given)} datum, left to right", tuple(blocks), fresh=False
    )


def _sleeve(given: Given, joint: str) -> float:
    size = given.sizes.joints.get(joint) if given.sizes else None
    made = size.made if size else None
    if made is None or made.sleeve is None or not made.sleeve_cut_mm:
        return 0.0
    return made.sleeve_cut_mm * (1 - made.sleeve.length_change)
