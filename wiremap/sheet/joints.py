"""Second page: the joints one wire at a time, and their places at true scale."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from wiremap.graph import Joint
from wiremap.sheet.given import Given
from wiremap.sheet.pieces import Block, JointRow, Section, Spot, Stage, Step, Strip, Text
from wiremap.sheet.words import colour_word, conductor_words, number

SOLDER = ("lap-solder", "solder-sleeve")
FIRST = "Outer sleeve and connector boot go over the loom now; push them back past the last joint. Label both sides of every wire."


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
        return Section("joints", "Joints, one wire at a time", "", (Text(text),), fresh=True)
    apart = _told_apart(given)
    blocks: list[Block] = [Step("0", FIRST)]
    blocks += [_row(given, n, joint, apart) for n, joint in enumerate(order, 1)]
    others = list(_contacts(given))
    if others:
        blocks += [Text("Crimped straight into a contact or ring, no joint", strong=True), *others]
    origin = _origin(given)
    return Section("joints", "Joints, one wire at a time",
                   f"places are measured from the {origin} datum (last tie or branch)" if origin else "", tuple(blocks),
                   "Cut one wire, finish its row, then cut the next. The small sleeve waits on the longer tail, well clear of the heat. "
                   "Shrink only when the ring-out at the joints is done.")


def _origin(given: Given) -> str:
    return next((r.machine for r in given.sizes.runs.values()), "") if given.sizes else ""


def _row(given: Given, n: int, joint: Joint, apart: dict[str, str]) -> JointRow:
    wires = [given.harness.conductors[c] for c in joint.conductors]
    at = _at(given, joint)
    name = joint.id if at is None else f"{joint.id}  at {number(at)} mm"
    told = "; ".join(dict.fromkeys(apart[p] for p in joint.points if p in apart))
    return JointRow(n, name, "", tuple(conductor_words(given.harness, w) for w in wires), tuple(_stages(given, joint)), told,
                    f"a slip here does harm: {given.harm[joint.circuit]}" if joint.circuit in given.harm else "")


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
    yield Stage("open, not cut" if joint.tap else "cut")
    yield Stage(f"strip {number(made.strip_mm)}" if made else "strip ____")
    if kind in SOLDER:
        yield Stage("lap and solder" if kind == "lap-solder" else "solder sleeve, heat")
    else:
        yield Stage(f"crimp {made.barrel.name}" if made and made.barrel else f"{kind.replace('-', ' ')} ________")
    yield Stage("tug")
    if kind != "solder-sleeve":
        yield Stage("shrink")


def _told_apart(given: Given) -> dict[str, str]:
    """For wires of one end that bear one colour: what tells them apart."""
    groups: dict[tuple[str, str], list[str]] = defaultdict(list)
    for point in given.harness.points.values():
        cavity = point.cavity
        if cavity is None or cavity.wire is None or not point.brings_lead or cavity.wire.colour is None:
            continue
        groups[(point.owner, "+".join(sorted(cavity.wire.colour.colours)))].append(point.address)
    found = {}
    for alike in groups.values():
        for address in alike:
            others = [a for a in alike if a != address]
            if others:
                wire = given.harness.points[address].cavity
                word = colour_word(wire.wire) if wire and wire.wire else ""
                found[address] = f"cavity and a beep, not colour: {address} {word}, like {', '.join(others)}"
    return found


def _contacts(given: Given) -> Iterator[Step]:
    worked = {c.id for c in given.worked}
    n = 0
    for conductor in given.harness.conductors.values():
        ends = [x for x in (conductor.a, conductor.b) if not given.harness.is_joint(x)]
        if conductor.circuit not in worked or conductor.origin not in ("new", "tail") or (conductor.origin == "tail" and len(ends) < 2):
            continue
        crimped = [x for x in ends if x != conductor.point or conductor.origin == "new"]
        if not crimped:
            continue
        n += 1
        length = f", {number(conductor.length_mm)} mm" if conductor.length_mm is not None else ""
        to = "; ".join(_into(given, x) for x in crimped)
        yield Step(chr(96 + n) if n <= 26 else f"c{n}", f"{conductor.circuit}: {conductor_words(given.harness, conductor)}{length}. {to}. Tug, then lock.")


def _into(given: Given, address: str) -> str:
    point = given.harness.points[address]
    if point.kind == "stud":
        return f"ring on {address}: paint off, its own place on the stud"
    if point.extra is not None:
        return f"into the holder {address}"
    return f"contact and seal into {address}"


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
        words = f"Run {run.machine} to {run.unit}, {number(run.window.run_mm)} mm, {'single file' if lanes == 1 else f'{lanes} joints abreast at most'}."
        if why:
            words += f" No joint where hatched: {why}."
        blocks.append(Text(words))
        blocks.append(Strip(run.run, run.machine, run.unit, run.window.run_mm, spots, barred))
    if not blocks:
        return None
    return Section("strip", "Joint places at true scale", f"from the {_origin(given)} datum, left to right", tuple(blocks), fresh=False)


def _sleeve(given: Given, joint: str) -> float:
    size = given.sizes.joints.get(joint) if given.sizes else None
    made = size.made if size else None
    if made is None or made.sleeve is None or not made.sleeve_cut_mm:
        return 0.0
    return made.sleeve_cut_mm * (1 - made.sleeve.length_change)
