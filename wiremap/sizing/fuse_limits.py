"""Published figures of blade fuses: ratings, opening times, ambient, let-through, and which of two opens first."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

from wiremap.sizing.sized import OutOfRange, in_range, rule_row, source_title
from wiremap.trade.tables import Row, table

FILE = "fuses.toml"
FAMILIES = ("blade", "large-blade")
STANDARD = "ISO 8820-3"


@dataclass(frozen=True, slots=True)
class Gate:
    """One published opening limit: at this multiple of the rating, not before `least_s`, not after `most_s`."""

    times: float
    least_s: float
    most_s: float
    standing: str


def ratings(family: str = "blade") -> tuple[float, ...]:
    """The standard ratings of a family, smallest first [A]; raises OutOfRange for an unknown family."""
    if family not in FAMILIES:
        raise OutOfRange(
            f"fuse family must be one of {', '.join(FAMILIES)} ({STANDARD}); got {family!r}"
        )
    return tuple(float(row["amps"]) for row in _rows(family))


def _rows(family: str) -> tuple[Row, ...]:
    return table(FILE).sections[family.replace("-", "_")]


def rating_row(amps: float, family: str = "blade") -> Row | None:
    """Colour and drop of a rating; None where the family has no such rating."""
    return next((row for row in _rows(family) if row["amps"] == amps), None)


@cache
def gates(amps: float, family: str = "blade") -> tuple[Gate, ...]:
    """The opening limits of a rating, smallest multiple first."""
    name = (
        "gates_large_blade"
        if family == "large-blade"
        else "gates_blade_big"
        if amps >= 35
        else "gates_blade"
    )
    return tuple(
        Gate(row["times_rating"], row["least_s"], row["most_s"], row["standing"])
        for row in table(FILE).sections[name]
    )


def ambient_share(ambient_C: float) -> float:
    """Share of the rating that is left at a fuse's ambient; straight lines between the table's points.

    Raises OutOfRange outside the table.
    """
    rows = table(FILE).sections["ambient"]
    low, high = rows[0]["ambient_C"], rows[-1]["ambient_C"]
    in_range("the fuse's ambient", ambient_C, low, high, "C", source_title(FILE, "rerating"))
    for one, two in pairwise(rows):
        if ambient_C <= two["ambient_C"]:
            part = (ambient_C - one["ambient_C"]) / (two["ambient_C"] - one["ambient_C"])
            return float(one["share"] + part * (two["share"] - one["share"]))
    return float(rows[-1]["share"])


def continuous_ratio() -> float:
    """Share of its rating that a fuse may carry continuously at 25 C."""
    return float(rule_row(FILE, "loading", "continuous")["ratio"])


def asked_amps(load_amps: float, fuse_ambient_C: float = 25.0) -> float:
    """Least rating that a continuous load asks for [A]: load / 0.75 / share left at the fuse's ambient.

    A fuse is never counted as stronger than its rating because it is cold.
    """
    return load_amps / continuous_ratio() / min(1.0, ambient_share(fuse_ambient_C))


def most_open_s(amps: float, rating: float, family: str = "blade") -> float:
    """Longest opening time at a current [s]: straight on double-log paper between the gates, I2t constant above 6 x.

    Infinite below the first gate, for which no limit is published.
    """
    return _on_curve(amps / rating, [(g.times, g.most_s) for g in gates(rating, family)], math.inf)


def least_open_s(amps: float, rating: float, family: str = "blade") -> float:
    """Shortest opening time at a current [s]: as `most_open_s`; below the first gate down to the holding current."""
    hold = float(rule_row(FILE, "families", family)["hold_ratio"])
    points = [(hold, 360000.0), *((g.times, g.least_s) for g in gates(rating, family))]
    return _on_curve(amps / rating, points, math.inf)


def _on_curve(times: float, points: list[tuple[float, float]], below: float) -> float:
    if times < points[0][0] * (1 - 1e-12):
        return below
    for (m1, t1), (m2, t2) in pairwise(points):
        if times <= m2:
            part = math.log(max(times, m1) / m1) / math.log(m2 / m1)
            return float(t1 * (t2 / t1) ** part)
    last, seconds = points[-1]
    return seconds * (last / times) ** 2


def let_through_A2s(rating: float, family: str = "blade") -> float:
    """Most I2t that passes above the last gate [A2 s], taken as constant: an assumption, on the safe side."""
    last = gates(rating, family)[-1]
    return (last.times * rating) ** 2 * last.most_s


def selective(
    downstream: float,
    upstream: float,
    most_amps: float | None = None,
    family: str = "blade",
    upstream_family: str = "blade",
) -> tuple[bool, str]:
    """Whether the downstream fuse always opens first, and where it may not.

    At every multiple where either curve bends, the longest time of the one must lie under the shortest of the other.
    """
    bends = [g.times * downstream for g in gates(downstream, family)]
    bends += [g.times * upstream for g in gates(upstream, upstream_family)]
    bends.append(most_amps if most_amps is not None else 12 * upstream)
    for amps in sorted(b for b in bends if most_amps is None or b <= most_amps):
        slow, fast = (
            most_open_s(amps, downstream, family),
            least_open_s(amps, upstream, upstream_family),
        )
        if slow >= fast:
            return False, (
                f"at {amps:.3g} A the {upstream:g} A fuse may open after {fast:.2g} s, the {downstream:g} A "
                f"fuse may take {slow:.2g} s"
                if math.isfinite(slow)
                else f"at {amps:.3g} A the {upstream:g} A fuse may open after {fast:.2g} s, the {downstream:g} A "
                "fuse need not open at all"
            )
    return True, f"{downstream:g} A always opens before {upstream:g} A"
