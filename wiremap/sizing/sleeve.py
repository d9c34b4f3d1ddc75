"""Heat-shrink sleeves: a size that passes over a joint and grips its wires, or why none does."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import NamedTuple

from wiremap.sizing.sized import (
    ROUND,
    Origin,
    OutOfRange,
    Sized,
    Value,
    in_range,
    memory,
    row_origin,
    source_title,
)
from wiremap.trade.tables import figure, table

FILE = "sleeves.toml"
RANGE = "range of the tabled sleeves"
PASSES, GRIPS = (1.0, 2.0), (0.1, 1.0)  # factors that a sleeve may be asked for
LEAST_JOINT_MM = 1


@dataclass(frozen=True, slots=True, order=True, kw_only=True)
class Sleeve:
    """One tabled sleeve; its order among others is that of its fields."""

    supplied_mm: float  # least bore as supplied
    adhesive: bool  # lined with it
    recovered_mm: float  # greatest bore after shrinking
    wall_mm: float  # after shrinking
    length_change: float  # share of its length that it loses in shrinking
    name: str
    family: str
    source: str
    status: str

    @property
    def origin(self) -> Origin:
        """Where its figures come from."""
        return Origin(self.source, self.status)


class Fit(NamedTuple):
    """What a sleeve must pass over and what it must grip [mm], with the factor for each [1]."""

    over_mm: float
    grip_mm: float
    supplied_factor: float
    recovered_factor: float
    wet: bool

    @property
    def supplied_mm(self) -> float:
        """The least bore as supplied [mm]."""
        return self.supplied_factor * self.over_mm

    @property
    def recovered_mm(self) -> float:
        """The greatest bore after shrinking [mm]."""
        return self.recovered_factor * self.grip_mm

    def takes(self, sleeve: Sleeve) -> bool:
        """Whether a sleeve passes and grips, and is lined where it is wet."""
        if self.wet and not sleeve.adhesive:
            return False
        passes = sleeve.supplied_mm >= self.supplied_mm * (1 - ROUND)
        return passes and sleeve.recovered_mm <= self.recovered_mm * (1 + ROUND)


def rule(name: str) -> float:
    """A sleeve rule's figure, in the unit of its row; raises KeyError."""
    return figure(FILE, "rules", name)


@cache
def sleeves() -> tuple[Sleeve, ...]:
    """Every tabled sleeve, smallest supplied bore first, the unlined before the lined."""
    found = []
    for row in table(FILE).sections["sleeves"]:
        origin = row_origin(FILE, row)
        sleeve = Sleeve(
            supplied_mm=row["supplied_mm"],
            adhesive=row["adhesive"],
            recovered_mm=row["recovered_mm"],
            wall_mm=row["wall_mm"],
            length_change=row["length_change"],
            name=row["name"],
            family=row["family"],
            source=origin.source,
            status=origin.status,
        )
        found.append(sleeve)
    return tuple(sorted(found))


@cache
def fit(over_mm: float, grip_mm: float, *, wet: bool = False) -> Sleeve | None:
    """The smallest sleeve that passes over and grips by the usual factors; None if none does.

    Supplied bore at least 1.2 x `over_mm`, recovered bore at most 0.8 x `grip_mm`; lined where
    wet.
    """
    return _smallest(_fit(over_mm, grip_mm, wet=wet))


def _smallest(wanted: Fit) -> Sleeve | None:
    for sleeve in sleeves():
        if wanted.takes(sleeve):
            return sleeve
    return None


def _fit(
    over_mm: float,
    grip_mm: float,
    supplied: float | None = None,
    recovered: float | None = None,
    *,
    wet: bool,
) -> Fit:
    if supplied is None:
        supplied = rule("supplied_factor")
    if recovered is None:
        recovered = rule("recovered_factor")
    return Fit(over_mm, grip_mm, supplied, recovered, wet)


def overlap_mm(grip_mm: float) -> float:
    """Sleeve on the insulation on each side [mm]: two wire diameters, not under the usual 5 mm."""
    return max(rule("overlap_diameters") * grip_mm, rule("least_overlap_mm"))


def cut_mm(sleeve: Sleeve, joint_mm: float, overlap: float) -> float:
    """Length to cut so that the shrunk sleeve covers joint and overlaps [mm].

    Covered length / (1 - shortening).
    """
    return (joint_mm + 2 * overlap) / (1 - sleeve.length_change)


