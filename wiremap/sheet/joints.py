"""Second page: the joints one wire at a time, and their places at true scale."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from wiremap.evidence import refused
from wiremap.graph import Conductor, Joint, Point
from wiremap.sheet.given import Given
from wiremap.sheet.mapping import SIDE_RANK, TREAT
from wiremap.sheet.pieces import Block, Deed, Deeds, JointRow, Joints, Section, Spot, Stage, Step, Strip, Text
from wiremap.sheet.words import conductor_words, number, wire_words

SOLDER = ("lap-solder", "solder-sleeve")
UNCUT = ("open-barrel", "lap-solder")  # kinds that go round a wire in service
FIRST = "Battery off, proven dead. Outer sleeve and boot over the loom, back past the last joint. Label both sides of every wire."
LAST = "After the ring-out, not before: shrink every sleeve, then the outer sleeve over all joints, then the boot."
CLOSED = ("cap", "blank")  # treatments that are work


def joint_order(given: Given) -> list[Joint]:
    """The joints in working order: along the run from the machine's datum, the unplaced ones last."""
    worked = {c.id for c in given.worked}
    joints = [j for j in given.harness.joints.values() if j.circuit in worked]
    index = {j.id: i for i, j in enumerate(joints)}
    return sorted(joints, key=lambda j: (_at(given, j) is None, _at(given, j) or 0.0, index[j.id]))


def _at(given: Given, joint: Joint) -> float | None:
    size = given.joint_size(joint.id)
    return size.at_mm if size is not None and size.at_mm is not None else joint.at_mm


def joints_section(given: Given) -> Section:
    """Every joint as one row of work."""
    order = joint_order(given)
    if not order:
        text = "This job has no joints: every conductor runs from contact to contact."
        return Section("joints", "Joints, one wire at a time", "", (Text(text), *_contacts(given)))
    like = _alike(given)
    blocks: list[Block] = [Step("0", FIRST)]
    # where nothing was surveyed the first page says it once
    some = frozenset(given.not_surveyed) if given.surveyed[0] else frozenset()
    blocks.append(Joints(tuple(_row(given, n, joint, like, some) for n, joint in enumerate(order, 1))))
    blocks += _contacts(given)
    blocks += _left_out(given)
    if any(_kind(given, j) != "solder-sleeve" for j in order):
        blocks.append(Step("last", LAST))
    lead = "Cut one wire, finish its row, then the next; the sleeve waits clear of the heat. / parts the ends of the joint."
    if given.sizes and given.sizes.cuts:
        lead += " Cut: mm, machine/other side, slack in it."
    if any(stage.text.startswith("into") for j in order for stage in _far_ends(given, j)):
        lead += " Into: seal on, contact crimped."
    if any(a in like for j in order for a in j.points):
        lead += " Like: look alike, go by cavity and beep, not by colour."
    if any(j.circuit in given.harm for j in order):
        lead += " !: mixed up, it breaks or moves."
    measured = "cut lengths run from each end's own datum: its last tie or branch"
    return Section("joints", "Joints, one wire at a time", measured, tuple(blocks), lead)


def _origin(given: Given) -> str:
    return next((r.machine for r in given.sizes.runs.values()), "") if given.sizes else ""


def _row(given: Given, n: int, joint: Joint, like: dict[str, tuple[str, ...]], unread: frozenset[str]) -> JointRow:
    sides: dict[int, list[str]] = {}
    looks: dict[str, None] = {}
    conductors = [given.harness.conductors[c] for c in joint.conductors]
    for conductor in conductors:
        text = conductor_words(given.harness, conductor)
        cut = given.cut(conductor.id)
        if conductor.origin == "new" and cut is not None:
            text = text.replace(" to ", f" {cut.mm:.0f} mm to ", 1) if " to " in text else f"{text} {cut.mm:.0f} mm"
        if conductor.origin == "direct" and _kind(given, joint) not in UNCUT:
            text = text.replace(", not cut", ", in service")
        if conductor.origin == "tail":
            looks.update(dict.fromkeys(like.get(conductor.point or "", ())))
        sides.setdefault(_rank(given, conductor), []).append(text)
    first, *rest = [text for rank in sorted(sides) for text in sides[rank]]
    others = [a for a in looks if a not in joint.points]
    shown = 3 if len(others) <= 3 else 2
    notes = [f"like {', '.join(others[:shown])}{f' +{len(others) - shown}' if len(others) > shown else ''}"] if others else []
    notes += _no_remake(given, joint)
    notes += ["not surveyed"] if unread.intersection(joint.points) else []
    return JointRow(n, joint.circuit in given.harm, joint.id, (first, *rest), tuple(_stages(given, joint)), tuple(notes))


