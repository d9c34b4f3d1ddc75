"""Splices: the barrel by the sum of what goes in on each side, its length and build-up, the strip length."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache

from wiremap.sizing.bundle import bundle_mm, hull_equivalent_mm
from wiremap.sizing.conductor import Cable, strand_diameter_mm
from wiremap.sizing.sized import MEMORY, OutOfRange, Sized, Value, source_title
from wiremap.sizing.sleeve import Sleeve, cut_mm, fit, overlap_mm
from wiremap.sizing.splices import FILE, rule
from wiremap.trade.tables import table

KINDS = ("butt-crimp", "open-barrel", "lap-solder", "solder-sleeve")


@dataclass(frozen=True, slots=True)
class Barrel:
    """One splice barrel and its circular-mil range."""

    name: str
    kind: str
    colour: str
    gauges: str
    least_cmil: float
    most_cmil: float
    length_mm: float
    outside_mm: float
    strip_mm: float
    source: str
    status: str

    def takes(self, cmil: float) -> bool:
        """Whether a summed area lies in its range."""
        return self.least_cmil <= cmil <= self.most_cmil


@dataclass(frozen=True, slots=True)
class Splice:
    """A joint as it will be made: barrel (none for lap solder), length, thickest diameter, strip, sleeve."""

    kind: str
    barrel: Barrel | None
    length_mm: float
    over_mm: float
    strip_mm: float
    grip_mm: float
    sleeve: Sleeve | None
    overlap_mm: float
    sleeve_cut_mm: float | None
    outside_mm: float
    sides_cmil: tuple[float, float]
    soft_over_mm: float | None = (
        None  # set where the sleeve fits only as it lies close round two wires
    )


@cache
def barrels(kind: str, sealed: bool = False) -> tuple[Barrel, ...]:
    """The barrels of a kind of joint, smallest first; `sealed` asks for butt barrels that bring their own seal."""
    name = {"butt-crimp": "butt", "open-barrel": "open_barrel", "solder-sleeve": "solder_sleeve"}[
        kind
    ]
    found = [
        Barrel(
            r["name"],
            r["kind"],
            r["colour"],
            r["gauges"],
            float(r["least_cmil"]),
            float(r["most_cmil"]),
            float(r["length_mm"]),
            float(r["outside_mm"]),
            float(r["strip_mm"]),
            source_title(FILE, r["source"]),
            r["standing"],
        )
        for r in table(FILE).sections[name]
    ]
    if kind == "butt-crimp":
        found = [b for b in found if (b.kind == "sealed") == sealed]
    return tuple(sorted(found, key=lambda b: (b.most_cmil, b.name)))


@cache
def barrel_for(
    kind: str, left_cmil: float, right_cmil: float, sealed: bool = False
) -> Barrel | None:
    """The smallest barrel that takes both sides: each by itself in a butt barrel, their sum where they lie together."""
    for barrel in barrels(kind, sealed):
        loads = (left_cmil, right_cmil) if kind == "butt-crimp" else (left_cmil + right_cmil,)
        if all(barrel.takes(load) for load in loads):
            return barrel
    return None


def splice(
    kind: str, left: Sequence[Cable], right: Sequence[Cable], *, wet: bool = False
) -> Splice | None:
    """The joint of these conductors; None where no barrel takes them.  Raises OutOfRange for an unknown kind."""
    if kind not in KINDS:
        raise OutOfRange(f"a joint is one of {', '.join(KINDS)}; got {kind!r}")
    sides = (sum(c.circular_mils for c in left), sum(c.circular_mils for c in right))
    outsides = [
        c.outside_mm for c in (*left, *right) if c.outside_mm is not None
    ]  # a part's lead lies inside
    widest = max(_side_mm(left), _side_mm(right))
    grip = min(outsides, default=min(c.conductor_mm for c in (*left, *right)))
    barrel = None
    if kind == "lap-solder":
        length, over, strip = _lap(left, right, widest)
    else:
        barrel = barrel_for(kind, sides[0], sides[1])
        if barrel is None:
            return None
        length, over, strip = barrel.length_mm, max(barrel.outside_mm, widest), barrel.strip_mm
    made = _sleeved(kind, barrel, length, over, strip, grip, sides, wet)
    if (
        made.sleeve is None and kind != "solder-sleeve"
    ):  # a soft sleeve lies close round two wires side by side
        soft = max(barrel.outside_mm if barrel else 0.0, _soft_mm(left), _soft_mm(right))
        flat = _sleeved(kind, barrel, length, soft, strip, grip, sides, wet)
        if flat.sleeve is not None:
            return replace(
                flat, over_mm=over, soft_over_mm=soft, outside_mm=over + 2 * flat.sleeve.wall_mm
            )
    return made


def _soft_mm(side: Sequence[Cable]) -> float:
    outsides = sorted(
        (c.outside_mm if c.outside_mm is not None else c.conductor_mm for c in side), reverse=True
    )
    return hull_equivalent_mm(outsides[0], outsides[1]) if len(outsides) == 2 else _side_mm(side)


def _sleeved(
    kind: str,
    barrel: Barrel | None,
    length: float,
    over: float,
    strip: float,
    grip: float,
    sides: tuple[float, float],
    wet: bool,
) -> Splice:
    if kind == "solder-sleeve":  # it brings its own sleeve
        return Splice(kind, barrel, length, over, strip, grip, None, 0.0, None, over, sides)
    sleeve, laid = fit(over, grip, wet), overlap_mm(grip)
    cut = cut_mm(sleeve, length, laid) if sleeve else None
    return Splice(
        kind,
        barrel,
        length,
        over,
        strip,
        grip,
        sleeve,
        laid,
        cut,
        over + 2 * (sleeve.wall_mm if sleeve else 0.0),
        sides,
    )


def _side_mm(side: Sequence[Cable]) -> float:
    outsides = tuple(c.outside_mm if c.outside_mm is not None else c.conductor_mm for c in side)
    return bundle_mm(outsides)


def _lap(
    left: Sequence[Cable], right: Sequence[Cable], widest: float
) -> tuple[float, float, float]:
    """Length, thickest diameter and strip of a soldered lap: four diameters of the thicker strand, side by side."""
    widths = [strand_diameter_mm(sum(c.area_mm2 for c in side)) for side in (left, right)]
    lap = (rule("lap_diameters_least") + rule("lap_diameters_most")) / 2 * max(widths)
    return lap, max(widest, sum(widths)), lap


def size_joint(
    left: Sequence[Cable],
    right: Sequence[Cable],
    kind: str = "butt-crimp",
    *,
    wet: bool = False,
    moves: bool = False,
    supported: bool = False,
    tinned: bool = False,
) -> Sized:
    """Barrel, length, strip and sleeve of a joint, with the cautions that its kind carries."""
    if not left or not right:
        raise OutOfRange("a joint needs at least one conductor on each side")
    made = splice(kind, left, right, wet=wet)
    sides = tuple(sum(c.circular_mils for c in side) for side in (left, right))
    inputs = (
        ("left", [c.name for c in left]),
        ("right", [c.name for c in right]),
        ("kind", kind),
        ("wet", wet),
    )
    assumptions = (
        "areas are nominal areas in circular mils, 1973.53 to the mm2",
        "barrel ranges and dimensions from memory: the barrel maker's own range governs",
        "a plain barrel under a sleeve; the colour names the range, which the pre-insulated barrel shares",
    )
    if made is None:
        why, cure = _why(kind, sides[0], sides[1])
        return Sized((), inputs, assumptions, why, cure=cure)
    told = cautions(made, len(left) + len(right), moves=moves, supported=supported, tinned=tinned)
    return Sized(
        (*_results(made), *_pull_off((*left, *right))), inputs, assumptions, cautions=tuple(told)
    )


def cautions(
    made: Splice, conductors: int, *, moves: bool, supported: bool, tinned: bool
) -> Iterator[str]:
    """What must be said of a joint of this kind in this place."""
    if made.kind in ("lap-solder", "solder-sleeve") and moves and not supported:
        yield (
            "solder stiffens the strands and they break at its edge where the harness moves: support both sides, "
            "or crimp"
        )
    if tinned and made.kind in ("butt-crimp", "open-barrel"):
        yield "tinned strands must not be crimped: the solder creeps and the crimp loosens (NASA-STD-8739.4, 4.3)"
    if conductors > rule("most_in_barrel"):
        yield (
            f"{conductors} conductors in one joint: more than {rule('most_in_barrel'):g} do not lie well in a "
            "barrel; part it into two joints"
        )
    if made.kind != "solder-sleeve" and made.sleeve is None:
        yield f"no tabled sleeve passes over {made.over_mm:.3g} mm and grips {made.grip_mm:.3g} mm"


def _results(made: Splice) -> Iterator[Value]:
    barrel, nasa = made.barrel, source_title(FILE, "nasa-8739-4")
    where = barrel.source if barrel else nasa
    status = MEMORY if barrel else "read"
    if barrel:
        yield Value(
            "barrel",
            barrel.name,
            "",
            f"{barrel.least_cmil:g} to {barrel.most_cmil:g} cmil takes "
            + (
                " and ".join(f"{s:.0f}" for s in made.sides_cmil)
                if made.kind == "butt-crimp"
                else f"{sum(made.sides_cmil):.0f}"
            ),
            where,
            status,
        )
    else:
        yield Value(
            "lap",
            made.length_mm,
            "mm",
            "4.5 diameters of the thicker conductor (3 to 6)",
            nasa,
            "read",
        )
    for name, area in zip(("left", "right"), made.sides_cmil, strict=True):
        yield Value(
            f"area_{name}", area, "cmil", "sum of nominal areas", "1 mm2 = 1973.53 cmil", "computed"
        )
    yield Value(
        "joint_length",
        made.length_mm,
        "mm",
        "barrel's length" if barrel else "the lap",
        where,
        status,
    )
    yield Value(
        "strip_length", made.strip_mm, "mm", "barrel's row" if barrel else "the lap", where, status
    )
    yield Value(
        "joint_diameter",
        made.over_mm,
        "mm",
        "the thicker of barrel and wires beside it",
        where,
        status,
    )
    if (
        made.kind == "butt-crimp"
        and (own := barrel_for("butt-crimp", *made.sides_cmil, True)) is not None
    ):
        yield Value(
            "sealed_barrel",
            own.name,
            "",
            "a barrel with its own seal that takes both sides",
            own.source,
            own.status,
        )
    if made.sleeve and made.sleeve_cut_mm is not None:
        over = made.soft_over_mm if made.soft_over_mm is not None else made.over_mm
        flat = ", lying close round two wires" if made.soft_over_mm is not None else ""
        yield Value(
            "sleeve",
            made.sleeve.name,
            "",
            f"over {over:.3g} mm{flat}, gripping {made.grip_mm:.3g} mm",
            made.sleeve.source,
            made.sleeve.status,
        )
        yield Value(
            "sleeve_cut_length",
            made.sleeve_cut_mm,
            "mm",
            f"(joint + 2 x {made.overlap_mm:.3g}) / (1 - {made.sleeve.length_change:g})",
            made.sleeve.source,
            made.sleeve.status,
        )
        yield Value(
            "outside_after",
            made.outside_mm,
            "mm",
            "joint + 2 x recovered wall",
            made.sleeve.source,
            made.sleeve.status,
        )


def _pull_off(wires: Sequence[Cable]) -> Iterator[Value]:
    """What the weakest crimp of the joint must hold, for a tug on a sample."""
    thin = min(wires, key=lambda c: c.area_mm2)
    for row in (*table(FILE).sections["pull_off_metric"], *table(FILE).sections["pull_off_awg"]):
        if thin.name in (f"{row.get('csa_mm2', 0):g} mm2", f"{row.get('gauge')} AWG"):
            yield Value(
                "pull_off",
                float(row["newtons"]),
                "N",
                f"least a crimp of {thin.name} must hold; tug gently, prove on a sample",
                source_title(FILE, row["source"]),
                row["standing"],
            )


def _why(kind: str, left: float, right: float) -> tuple[str, tuple[str, ...]]:
    pool = barrels(kind)
    span = "; ".join(f"{b.name} {b.least_cmil:g} to {b.most_cmil:g}" for b in pool)
    if kind == "butt-crimp":
        why = (
            f"none, because no butt barrel takes {left:.0f} cmil on one side and {right:.0f} on the other "
            f"(tabled: {span})"
        )
        return why, (
            "double the thin side back on itself, or lay all wires in one open barrel",
            "part the joint into two",
        )
    return (
        f"none, because no {kind} takes {left + right:.0f} cmil in all (tabled: {span})",
        ("part the joint into two", "choose another kind of joint"),
    )
