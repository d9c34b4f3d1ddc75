"""How wide wires lying together are: never below what geometry allows."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import lru_cache

from wiremap.sizing.sized import OutOfRange, Sized, Value, rule_row, source_title
from wiremap.trade.tables import table

FILE = "bundles.toml"
MOST_WIRES = 400
MOST_PACKED = 40
Disc = tuple[float, float, float]  # x, y, radius


def root_sum_mm(diameters_mm: Iterable[float]) -> float:
    """The trade rule 1.2 sqrt(sum of d squared) [mm]: below the geometric minimum for two to six equal wires."""
    factor = float(rule_row(FILE, "rules", "root_sum_factor")["value"])
    return factor * math.sqrt(sum(d * d for d in diameters_mm))


def densest_factor(n: int) -> float | None:
    """Diameter of the densest known bundle of n equal wires in wire diameters; None beyond the table."""
    return next(
        (float(row["diameters"]) for row in table(FILE).sections["densest"] if row["wires"] == n),
        None,
    )


@lru_cache(maxsize=2048)
def bundle_mm(diameters_mm: tuple[float, ...]) -> float:
    """Diameter of a bundle [mm]: the trade rule, raised to a packing that really holds all wires.

    One and two wires are exact (d, d1 + d2); equal wires take the densest known packing; others are laid one by one,
    the thickest first, and the circle round them is taken.
    """
    ds = tuple(sorted(diameters_mm, reverse=True))
    if not ds:
        raise OutOfRange("a bundle needs at least one wire")
    if len(ds) == 1:
        return ds[0]
    if len(ds) == 2:
        return max(ds[0] + ds[1], root_sum_mm(ds))
    if (
        len(ds) > MOST_PACKED
    ):  # among so many the thin ones fill gaps: the thickest alone may govern
        return max(root_sum_mm(ds), _packed_mm(ds[: MOST_PACKED // 2]))
    held = [_packed_mm(ds)]
    if (factor := densest_factor(len(ds))) is not None:
        held.append(factor * ds[0])
    return max(root_sum_mm(ds), min(held))


def _packed_mm(ds: Sequence[float]) -> float:
    placed: list[Disc] = [(0.0, 0.0, ds[0] / 2), ((ds[0] + ds[1]) / 2, 0.0, ds[1] / 2)]
    for d in ds[2:]:
        _, cx, cy = _circle(placed)
        spots = [s for s in _spots(placed, d / 2) if not _hits(s, placed)]
        placed.append(
            min(spots, key=lambda s: (round(math.hypot(s[0] - cx, s[1] - cy) + s[2], 9), s))
        )
    return 2 * _circle(placed)[0]


def _spots(placed: Sequence[Disc], r: float) -> Iterable[Disc]:
    """Where a disc of radius r touches two of those already laid."""
    for i, (x1, y1, r1) in enumerate(placed):
        for x2, y2, r2 in placed[i + 1 :]:
            a, b, c = r1 + r, r2 + r, math.hypot(x2 - x1, y2 - y1)
            if c > a + b or c < abs(a - b) or c == 0:
                continue
            along = (a * a - b * b + c * c) / (2 * c)
            up = math.sqrt(max(0.0, a * a - along * along))
            ux, uy = (x2 - x1) / c, (y2 - y1) / c
            for sign in (1.0, -1.0):
                yield x1 + along * ux - sign * up * uy, y1 + along * uy + sign * up * ux, r


def _hits(spot: Disc, placed: Sequence[Disc]) -> bool:
    return any(math.hypot(spot[0] - x, spot[1] - y) < spot[2] + r - 1e-9 for x, y, r in placed)


def _circle(discs: Sequence[Disc]) -> tuple[float, float, float]:
    """Radius and centre of a circle round discs: from the middle ever smaller steps towards the farthest one.

    Every step's circle holds all discs, so the smallest seen is never too small.
    """
    x = sum(d[0] for d in discs) / len(discs)
    y = sum(d[1] for d in discs) / len(discs)
    best = (math.inf, x, y)
    step = 0.5
    for _ in range(120):
        reach, far = max((math.hypot(d[0] - x, d[1] - y) + d[2], i) for i, d in enumerate(discs))
        if reach < best[0]:
            best = (reach, x, y)
        else:
            step *= 0.8
            _, x, y = best
            reach, far = max(
                (math.hypot(d[0] - x, d[1] - y) + d[2], i) for i, d in enumerate(discs)
            )
        fx, fy, _ = discs[far]
        gap = math.hypot(fx - x, fy - y) or 1.0
        x, y = x + (fx - x) / gap * step * reach * 0.2, y + (fy - y) / gap * step * reach * 0.2
    return best


def hull_equivalent_mm(d1: float, d2: float) -> float:
    """Bore of a soft sleeve drawn tightly round two wires that touch [mm]: hull perimeter over pi.

    Two equal wires give d (1 + 2/pi) = 1.637 d, worked by hand:
    >>> round(hull_equivalent_mm(1, 1), 3)
    1.637
    """
    r1, r2 = max(d1, d2) / 2, min(d1, d2) / 2
    straight = 2 * math.sqrt((r1 + r2) ** 2 - (r1 - r2) ** 2)
    tilt = math.asin((r1 - r2) / (r1 + r2))
    return (straight + r1 * (math.pi + 2 * tilt) + r2 * (math.pi - 2 * tilt)) / math.pi


def size_bundle(diameters_mm: Sequence[float]) -> Sized:
    """Diameter of wires lying together, with the trade rule and the geometric minimum it is held against."""
    if not 1 <= len(diameters_mm) <= MOST_WIRES:
        raise OutOfRange(
            f"a bundle takes from 1 to {MOST_WIRES} wires (range of this rule); got {len(diameters_mm)}"
        )
    for d in diameters_mm:
        if not 0.1 <= d <= 100:
            raise OutOfRange(
                f"a wire's diameter must be from 0.1 to 100 mm (range of this rule); got {d:g}"
            )
    ds = tuple(sorted(diameters_mm, reverse=True))
    answer, rule = bundle_mm(ds), root_sum_mm(ds)
    told = source_title(FILE, "distributor")
    raised = answer > rule * (1 + 1e-12)
    equal = math.isclose(ds[0], ds[-1])
    results = [
        Value(
            "bundle_diameter",
            answer,
            "mm",
            "a packing that holds all wires, as the trade rule lies below it"
            if raised
            else "1.2 sqrt(sum of d^2)",
            source_title(FILE, "circle-packing") if raised and len(ds) > 2 else told,
            "from memory, unverified" if raised and len(ds) > 2 and equal else "computed",
        ),
        Value("trade_rule", rule, "mm", "1.2 sqrt(sum of d^2)", told, "read"),
        Value(
            "least_possible",
            least_mm(ds),
            "mm",
            "no circle that holds the wires is smaller: d1 + d2 and the area of all",
            "geometry",
            "computed",
        ),
    ]
    if len(ds) == 2:
        results.append(
            Value(
                "soft_sleeve_bore",
                hull_equivalent_mm(*ds),
                "mm",
                "hull perimeter / pi",
                "geometry",
                "computed",
            )
        )
    return Sized(
        tuple(results),
        (("diameters_mm", list(ds)),),
        ("round bundle of round wires, not pressed out of shape",),
    )


def least_mm(ds: Sequence[float]) -> float:
    """A bound below which no bundle can be [mm]: the two thickest side by side, and the sum of the areas."""
    two = ds[0] + ds[1] if len(ds) > 1 else ds[0]
    return max(two, math.sqrt(sum(d * d for d in ds)))