def _rank(given: Given, conductor: Conductor) -> int:
    """Machine side first, the new wire of a module next, then the unit's; a part's lead last."""
    points = (conductor.point, conductor.a, conductor.b)
    end = next((e for p in points if p and (e := given.harness.end_of(p)) is not None), None)
    if conductor.origin == "lead" or end is None:
        return 3
    return SIDE_RANK.get(end.side, 2)


def _no_remake(given: Given, joint: Joint) -> Iterator[str]:
    """Said where a tail has too little slack for the joint to be made a second time."""
    made = given.joint_size(joint.id)
    strip_mm = made.made.strip_mm if made is not None and made.made is not None else 0.0
    for cid in joint.conductors:
        conductor = given.harness.conductors[cid]
        cut = given.cut(cid)
        if conductor.origin == "tail" and cut is not None and cut.slack_mm < strip_mm:
            yield f"{conductor.point} no remake: {cut.slack_mm:.0f} mm slack"


def _kind(given: Given, joint: Joint) -> str:
    size = given.joint_size(joint.id)
    return (size.kind if size else joint.kind) or "butt-crimp"


def _stages(given: Given, joint: Joint) -> Iterator[Stage]:
    size = given.joint_size(joint.id)
    made = size.made if size else None
    kind = _kind(given, joint)
    sleeve = made.sleeve if made else None
    cuts = _cut_lengths(given, joint)
    if joint.tap:
        yield Stage("bare in its run, not cut" if kind in UNCUT else "cut, both halves in")
    else:
        yield Stage(f"cut {'/'.join(cuts)}" if cuts else "cut")
    if kind != "solder-sleeve":
        if sleeve is not None and made is not None and made.sleeve_cut_mm:
            yield Stage(f"sleeve {sleeve.name} × {made.sleeve_cut_mm:.0f}")
        else:
            yield Stage("sleeve ________")
    yield from (Stage(f"tube{what}") for what in _bare(given, joint))
    yield Stage(f"strip {number(made.strip_mm)}" if made else "strip ____")
    if kind in SOLDER:
        yield Stage("lap and solder" if kind == "lap-solder" else "solder sleeve, heat")
    else:
        yield Stage(f"crimp {made.barrel.name}" if made and made.barrel else f"{kind.replace('-', ' ')} ________")
    yield Stage("tug")
    yield from _far_ends(given, joint)


def _bare(given: Given, joint: Joint) -> list[str]:
    """What meets here without insulation of its own: leads of parts and bare drain wires get a tube before the joint."""
    conductors = [given.harness.conductors[c] for c in joint.conductors]
    found = [f" on {c.point}" for c in conductors if c.origin == "lead" and c.point]
    return found + ([""] if any(c.wire is not None and c.wire.bare for c in conductors) else [])


def _cut_lengths(given: Given, joint: Joint) -> list[str]:
    """Where this joint's tails are cut: machine side, then the other; a dash where a side has no tail."""
    sides: tuple[dict[str, None], dict[str, None]] = {}, {}
    for cid in joint.conductors:
        conductor = given.harness.conductors[cid]
        cut = given.cut(cid)
        end = given.harness.end_of(conductor.point) if conductor.point else None
        if conductor.origin == "tail" and cut is not None and end is not None:
            sides[0 if end.side == "machine" else 1][f"{cut.mm:.0f}"] = None
    return [" and ".join(side) or "–" for side in sides] if any(sides) else []


def _far_ends(given: Given, joint: Joint) -> Iterator[Stage]:
    """Where a new wire of this joint ends in a contact, a holder or a ring: that belongs to the same row."""
    for cid in joint.conductors:
        conductor = given.harness.conductors[cid]
        if conductor.origin == "new":
            for node in (conductor.a, conductor.b):
                if not given.harness.is_joint(node):
                    yield Stage(_into(given, node))


