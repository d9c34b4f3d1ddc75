"""Splices: the barrel by the sum of what goes in on each side, its length, the strip length."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache

from wiremap.sizing.bundle import bundle_mm, hull_equivalent_mm
from wiremap.sizing.conductor import Cable, mm2_of_cmil, strand_diameter_mm
from wiremap.sizing.sized import MEMORY, Origin, OutOfRange, Sized, Value, row_origin, source_title
from wiremap.sizing.sleeve import Sleeve, cut_mm, fit, overlap_mm
from wiremap.sizing.splices import FILE, rule
from wiremap.trade.tables import table

BUTT = "butt-crimp"
OPEN_BARREL = "open-barrel"
LAP = "lap-solder"
SOLDER_SLEEVE = "solder-sleeve"
KINDS = (BUTT, OPEN_BARREL, LAP, SOLDER_SLEEVE)
SECTIONS = {BUTT: "butt", OPEN_BARREL: "open_barrel", SOLDER_SLEEVE: "solder_sleeve"}
SOLDERED = (LAP, SOLDER_SLEEVE)
CRIMPED = (BUTT, OPEN_BARREL)
AREA = Origin("the wires' own tables", "computed")


@dataclass(frozen=True, slots=True, kw_only=True)
class Barrel:
    """One splice barrel and the range of copper it takes, told in circular mils by its source."""

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

    @property
    def is_bare(self) -> bool:
        """Whether it has no insulation of its own, and no colour that tells its range."""
        return self.kind == "bare"

    def takes(self, cmil: float) -> bool:
        """Whether a summed area lies in its range."""
        return self.least_cmil <= cmil <= self.most_cmil

    @property
    def span(self) -> str:
        """Its range of copper in words, in mm2 with the gauges of its paper."""
        least, most = mm2_of_cmil(self.least_cmil), mm2_of_cmil(self.most_cmil)
        return f"{least:.2f} to {most:.2f} mm2 ({self.gauges} AWG)"


@dataclass(frozen=True, slots=True, kw_only=True)
class Splice:
    """A joint as it will be made: barrel (none for lap solder), lengths, diameters, sleeve."""

    kind: str
    barrel: Barrel | None
    length_mm: float
    over_mm: float
    strip_mm: float
    grip_mm: float
    sides_cmil: tuple[float, float]
    sleeve: Sleeve | None = None
    overlap_mm: float = 0.0
    soft_over_mm: float | None = None  # where the sleeve fits only close round two wires

    @property
    def outside_mm(self) -> float:
        """The joint's diameter with the shrunk sleeve on it [mm]."""
        if self.sleeve is None:
            return self.over_mm
        return self.over_mm + 2 * self.sleeve.wall_mm

    @property
    def sleeve_cut_mm(self) -> float | None:
        """Length to cut its sleeve [mm]; None without one."""
        if self.sleeve is None:
            return None
        return cut_mm(self.sleeve, self.length_mm, self.overlap_mm)


@cache
def barrels(kind: str, *, sealed: bool = False) -> tuple[Barrel, ...]:
    """The barrels of a kind of joint, smallest first; `sealed` asks for butt barrels with a seal.

    Raises KeyError for a joint without barrels.
    """
    found = []
    for row in table(FILE).sections[SECTIONS[kind]]:
        if kind != BUTT or (row["kind"] == "sealed") == sealed:
            columns = {key: row[key] for key in row if key not in ("source", "standing")}
            origin = row_origin(FILE, row)
            found.append(Barrel(**columns, source=origin.source, status=origin.status))
    return tuple(sorted(found, key=_size))


def _size(barrel: Barrel) -> tuple[float, str]:
    return barrel.most_cmil, barrel.name


@cache
def barrel_for(
    kind: str, left_cmil: float, right_cmil: float, *, sealed: bool = False
) -> Barrel | None:
    """The smallest barrel that takes both sides [circular mils]; None where none does.

    Each side by itself in a butt barrel, their sum where they lie together.
    """
    for barrel in barrels(kind, sealed=sealed):
        if kind != BUTT:
            takes = barrel.takes(left_cmil + right_cmil)
        else:
            takes = barrel.takes(left_cmil) and barrel.takes(right_cmil)
        if takes:
            return barrel
    return None


