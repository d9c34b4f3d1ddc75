"""Heat-shrink sleeves: a size that passes over and grips, or none, because."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from wiremap.sizing.sized import MEMORY, OutOfRange, Sized, Value, in_range, rule_row, source_title
from wiremap.trade.tables import table

FILE = "sleeves.toml"
RANGE = "range of the tabled sleeves"


@dataclass(frozen=True, slots=True, order=True)
class Sleeve:
    """One tabled sleeve: bore as supplied (least) and recovered (greatest), wall, lining, shortening."""

    supplied_mm: float
    adhesive: bool
    recovered_mm: float
    wall_mm: float
    length_change: float
    name: str
    family: str
    source: str
    status: str


@cache
def sleeves() -> tuple[Sleeve, ...]:
    """Every tabled sleeve, smallest supplied bore first, the unlined before the lined."""
    return tuple(
        sorted(
            Sleeve(
                float(r["supplied_mm"]),
                bool(r["adhesive"]),
                float(r["recovered_mm"]),
                float(r["wall_mm"]),
                float(r["length_change"]),
                r["name"],
                r["family"],
                source_title(FILE, r["source"]),
                r["standing"],
            )
            for r in table(FILE).sections["sleeves"]
        )
    )


def factors() -> tuple[float, float]:
    """The two usual factors: supplied bore over what it passes, recovered bore over what it grips."""
    return (
        float(rule_row(FILE, "rules", "supplied_factor")["value"]),
        float(rule_row(FILE, "rules", "recovered_factor")["value"]),
    )


@cache
def fit(
    over_mm: float,
    grip_mm: float,
    wet: bool = False,
    supplied_factor: float | None = None,
    recovered_factor: float | None = None,
) -> Sleeve | None:
    """The smallest sleeve with supplied >= k1 x over and recovered <= k2 x grip, lined where wet; None if none does."""
    k1, k2 = _factors(supplied_factor, recovered_factor)
    for sleeve in sleeves():
        if wet and not sleeve.adhesive:
            continue
        if sleeve.supplied_mm >= k1 * over_mm * (
            1 - 1e-9
        ) and sleeve.recovered_mm <= k2 * grip_mm * (1 + 1e-9):
            return sleeve
    return None


def _factors(supplied: float | None, recovered: float | None) -> tuple[float, float]:
    k1, k2 = factors()
    return (k1 if supplied is None else supplied, k2 if recovered is None else recovered)


def overlap_mm(grip_mm: float) -> float:
    """Sleeve on the insulation on each side [mm]: two wire diameters, not under the usual 5 mm."""
    return max(2 * grip_mm, float(rule_row(FILE, "rules", "least_overlap_mm")["value"]))


def cut_mm(sleeve: Sleeve, joint_mm: float, overlap: float) -> float:
    """Length to cut so that the shrunk sleeve covers joint and overlaps [mm]: covered / (1 - shortening)."""
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
    """A sleeve by name, its bores, and the length to cut; without one, which of the two rules each size fails."""
    in_range("over", over_mm, 0.3, 60, "mm", RANGE)
    in_range("grip", grip_mm, 0.3, 60, "mm", RANGE)
    k1, k2 = _factors(supplied_factor, recovered_factor)
    in_range("the supplied factor", k1, 1.0, 2.0, "", "a sleeve must pass; 1.1 to 1.3 is usual")
    in_range("the recovered factor", k2, 0.1, 1.0, "", "a sleeve must grip; 0.8 to 0.9 is usual")
    if grip_mm > over_mm:
        raise OutOfRange(
            f"grip, the smallest diameter gripped, must not be above over, the largest passed "
            f"({over_mm:g} mm); got {grip_mm:g} mm"
        )
    if joint_mm is not None:
        in_range("the joint's length", joint_mm, 1, 500, "mm", RANGE)
    if overlap is not None:
        in_range("the overlap", overlap, 0, 200, "mm", RANGE)
    inputs = (
        ("over_mm", over_mm),
        ("grip_mm", grip_mm),
        ("wet", wet),
        ("joint_mm", joint_mm),
        ("overlap_mm", overlap),
        ("supplied_factor", k1),
        ("recovered_factor", k2),
    )
    assumptions = (
        f"supplied bore at least {k1:g} x the largest diameter passed, recovered bore at most {k2:g} x the "
        "smallest gripped",
        "a lined sleeve is asked for where it is wet" if wet else "dry place",
    )
    found = fit(over_mm, grip_mm, wet, supplied_factor, recovered_factor)
    if found is None:
        return Sized(
            (),
            inputs,
            assumptions,
            _why(over_mm, grip_mm, wet, k1, k2),
            cure=(
                "build the thin wire up with a short length of sleeve first, or double it back",
                "a slimmer joint lets a smaller sleeve pass",
            ),
        )
    return Sized(
        tuple(_results(found, over_mm, grip_mm, k1, k2, joint_mm, overlap)), inputs, assumptions
    )


def _results(
    found: Sleeve,
    over: float,
    grip: float,
    k1: float,
    k2: float,
    joint_mm: float | None,
    overlap: float | None,
) -> Iterator[Value]:
    rules = source_title(FILE, "sleeve-rules")
    yield Value(
        "sleeve",
        found.name,
        "",
        f"smallest with supplied >= {k1:g} x {over:g} mm and recovered <= {k2:g} x {grip:g} mm",
        f"{found.source}; {rules}",
        MEMORY,
    )
    yield Value(
        "family",
        found.family + (", adhesive lined" if found.adhesive else ""),
        "",
        "table row",
        found.source,
        found.status,
    )
    yield Value(
        "supplied_bore",
        found.supplied_mm,
        "mm",
        f"table row, at least {k1 * over:.3g} asked",
        found.source,
        found.status,
    )
    yield Value(
        "recovered_bore",
        found.recovered_mm,
        "mm",
        f"table row, at most {k2 * grip:.3g} asked",
        found.source,
        found.status,
    )
    laid = overlap if overlap is not None else overlap_mm(grip)
    yield Value(
        "overlap_each_side",
        laid,
        "mm",
        "as stated" if overlap is not None else "two wire diameters, not under 5 mm",
        source_title(FILE, "sleeve-practice"),
        "common practice",
    )
    if joint_mm is not None:
        yield Value(
            "cut_length",
            cut_mm(found, joint_mm, laid),
            "mm",
            f"(joint + 2 x overlap) / (1 - {found.length_change:g})",
            found.source,
            found.status,
        )
    yield Value(
        "outside_after",
        over + 2 * found.wall_mm,
        "mm",
        "largest diameter + 2 x recovered wall",
        found.source,
        found.status,
    )


def _why(over: float, grip: float, wet: bool, k1: float, k2: float) -> str:
    pool = [s for s in sleeves() if s.adhesive or not wet]
    passing = [s for s in pool if s.supplied_mm >= k1 * over]
    what = "adhesive-lined sleeve" if wet else "sleeve"
    if not passing:
        top = max(pool, key=lambda s: s.supplied_mm)
        return (
            f"none, because no tabled {what} passes over {over:g} mm: {k1 * over:.3g} mm of supplied bore is "
            f"asked, the largest has {top.supplied_mm:g} mm"
        )
    tightest = min(passing, key=lambda s: s.recovered_mm)
    return (
        f"none, because every {what} that passes over {over:g} mm (supplied {k1 * over:.3g} mm or more) recovers "
        f"to {tightest.recovered_mm:g} mm or more, and {k2 * grip:.3g} mm or less is needed to grip {grip:g} mm"
    )