def _alike(given: Given) -> dict[str, tuple[str, ...]]:
    """For each wire all others that bear the same colours in whatever order: of its own end, and across the cut."""
    groups: dict[str, list[Point]] = defaultdict(list)
    for point in given.harness.points.values():
        cavity = point.cavity
        if cavity is not None and cavity.wire is not None and point.brings_lead and cavity.wire.colour is not None:
            groups["+".join(sorted(cavity.wire.colour.colours))].append(point)
    found: dict[str, tuple[str, ...]] = {}
    for alike in groups.values():
        for point in alike:
            mates = {a for c in given.harness.circuits_at(point.address) for a in given.harness.circuit(c).join}
            own = [o.address for o in alike if o is not point and o.owner == point.owner]
            across = [o.address for o in alike if o.owner != point.owner and o.address not in mates]
            if own or across:
                found[point.address] = (*own, *across)
    for finding in given.findings:
        if finding.rule == "colours-confused" and len(finding.subject) > 1:
            one, two = finding.subject[:2]
            for a, b in ((one, two), (two, one)):
                if b not in found.get(a, ()):
                    found[a] = (*found.get(a, ()), b)
    return found


def _contacts(given: Given) -> list[Block]:
    """Twists, and the conductors that meet no joint: from contact to contact."""
    worked = {c.id for c in given.worked}
    deeds: list[Deed] = []
    if twists := [t.name for t in given.harness.job.twists.values()]:
        deeds.append(Deed("", f"pairs {' and '.join(twists)} twisted up to the joints"))
    for conductor in given.harness.conductors.values():
        ends = [x for x in (conductor.a, conductor.b) if not given.harness.is_joint(x)]
        if conductor.circuit not in worked or len(ends) < 2:
            continue
        crimped = ends if conductor.origin == "new" else [x for x in ends if x != conductor.point]
        length = f" {number(conductor.length_mm)} mm" if conductor.length_mm is not None else ""
        what = f"new {wire_words(conductor.wire)}" if conductor.origin == "new" else conductor_words(given.harness, conductor)
        deeds.append(Deed("", f"{conductor.circuit}: {what}{length}, {', '.join(_into(given, x) for x in crimped)}, tug"))
    return [Deeds("Besides the joints" if len(deeds) > 3 else "", tuple(deeds))] if deeds else []


def _left_out(given: Given) -> list[Block]:
    """Caps and plugs for what is not joined, a box each."""
    treats: dict[str, list[str]] = {}
    for point in given.harness.not_joined():
        entry = given.harness.job.not_joined.get(point.address)
        if entry is not None and entry.treat in CLOSED and point.cavity is not None and not refused(point.cavity):
            treats.setdefault(str(entry.treat), []).append(point.address)
    deeds: list[Deed] = []
    for treat in CLOSED:
        if treat in treats:
            deeds.append(Deed("", f"{TREAT[treat].capitalize()}:", boxes=0))
            deeds += [Deed("", a) for a in treats[treat]]
    return [Deeds("", tuple(deeds))] if deeds else []


def _into(given: Given, address: str) -> str:
    point = given.harness.points[address]
    if point.kind == "stud":
        return f"ring on {address}, bare metal"
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
        words = f"Run {run.machine} (datum 0) to {run.unit} (datum {number(run.window.run_mm)} mm), {file}."
        words += f" Hatched, no joint's middle: {why}." if why else " Hatched: no joint's middle." if barred else ""
        blocks.append(Text(words))
        blocks.append(Strip(run.run, run.machine, run.unit, run.window.run_mm, spots, barred))
    if not blocks:
        return None
    return Section(
        "strip", "Joint places at true scale", f"from the {_origin(given)} datum, left to right", tuple(blocks), fresh=False
    )


def _sleeve(given: Given, joint: str) -> float:
    size = given.joint_size(joint)
    made = size.made if size else None
    if made is None or made.sleeve is None or not made.sleeve_cut_mm:
        return 0.0
    return made.sleeve_cut_mm * (1 - made.sleeve.length_change)