def splice(
    kind: str, left: Sequence[Cable], right: Sequence[Cable], *, wet: bool = False
) -> Splice | None:
    """The joint of these conductors; None where no barrel takes them.

    Raises OutOfRange for an unknown kind.
    """
    if kind not in KINDS:
        raise OutOfRange(f"a joint is one of {', '.join(KINDS)}; got {kind!r}")
    bare = _unsleeved(kind, left, right)
    if bare is None or kind == SOLDER_SLEEVE:  # the latter brings its own sleeve
        return bare
    made = _sleeved(bare, bare.over_mm, wet=wet)
    if made.sleeve is not None:
        return made
    # a soft sleeve lies close round two wires side by side
    barrel_mm = bare.barrel.outside_mm if bare.barrel else 0.0
    soft_mm = max(barrel_mm, _soft_mm(left), _soft_mm(right))
    flat = _sleeved(bare, soft_mm, wet=wet)
    if flat.sleeve is None:
        return made
    return replace(flat, soft_over_mm=soft_mm)


def _unsleeved(kind: str, left: Sequence[Cable], right: Sequence[Cable]) -> Splice | None:
    left_cmil = _cmil(left)
    right_cmil = _cmil(right)
    widest = max(_side_mm(left), _side_mm(right))
    barrel = None
    if kind == LAP:
        widths = _strand_mm(left), _strand_mm(right)
        # four and a half diameters of the thicker strand, side by side
        length = strip = (
            (rule("lap_diameters_least") + rule("lap_diameters_most")) / 2 * max(widths)
        )
        over = max(widest, sum(widths))
    else:
        barrel = barrel_for(kind, left_cmil, right_cmil)
        if barrel is None:
            return None
        length = barrel.length_mm
        strip = barrel.strip_mm
        over = max(barrel.outside_mm, widest)
    return Splice(
        kind=kind,
        barrel=barrel,
        length_mm=length,
        over_mm=over,
        strip_mm=strip,
        grip_mm=_grip_mm([*left, *right]),
        sides_cmil=(left_cmil, right_cmil),
    )


def _sleeved(bare: Splice, over_mm: float, *, wet: bool) -> Splice:
    sleeve = fit(over_mm, bare.grip_mm, wet=wet)
    return replace(bare, sleeve=sleeve, overlap_mm=overlap_mm(bare.grip_mm))


def _cmil(side: Sequence[Cable]) -> float:
    return sum(wire.circular_mils for wire in side)


def _grip_mm(wires: Sequence[Cable]) -> float:
    """The thinnest insulation to grip [mm]; a part's bare lead only where there is no other."""
    outsides = [wire.outside_mm for wire in wires if wire.outside_mm is not None]
    if outsides:
        return min(outsides)
    return min(wire.conductor_mm for wire in wires)


def _widths(side: Sequence[Cable]) -> tuple[float, ...]:
    return tuple(wire.conductor_mm if wire.outside_mm is None else wire.outside_mm for wire in side)


def _soft_mm(side: Sequence[Cable]) -> float:
    widths = _widths(side)
    if len(widths) == 2:
        return hull_equivalent_mm(*widths)
    return bundle_mm(widths)


def _side_mm(side: Sequence[Cable]) -> float:
    return bundle_mm(_widths(side))


def _strand_mm(side: Sequence[Cable]) -> float:
    return strand_diameter_mm(sum(wire.area_mm2 for wire in side))


@dataclass(frozen=True, slots=True, kw_only=True)
class SizedJoint(Sized):
    """The answer for a joint; `no_barrel` says why no barrel fits it, where none does."""

    no_barrel: str = ""