def size_sleeve(
    over_mm: float,
    grip_mm: float,
    *,
    wet: bool = False,
    joint_mm: float | None = None,
    overlap: float | None = None,
    supplied_factor: float | None = None,
    recovered_factor: float | None = None,
) -> Sized:
    """A sleeve by name, its bores [mm], and the length to cut [mm].

    Without one, `why` tells which of the two rules each size fails.  Valid from 0.3 to 60 mm,
    raises OutOfRange outside.  Sources: SAE AS23053, rules of the sleeve trade.
    """
    wanted = _fit(over_mm, grip_mm, supplied_factor, recovered_factor, wet=wet)
    _check(wanted, joint_mm, overlap)
    inputs = (
        ("over_mm", over_mm),
        ("grip_mm", grip_mm),
        ("wet", wet),
        ("joint_mm", joint_mm),
        ("overlap_mm", overlap),
        ("supplied_factor", wanted.supplied_factor),
        ("recovered_factor", wanted.recovered_factor),
    )
    supplied = f"supplied bore at least {wanted.supplied_factor:g} x the largest diameter passed"
    recovered = f"recovered bore at most {wanted.recovered_factor:g} x the smallest gripped"
    place = "a lined sleeve is asked for where it is wet" if wet else "dry place"
    assumptions = (f"{supplied}, {recovered}", place)
    found = _smallest(wanted)
    if found is None:
        cure = (
            "build the thin wire up with a short length of sleeve first, or double it back",
            "a slimmer joint lets a smaller sleeve pass",
        )
        return Sized(inputs=inputs, assumptions=assumptions, why=_why(wanted), cure=cure)
    results = tuple(_results(found, wanted, joint_mm, overlap))
    return Sized(results=results, inputs=inputs, assumptions=assumptions)


def _check(wanted: Fit, joint_mm: float | None, overlap: float | None) -> None:
    least, most = rule("least_mm"), rule("most_mm")
    in_range("over", wanted.over_mm, least, most, unit="mm", source=RANGE)
    in_range("grip", wanted.grip_mm, least, most, unit="mm", source=RANGE)
    passes = "a sleeve must pass; 1.1 to 1.3 is usual"
    in_range("the supplied factor", wanted.supplied_factor, *PASSES, unit="", source=passes)
    grips = "a sleeve must grip; 0.8 to 0.9 is usual"
    in_range("the recovered factor", wanted.recovered_factor, *GRIPS, unit="", source=grips)
    if wanted.grip_mm > wanted.over_mm:
        above = f"must not be above over, the largest passed ({wanted.over_mm:g} mm)"
        got = f"got {wanted.grip_mm:g} mm"
        raise OutOfRange(f"grip, the smallest diameter gripped, {above}; {got}")
    if joint_mm is not None:
        most_mm = rule("most_joint_mm")
        in_range("the joint's length", joint_mm, LEAST_JOINT_MM, most_mm, unit="mm", source=RANGE)
    if overlap is not None:
        in_range("the overlap", overlap, 0, rule("most_overlap_mm"), unit="mm", source=RANGE)


def _results(
    found: Sleeve, wanted: Fit, joint_mm: float | None, overlap: float | None
) -> Iterator[Value]:
    chosen = memory(FILE, "sleeve-rules")
    supplied = f"supplied >= {wanted.supplied_factor:g} x {wanted.over_mm:g} mm"
    recovered = f"recovered <= {wanted.recovered_factor:g} x {wanted.grip_mm:g} mm"
    origin = Origin(f"{found.source}; {chosen.source}", chosen.status)
    yield origin.value("sleeve", found.name, "", f"smallest with {supplied} and {recovered}")
    row = found.origin
    family = found.family + (", adhesive lined" if found.adhesive else "")
    yield row.value("family", family, "", "table row")
    formula = f"table row, at least {wanted.supplied_mm:.3g} asked"
    yield row.value("supplied_bore", found.supplied_mm, "mm", formula)
    formula = f"table row, at most {wanted.recovered_mm:.3g} asked"
    yield row.value("recovered_bore", found.recovered_mm, "mm", formula)
    laid = overlap_mm(wanted.grip_mm) if overlap is None else overlap
    formula = "two wire diameters, not under 5 mm" if overlap is None else "as stated"
    practice = Origin(source_title(FILE, "sleeve-practice"), "common practice")
    yield practice.value("overlap_each_side", laid, "mm", formula)
    if joint_mm is not None:
        formula = f"(joint + 2 x overlap) / (1 - {found.length_change:g})"
        yield row.value("cut_length", cut_mm(found, joint_mm, laid), "mm", formula)
    after = wanted.over_mm + 2 * found.wall_mm
    yield row.value("outside_after", after, "mm", "largest diameter + 2 x recovered wall")


def _why(wanted: Fit) -> str:
    what = "adhesive-lined sleeve" if wanted.wet else "sleeve"
    pool = [sleeve for sleeve in sleeves() if sleeve.adhesive or not wanted.wet]
    supplied = f"{wanted.supplied_mm:.3g} mm"
    over = f"passes over {wanted.over_mm:g} mm"
    passing = [sleeve for sleeve in pool if sleeve.supplied_mm >= wanted.supplied_mm]
    if not passing:
        top = max(sleeve.supplied_mm for sleeve in pool)
        asked = f"{supplied} of supplied bore is asked, the largest has {top:g} mm"
        return f"none, because no tabled {what} {over}: {asked}"
    tightest = min(sleeve.recovered_mm for sleeve in passing)
    recovers = f"(supplied {supplied} or more) recovers to {tightest:g} mm or more"
    needed = f"{wanted.recovered_mm:.3g} mm or less is needed to grip {wanted.grip_mm:g} mm"
    return f"none, because every {what} that {over} {recovers}, and {needed}"
