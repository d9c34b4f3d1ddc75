"""Second page: the joints one wire at a time, and their places at true scale."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator

from wiremap.content.given import Given
from wiremap.content.map import SIDE_RANK, TREAT
from wiremap.content.pieces import (
    Block,
    Deed,
    Deeds,
    JointRow,
    Joints,
    Section,
    Spot,
    Stage,
    Strip,
    Text,
)
from wiremap.content.words import barrel_words, conductor_words, number, wire_words
from wiremap.evidence import refused
from wiremap.graph import Conductor, Joint, Point

SOLDER = ("lap-solder", "solder-sleeve")
UNCUT = ("open-barrel", "lap-solder")  # kinds that go round a wire in service
MEASURED = "cut lengths run from each end's own datum: its last tie or branch"


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
    blocks: list[Block] = [Deeds("", tuple(_first(given)))]
    # where nothing was surveyed the first page says it once
    some = frozenset(given.not_surveyed) if given.surveyed[0] else frozenset()
    numbers = {joint.id: n for n, joint in enumerate(order, 1)}
    blocks.append(Joints(tuple(_row(given, numbers, joint, like, some) for joint in order)))
    blocks += _contacts(given)
    blocks += _capped(given)
    return Section(
        "joints", "Joints, one wire at a time", MEASURED, tuple(blocks), _lead(given, order, like)
    )


def _lead(given: Given, order: list[Joint], like: dict[str, tuple[str, ...]]) -> str:
    """The words that the rows need, and no others."""
    lead = (
        "Cut one wire, finish its row, then the next; shrink no sleeve before the ring-out is done."
    )
    if (
        slack := max((c.slack_mm for c in given.sizes.cuts.values()), default=0.0)
        if given.sizes
        else 0.0
    ):
        lead += f" Cut: mm, {number(slack)} of it slack."
    if any(stage.text.startswith("into") for j in order for stage in _far_ends(given, j)):
        lead += " Into: seal on, contact crimped."
    if any(stage.text.startswith("crimp bare") for j in order for stage in _stages(given, j)):
        lead += " Bare: no plastic on the barrel, its own die."
    if any(a in like for j in order for a in j.points):
        lead += " Like: go by cavity and beep."
    if any(j.circuit in given.harm for j in order):
        lead += " !: mixed up, it breaks or moves."
    return lead


def _first(given: Given) -> Iterator[Deed]:
    """What is done before the first cut, a box each."""
    if given.survey is not None and given.survey.rows:
        yield Deed("0", "survey read, figures written in (annex)")
    yield Deed("", "battery off, proven dead")
    yield Deed("", "both sides of every wire labelled")
    worked = {c.id for c in given.worked}
    new = {
        c.circuit
        for c in given.harness.conductors.values()
        if c.origin == "new" and c.circuit in worked
    }
    for twist in given.harness.job.twists.values():
        if new.intersection(twist.circuits):
            yield Deed("", f"pair {twist.name} twisted{', drain in' if twist.drain else ''}")
        else:
            yield Deed("", f"pair {twist.name} left twisted up to its joints")
    over = lump_mm(given)
    passing = f" to pass {number(over)} mm" if over else ""
    yield Deed("", f"outer sleeve{passing} and boot slid on over plug or free tail")


def lump_mm(given: Given) -> float:
    """How thick the joints are where most lie abreast, 0 if nobody knows: what goes over all of them must pass it."""
    lumps = (
        [run.layout.lump_mm for run in given.sizes.runs.values() if run.layout]
        if given.sizes
        else []
    )
    return float(math.ceil(max(lumps, default=0.0)))


def closing(given: Given) -> list[Deed]:
    """What waits for the last reading of the ring-out: plugs, then every sleeve, then what goes over all."""
    deeds = [Deed("", f"{a} blanked") for a in treated(given, "blank")]
    if any(_kind(given, j) != "solder-sleeve" for j in joint_order(given)):
        deeds += [
            Deed("", "every sleeve shrunk"),
            Deed("", "outer sleeve over all joints"),
            Deed("", "boot"),
        ]
    return deeds


def _origin(given: Given) -> str:
    return next((r.machine for r in given.sizes.runs.values()), "") if given.sizes else ""


def _row(
    given: Given,
    numbers: dict[str, int],
    joint: Joint,
    like: dict[str, tuple[str, ...]],
    unread: frozenset[str],
) -> JointRow:
    sides: dict[int, list[str]] = {}
    looks: dict[str, None] = {}
    conductors = [given.harness.conductors[c] for c in joint.conductors]
    for conductor in conductors:
        text = conductor_words(given.harness, conductor)
        cut = given.cut(conductor.id)
        if conductor.origin == "new" and cut is not None:
            text = (
                text.replace(" to ", f" {cut.mm:.0f} mm to ", 1)
                if " to " in text
                else f"{text} {cut.mm:.0f} mm"
            )
        if conductor.origin == "direct" and _kind(given, joint) not in UNCUT:
            text = text.replace(", not cut", ", in service")
        if conductor.origin == "tail":
            looks.update(dict.fromkeys(like.get(conductor.point or "", ())))
        sides.setdefault(_rank(given, conductor), []).append(text)
    first, *rest = [text for rank in sorted(sides) for text in sides[rank]]
    others = [a for a in looks if a not in joint.points]
    shown = 3 if len(others) <= 3 else 2
    notes = (
        [
            f"like {', '.join(others[:shown])}{f' +{len(others) - shown}' if len(others) > shown else ''}"
        ]
        if others
        else []
    )
    notes += _no_remake(given, joint)
    notes += _unsure_stripe(conductors)
    notes += _between(given, numbers, joint)
    notes += _tee(given, joint)
    notes += ["not surveyed"] if unread.intersection(joint.points) else []
    return JointRow(
        numbers[joint.id],
        joint.circuit in given.harm,
        joint.id,
        (first, *rest),
        tuple(_stages(given, joint)),
        tuple(notes),
    )


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


def _unsure_stripe(conductors: list[Conductor]) -> Iterator[str]:
    """Two colours whose source does not tell the base from the tracer."""
    for c in conductors:
        if (
            c.origin == "tail"
            and c.wire is not None
            and c.wire.colour is not None
            and not c.wire.colour.ordered
        ):
            yield "stripe: either colour"


def _between(given: Given, numbers: dict[str, int], joint: Joint) -> Iterator[str]:
    """Where the body of a part lies whose leads end in two joints; said at the second of them."""
    for extra in given.harness.job.extras.values():
        ends = [
            numbers[j.id]
            for j in given.harness.joints.values()
            if j.id in numbers and set(extra.legs).intersection(j.points)
        ]
        if len(ends) == 2 and max(ends) == numbers[joint.id]:
            yield f"{extra.name} lies between {min(ends)} and {max(ends)}"


def _tee(given: Given, joint: Joint) -> Iterator[str]:
    """How far a T lies behind the connector of the wire that it taps, to write in where the job does not say."""
    for address in joint.points if joint.tap else ():
        if given.harness.points[address].is_tap:
            at = _at(given, joint)
            yield f"T {number(at) if at is not None else '______'} mm behind {address.partition('.')[0]}"


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
        yield Stage(f"cut {', '.join(cuts)}" if cuts else "cut")
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
        yield Stage(
            f"crimp {barrel_words(made.barrel)}"
            if made and made.barrel
            else f"{kind.replace('-', ' ')} ________"
        )
    yield Stage("tug")
    yield from _far_ends(given, joint)


def _bare(given: Given, joint: Joint) -> list[str]:
    """What meets here without insulation of its own: leads of parts and bare drain wires get a tube before the joint."""
    conductors = [given.harness.conductors[c] for c in joint.conductors]
    found = [f" on {c.point}" for c in conductors if c.origin == "lead" and c.point]
    return found + ([""] if any(c.wire is not None and c.wire.bare for c in conductors) else [])


def _cut_lengths(given: Given, joint: Joint) -> list[str]:
    """Where this joint's tails are cut, the machine's first; by the name of their end where two ends meet."""
    ends: dict[str, dict[str, None]] = {}
    for cid in sorted(joint.conductors, key=lambda c: _rank(given, given.harness.conductors[c])):
        conductor = given.harness.conductors[cid]
        cut = given.cut(cid)
        end = given.harness.end_of(conductor.point) if conductor.point else None
        if conductor.origin == "tail" and cut is not None and end is not None:
            ends.setdefault(end.name, {})[f"{cut.mm:.0f}"] = None
    told = [(name, " and ".join(mm)) for name, mm in ends.items()]
    return [mm for _, mm in told] if len(told) == 1 else [f"{name} {mm}" for name, mm in told]


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
        if (
            cavity is not None
            and cavity.wire is not None
            and point.brings_lead
            and cavity.wire.colour is not None
        ):
            groups["+".join(sorted(cavity.wire.colour.colours))].append(point)
    found: dict[str, tuple[str, ...]] = {}
    for alike in groups.values():
        for point in alike:
            mates = {
                a
                for c in given.harness.circuits_at(point.address)
                for a in given.harness.circuit(c).join
            }
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
    """The conductors that meet no joint, from contact to contact: a line each, a box for every deed."""
    worked = {c.id for c in given.worked}
    rows: list[Block] = []
    for conductor in given.harness.conductors.values():
        ends = [x for x in (conductor.a, conductor.b) if not given.harness.is_joint(x)]
        if conductor.circuit not in worked or len(ends) < 2:
            continue
        crimped = ends if conductor.origin == "new" else [x for x in ends if x != conductor.point]
        length = f" cut {number(conductor.length_mm)} mm" if conductor.length_mm is not None else ""
        what = (
            f"new {wire_words(conductor.wire)}"
            if conductor.origin == "new"
            else conductor_words(given.harness, conductor)
        )
        rows.append(
            Deeds(
                "",
                (
                    Deed("", f"{conductor.circuit}: {what}{length}"),
                    *(Deed("", _into(given, x)) for x in crimped),
                    Deed("", "tug"),
                ),
            )
        )
    return rows


def _capped(given: Given) -> list[Block]:
    """Caps for the wires that are not joined, a box each; they keep all their length."""
    capped = treated(given, "cap")
    head = Deed("", f"Not shortened: {TREAT['cap']}:", boxes=0)
    return [Deeds("", (head, *(Deed("", a) for a in capped)))] if capped else []


def treated(given: Given, treat: str) -> list[str]:
    """The cavities left out that are treated so, without those that nobody may touch."""
    entries = given.harness.job.not_joined
    return [
        p.address
        for p in given.harness.not_joined()
        if p.cavity is not None
        and not refused(p.cavity)
        and (entry := entries.get(p.address)) is not None
        and entry.treat == treat
    ]


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
        spots = tuple(
            Spot(order[p.name], p.name, p.at_mm, _sleeve(given, p.name))
            for p in run.layout.placed
            if p.name in order
        )
        job_run = next(
            (r for r in given.harness.job.runs if {r.a, r.b} == {run.machine, run.unit}), None
        )
        barred = tuple((lo, hi, "") for lo, hi in run.window.barred)
        why = ", ".join(k.why for k in job_run.keep_out if k.why) if job_run else ""
        lanes = run.layout.abreast
        file = "single file" if lanes == 1 else f"{lanes} abreast at most"
        words = f"Run {run.machine} (datum 0) to {run.unit} (datum {number(run.window.run_mm)} mm), {file}."
        words += (
            f" Hatched, no joint's middle: {why}."
            if why
            else " Hatched: no joint's middle."
            if barred
            else ""
        )
        blocks.append(Text(words, keep=True))
        blocks.append(Strip(run.run, run.machine, run.unit, run.window.run_mm, spots, barred))
    if not blocks:
        return None
    return Section(
        "strip",
        "Joint places at true scale",
        f"from the {_origin(given)} datum, left to right",
        tuple(blocks),
        fresh=False,
    )


def _sleeve(given: Given, joint: str) -> float:
    size = given.joint_size(joint)
    made = size.made if size else None
    if made is None or made.sleeve is None or not made.sleeve_cut_mm:
        return 0.0
    return made.sleeve_cut_mm * (1 - made.sleeve.length_change)
