"""Joints: barrel, sleeve, place, method, and the cavities that stay open."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise

from wiremap.base import Place, Severity
from wiremap.graph import Point
from wiremap.rules.registry import Hit, rule
from wiremap.rules.sized import sizes
from wiremap.rules.view import View
from wiremap.sizing.placing import JointSize, RunLayout
from wiremap.sizing.splices import rule as splice_rule
from wiremap.sizing.stations import Unit

CRIMPS = ("butt-crimp", "open-barrel")
SOLDERED = ("lap-solder", "solder-sleeve")


@rule(
    "joint-no-sleeve",
    Severity.CAUTION,
    family="joint",
    what="{joint}: no tabled sleeve passes over {over:.3g} mm and grips {grip:.3g} mm{wet}",
    why="A sleeve that does not grip the thin wire lets water into the joint.",
    fix="Build the thin wire up with a short length of sleeve first, choose a slimmer joint, or part it into two.",
    source="supplied bore 1.2 x what it passes, recovered bore 0.8 x what it grips; sleeve tables from memory",
)
def joint_no_sleeve(view: View) -> Iterator[Hit]:
    """A joint that no tabled sleeve both passes over and grips."""
    wet = ", adhesive lined" if view.job.surroundings.wet else ""
    for size in sizes(view).joints.values():
        if size.made is not None and size.made.sleeve is None and size.kind != "solder-sleeve":
            yield Hit(
                _place(view, size, "joint"),
                (size.circuit,),
                {
                    "joint": size.joint,
                    "over": size.made.over_mm,
                    "grip": size.made.grip_mm,
                    "wet": wet,
                },
            )


@rule(
    "joint-no-barrel",
    Severity.CAUTION,
    family="joint",
    what="{joint}: {reason}",
    why="A barrel outside its range does not hold the strands.",
    fix="Double the thin side back, lay all wires in one open barrel, or part the joint into two.",
    source="barrel ranges in circular mils, from memory",
)
def joint_no_barrel(view: View) -> Iterator[Hit]:
    """A joint that no tabled barrel takes."""
    for size in sizes(view).joints.values():
        if size.made is None:
            yield Hit(
                _place(view, size, "joint"),
                (size.circuit,),
                {"joint": size.joint, "reason": size.sized.why},
            )


@rule(
    "joint-too-many",
    Severity.CAUTION,
    family="joint",
    what="{joint}: {count} conductors in one joint; {most:g} is the most that lies well",
    why="Strands in the middle of a crowd are not pressed.",
    fix="Part it into two joints with a link between them.",
    source="common practice",
)
def joint_too_many(view: View) -> Iterator[Hit]:
    """A joint of more conductors than lie well in one barrel."""
    most = splice_rule("most_in_barrel")
    for joint in view.harness.joints.values():
        if len(joint.conductors) > most:
            circuit = view.harness.circuit(joint.circuit)
            yield Hit(
                circuit.at("join"),
                (joint.circuit,),
                {"joint": joint.id, "count": len(joint.conductors), "most": most},
            )


@rule(
    "sleeves-overlap",
    Severity.CAUTION,
    family="joint",
    what="{run}: {reason}",
    why="Joints side by side make a lump, chafe through one another's sleeves, and leave no room to close them.",
    fix="{fix}",
    source="workshop texts: 40 mm between splices",
)
def sleeves_overlap(view: View) -> Iterator[Hit]:
    """Joints that must lie side by side, or that the job itself puts too close together."""
    found = sizes(view)
    for layout in found.runs.values():
        if layout.layout is not None and layout.layout.abreast > 1 and not _paired_only(layout):
            yield Hit(
                layout.place,
                (layout.machine, layout.unit),
                {
                    "run": layout.run,
                    "reason": f"{layout.layout.abreast} joints lie abreast at {len(layout.layout.stations_mm)}"
                    f" stations, {layout.layout.lump_mm:.3g} mm thick",
                    "fix": _more_tail(layout),
                },
            )
        for unit, gap in _narrow_pairs(layout):
            yield Hit(
                layout.place,
                unit.names,
                {
                    "run": layout.run,
                    "reason": f"the pair's joints {' and '.join(unit.names)} lie {gap:.0f} mm apart, less "
                    f"than their sleeves of {unit.shift_mm:.0f} mm",
                    "fix": "Peel back more tail, or take shorter sleeves.",
                },
            )
        for one, two, gap in _close(layout, found.joints):
            yield Hit(
                _place(view, two, "at_mm"),
                (one.circuit, two.circuit),
                {
                    "run": layout.run,
                    "reason": f"{one.joint} and {two.joint} lie {gap:g} mm apart",
                    "fix": "Move one of them: 40 mm from any other joint.",
                },
            )


def _paired_only(layout: RunLayout) -> bool:
    """Whether no station holds more than the two joints of one pair."""
    assert layout.layout is not None
    units = [u for u in layout.units if u not in layout.stuck]
    return len({layout.layout.at(u.names[0]).station for u in units}) == len(units)


def _narrow_pairs(layout: RunLayout) -> Iterator[tuple[Unit, float]]:
    """Pairs whose window is shorter than one sleeve, with how far apart their joints then lie."""
    for unit in layout.units:
        if layout.layout is not None and len(unit.names) == 2 and unit not in layout.stuck:
            gap = abs(layout.layout.at(unit.names[0]).at_mm - layout.layout.at(unit.names[1]).at_mm)
            if gap < unit.shift_mm - 1:
                yield unit, gap


def _more_tail(layout: RunLayout) -> str:
    bought = [
        f"{mm:g} mm of {layout.machine if side == 'machine' else layout.unit} tail gives {abreast} abreast"
        for side, mm, _stations, abreast in layout.more
    ]
    return (
        ("Peel back more: " + "; ".join(bought) + ".")
        if bought
        else "Lengthen the run, or sign the lump."
    )


def _close(
    layout: RunLayout, table: Mapping[str, JointSize]
) -> Iterator[tuple[JointSize, JointSize, float]]:
    """Pairs of joints that the job puts at places of its own, too close to one another."""
    fixed = sorted(
        (u.lo, n) for u in layout.units for n in u.names if u.lo == u.hi and len(u.names) == 1
    )
    for (a, one), (b, two) in pairwise(fixed):
        if b - a < splice_rule("spacing_mm") and one in table and two in table:
            yield table[one], table[two], b - a


@rule(
    "joint-too-near",
    Severity.CAUTION,
    family="joint",
    what="{joint}: at {at:g} mm it lies {where}",
    why="A joint does not bear bending, heat or a blow, and near a connector it works loose.",
    fix="Move it out of there: 40 mm from a connector or branch, clear of every keep-out.",
    source="workshop texts: 40 mm from a connector, branch or other splice",
)
def joint_too_near(view: View) -> Iterator[Hit]:
    """A joint that the job puts into a keep-out, or too near an end of the run."""
    clear = splice_rule("spacing_mm")
    for layout in sizes(view).runs.values():
        run = next(
            r
            for r in view.job.runs
            if r.place == layout.place and {r.a, r.b} == {layout.machine, layout.unit}
        )
        for unit in layout.units:
            if unit.lo != unit.hi or len(unit.names) != 1:
                continue
            at = unit.lo
            kept = next(
                (
                    k
                    for k, (a, b) in zip(run.keep_out, layout.window.keep_out, strict=True)
                    if a <= at <= b
                    and not (a > 0 and at == a)
                    and not (b < layout.window.run_mm and at == b)
                ),
                None,
            )
            near = at < clear or at > layout.window.run_mm - clear
            if kept is None and not near and unit not in layout.stuck:
                continue
            where = (
                f"in the keep-out for {kept.why or 'a stated reason'}"
                if kept
                else f"within {clear:g} mm of a datum"
                if near
                else "out of its tails' reach"
            )
            circuit = view.harness.circuit(view.harness.joints[unit.names[0]].circuit)
            yield Hit(
                circuit.at("at_mm"),
                (circuit.id,),
                {"joint": unit.names[0], "at": at, "where": where},
            )


@rule(
    "joint-has-no-place",
    Severity.CAUTION,
    family="joint",
    what="{run}: {why}",
    why="The two tails cannot be joined as they are.",
    fix="Peel back more tail, or bridge with new wire at least 100 mm longer than the gap and two joints a wire.",
    source="workshop texts on inserted repair wire",
)
def joint_has_no_place(view: View) -> Iterator[Hit]:
    """A run whose tails do not meet, or whose joints have no place outside the keep-outs."""
    for layout in sizes(view).runs.values():
        if any(
            view.harness.joints[name].at_mm is None for unit in layout.stuck for name in unit.names
        ):
            yield Hit(
                layout.place, (layout.machine, layout.unit), {"run": layout.run, "why": layout.why}
            )


@rule(
    "solder-moves",
    Severity.STOP,
    family="joint",
    what="{joint}: a {kind} joint where the harness moves ({moves})",
    why="Solder wicks up the strands, and they break at its edge.",
    fix="Crimp it, or hold it on both sides and write `supported: true`.",
    source="NASA-STD-8739.4, 19.3: no splice where the harness flexes",
)
def solder_moves(view: View) -> Iterator[Hit]:
    """A soldered joint in a harness that moves, without support on both sides."""
    moves = view.job.surroundings.moves
    if moves in (None, "", "none"):
        return
    for joint in view.harness.joints.values():
        if joint.kind in SOLDERED and not joint.supported:
            circuit = view.harness.circuit(joint.circuit)
            yield Hit(
                circuit.at("joint"),
                (joint.circuit,),
                {"joint": joint.id, "kind": joint.kind, "moves": moves},
            )


@rule(
    "tinned-crimp",
    Severity.STOP,
    family="joint",
    what="{joint}: tinned strands of {wires} in a crimp",
    why="Solder creeps under the barrel's pressure, and the crimp loosens.",
    fix="Cut back to clean strands, or solder the joint.",
    source="NASA-STD-8739.4, 4.3: no solid and no tinned strands in a crimp",
)
def tinned_crimp(view: View) -> Iterator[Hit]:
    """A crimped joint of which a wire is tinned."""
    for joint in view.harness.joints.values():
        tinned = [
            c
            for cid in joint.conductors
            if (c := view.harness.conductors[cid]).wire is not None
            and c.wire is not None
            and c.wire.tinned
        ]
        if tinned and (joint.kind or CRIMPS[0]) in CRIMPS:
            circuit = view.harness.circuit(joint.circuit)
            yield Hit(
                circuit.at("joint"),
                (joint.circuit,),
                {"joint": joint.id, "wires": " and ".join(c.point or c.circuit for c in tinned)},
                view.described(*(c.point for c in tinned if c.point)),
            )


@rule(
    "cavity-unsealed",
    Severity.CAUTION,
    family="joint",
    what="{point}: left without a seal in a sealed connector",
    why="One open cavity lets water into all of them; it passes every test and fails later.",
    fix="Fit a cavity blank (`treat: blank`), or leave its wire in, capped (`treat: cap`).",
    source="workshop texts on sealed connectors",
)
def cavity_unsealed(view: View) -> Iterator[Hit]:
    """An unjoined cavity of a sealed connector that stays in use, with neither blank nor capped wire."""
    for point in view.points.values():
        if _open(view, point):
            yield Hit(
                view.place_of(point.address), (point.address,), {"point": view.name(point.address)}
            )


def _open(view: View, point: Point) -> bool:
    end, cavity = point.end, point.cavity
    if (
        end is None
        or cavity is None
        or end.kind not in ("pigtail", "mate")
        or not end.pinout.connector.sealed
    ):
        return False
    if view.harness.circuits_at(point.address):
        return False
    left = view.job.not_joined.get(point.address)
    if left is None:
        return cavity.unused or cavity.as_found == "empty"  # any other is not accounted for at all
    if left.treat == "blank":
        return False
    if left.treat == "cap":
        return cavity.as_found == "empty"
    return left.treat == "leave" and (cavity.wire is None or cavity.as_found == "empty")


def _place(view: View, size: JointSize, key: str) -> Place | None:
    return view.harness.circuit(size.circuit).at(key)