def size_joint(
    left: Sequence[Cable],
    right: Sequence[Cable],
    kind: str = BUTT,
    *,
    wet: bool = False,
    moves: bool = False,
    supported: bool = False,
    tinned: bool = False,
) -> SizedJoint:
    """Barrel, length, strip and sleeve of a joint [mm], with the cautions that its kind carries.

    Raises OutOfRange for an unknown kind or an empty side.  Sources: splice trade practice,
    SAE AS81824, NASA-STD-8739.4.
    """
    if not left or not right:
        raise OutOfRange("a joint needs at least one conductor on each side")
    inputs = (
        ("left", [wire.name for wire in left]),
        ("right", [wire.name for wire in right]),
        ("kind", kind),
        ("wet", wet),
    )
    assumptions: tuple[str, ...] = (
        "areas are nominal areas",
        "barrel ranges and dimensions from memory: the barrel maker's own range governs",
        "a bare barrel under a sleeve; the colour names the range of the pre-insulated barrel that "
        "shares it",
    )
    if kind == LAP:
        assumptions = assumptions[:1]
    made = splice(kind, left, right, wet=wet)
    if made is None:
        reason, cure = _no_barrel(kind, left, right)
        return SizedJoint(
            inputs=inputs,
            assumptions=assumptions,
            why=f"none, because {reason}",
            cure=cure,
            no_barrel=reason,
        )
    wires = [*left, *right]
    if wet and kind != SOLDER_SLEEVE and max(len(left), len(right)) > 1:
        groove = "else water runs in along the groove between round wires (common practice)"
        filled = f"mastic between the wires of one side before the sleeve: {groove}"
        assumptions = (*assumptions, filled)
    said = cautions(made, len(wires), moves=moves, supported=supported, tinned=tinned)
    return SizedJoint(
        results=(*_results(made), *_pull_off(wires, crimped=kind in CRIMPED)),
        inputs=inputs,
        assumptions=assumptions,
        cautions=tuple(said),
    )


def cautions(
    made: Splice, conductors: int, *, moves: bool, supported: bool, tinned: bool
) -> Iterator[str]:
    """What must be said of a joint of this kind in this place."""
    if made.kind in SOLDERED and moves and not supported:
        breaks = "solder stiffens the strands and they break at its edge where the harness moves"
        yield f"{breaks}: support both sides, or crimp"
    if tinned and made.kind in CRIMPED:
        creeps = "the solder creeps and the crimp loosens (NASA-STD-8739.4, 4.3)"
        yield f"tinned strands must not be crimped: {creeps}"
    most = rule("most_in_barrel")
    if conductors > most:
        lie = f"more than {most:g} do not lie well in a barrel"
        yield f"{conductors} conductors in one joint: {lie}; part it into two joints"
    if made.kind != SOLDER_SLEEVE and made.sleeve is None:
        yield f"no tabled sleeve passes over {made.over_mm:.3g} mm and grips {made.grip_mm:.3g} mm"


def _results(made: Splice) -> Iterator[Value]:
    barrel = made.barrel
    if barrel is None:
        origin = Origin(source_title(FILE, "nasa-8739-4"), "read")
        length_formula = strip_formula = "the lap"
        formula = "4.5 diameters of the thicker conductor (3 to 6)"
        yield origin.value("lap", made.length_mm, "mm", formula)
    else:
        origin = Origin(barrel.source, MEMORY)
        length_formula = "barrel's length"
        strip_formula = "barrel's row"
        formula = f"{barrel.span} takes {_taken(made)}"
        yield origin.value("barrel", barrel.name, "", formula)
    left, right = made.sides_cmil
    yield AREA.value("area_left", mm2_of_cmil(left), "mm2", "sum of nominal areas")
    yield AREA.value("area_right", mm2_of_cmil(right), "mm2", "sum of nominal areas")
    yield origin.value("joint_length", made.length_mm, "mm", length_formula)
    yield origin.value("strip_length", made.strip_mm, "mm", strip_formula)
    formula = "the thicker of barrel and wires beside it"
    yield origin.value("joint_diameter", made.over_mm, "mm", formula)
    if made.kind == BUTT:
        yield from _sealed_barrel(left, right)
    if made.sleeve is not None:
        yield from _sleeve_results(made, made.sleeve)


def _sealed_barrel(left_cmil: float, right_cmil: float) -> Iterator[Value]:
    """The butt barrel with its own seal that could be taken instead, if there is one."""
    own = barrel_for(BUTT, left_cmil, right_cmil, sealed=True)
    if own is not None:
        formula = "a barrel with its own seal that takes both sides"
        yield Origin(own.source, own.status).value("sealed_barrel", own.name, "", formula)


def _taken(made: Splice) -> str:
    left, right = made.sides_cmil
    if made.kind == BUTT:
        return f"{_mm2(left)} and {_mm2(right)}"
    return _mm2(left + right)


def _mm2(cmil: float) -> str:
    return f"{mm2_of_cmil(cmil):.3g} mm2"


def _sleeve_results(made: Splice, sleeve: Sleeve) -> Iterator[Value]:
    origin = sleeve.origin
    over = f"over {made.over_mm:.3g} mm"
    if made.soft_over_mm is not None:
        less = f"less than the joint's {made.over_mm:.3g} mm"
        over = f"over {made.soft_over_mm:.3g} mm, drawn flat round two wires: {less}"
    yield origin.value("sleeve", sleeve.name, "", f"{over}, gripping {made.grip_mm:.3g} mm")
    covered = f"(joint + 2 x {made.overlap_mm:.3g})"
    formula = f"{covered} / (1 - {sleeve.length_change:g})"
    cut = cut_mm(sleeve, made.length_mm, made.overlap_mm)
    yield origin.value("sleeve_cut_length", cut, "mm", formula)
    yield origin.value("outside_after", made.outside_mm, "mm", "joint + 2 x recovered wall")


def _pull_off(wires: Sequence[Cable], *, crimped: bool) -> Iterator[Value]:
    """What the weakest crimp of the joint must hold, for a tug on a sample."""
    thin = min(wires, key=lambda wire: wire.area_mm2)
    holds = "must hold" if crimped else "must hold, and solder no less"
    formula = f"least a crimp of {thin.name} {holds}; tug gently, prove on a sample"
    named = [(f"{row['csa_mm2']:g} mm2", row) for row in table(FILE).sections["pull_off_metric"]]
    named += [(f"{row['gauge']} AWG", row) for row in table(FILE).sections["pull_off_awg"]]
    for name, row in named:
        if name == thin.name:
            yield row_origin(FILE, row).value("pull_off", float(row["newtons"]), "N", formula)


def _no_barrel(
    kind: str, left: Sequence[Cable], right: Sequence[Cable]
) -> tuple[str, tuple[str, ...]]:
    """Why no barrel takes these sides, and what would serve: only what a table holds."""
    one, other = _cmil(left), _cmil(right)
    tabled = "; ".join(f"{barrel.name} {barrel.span}" for barrel in barrels(kind))
    part = "part the joint into two"
    if kind != BUTT:
        takes = f"no {kind} takes {_mm2(one + other)} in all"
        return f"{takes} (tabled: {tabled})", (part, "choose another kind of joint")
    takes = f"no butt barrel takes {_mm2(one)} on one side and {_mm2(other)} on the other"
    cure = []
    thin, thick = sorted((one, other))
    if barrel_for(BUTT, 2 * thin, thick) is not None:
        cure.append("double the thin side back on itself")
    if barrel_for(BUTT, 2 * thin, 2 * thick) is not None and 2 * thick <= 4 * thin:
        cure.append("double both sides back on themselves")
    if _insulated(OPEN_BARREL, left, right):
        cure.append("lay all wires in one open barrel")
    if len(left) + len(right) > 2:
        cure.append(part)
    if not cure:
        cure.append("an intermediate wire, or a bolted or bought joint of these sizes")
    return f"{takes} (tabled: {tabled})", tuple(cure)


def _insulated(kind: str, left: Sequence[Cable], right: Sequence[Cable]) -> bool:
    """Whether a joint of this kind holds these wires and a tabled sleeve covers it."""
    made = splice(kind, left, right)
    return made is not None and made.sleeve is not None
