"""Published figures of blade fuses: ratings, opening times, ambient, let-through, selectivity."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache
from itertools import pairwise
from typing import NamedTuple

from wiremap.sizing.sized import OutOfRange, in_range, source_title
from wiremap.trade.tables import Row, figure, table

FILE = "fuses.toml"
BLADE = "blade"
LARGE_BLADE = "large-blade"
FAMILIES = (BLADE, LARGE_BLADE)
STANDARD = "ISO 8820-3"
DRAWN_TO = 12  # times the upstream rating: how far two curves are held against one another


class OpeningLimit(NamedTuple):
    """One published opening limit: at this multiple of the rating, from `least_s` to `most_s`."""

    times: float
    least_s: float
    most_s: float


class Bend(NamedTuple):
    """A point of an opening curve: multiple of the rating, and seconds."""

    times: float
    seconds: float


class Selectivity(NamedTuple):
    """Whether the downstream fuse always opens first, and where it may not."""

    first: bool
    told: str


def loading(name: str) -> float:
    """A ratio of current and rating, in its row's unit; raises KeyError."""
    return figure(FILE, "loading", name)


CLEARS = loading("clears")
CLEARS_WELL = loading("clears_well")
BIG_BLADE = loading("big_blade_amps")


def family_figure(family: str, column: str) -> float:
    """A figure of a whole family: hold_ratio [1], breaking_amps [A], rated_volts [V]."""
    return figure(FILE, "families", family, column)


def greatest_volts(family: str) -> float:
    """Rated volts of the make of a family that stands the most [V].  Source: ISO 8820-3."""
    return family_figure(family, "greatest_volts")


def check_rated_volts(family: str, volts: float) -> None:
    """Raises OutOfRange for rated volts of which no fuse of the family is made [V]."""
    made = (family_figure(family, "rated_volts"), greatest_volts(family))
    if volts not in made:
        known = " or ".join(f"{each:g}" for each in made)
        raise OutOfRange(f"the fuse's rated volts must be {known} ({STANDARD}); got {volts:g}")


def ratings(family: str = BLADE) -> tuple[float, ...]:
    """The standard ratings of a family, smallest first [A].

    Raises OutOfRange for another family.
    """
    if family not in FAMILIES:
        known = ", ".join(FAMILIES)
        raise OutOfRange(f"fuse family must be one of {known} ({STANDARD}); got {family!r}")
    return tuple(float(row["amps"]) for row in _rows(family))


def _rows(family: str) -> tuple[Row, ...]:
    return table(FILE).sections[family.replace("-", "_")]


def rating_row(amps: float, family: str = BLADE) -> Row | None:
    """Colour and drop of a rating; None where the family has no such rating."""
    for row in _rows(family):
        if row["amps"] == amps:
            return row
    return None


@cache
def gates(amps: float, family: str = BLADE) -> tuple[OpeningLimit, ...]:
    """Opening limits of a rating [A], smallest multiple first.  Source: ISO 8820-3 as quoted."""
    name = "gates_blade"
    if family == LARGE_BLADE:
        name = "gates_large_blade"
    elif amps >= BIG_BLADE:
        name = "gates_blade_big"
    return tuple(
        OpeningLimit(row["times_rating"], row["least_s"], row["most_s"])
        for row in table(FILE).sections[name]
    )


NOTHING_LEFT = 1e-9  # a share of the rating so small that no fuse carries a load, and not 0


class AmbientSpan(NamedTuple):
    """Coldest and hottest ambient of a fuse that the table has [C]."""

    coldest: float
    hottest: float


def ambient_span() -> AmbientSpan:
    """Coldest and hottest ambient for which a share of the rating is published [C]."""
    rows = table(FILE).sections["ambient"]
    return AmbientSpan(rows[0]["ambient_C"], rows[-1]["ambient_C"])


def ambient_share(ambient_C: float) -> float:
    """Share of the rating that is left at a fuse's ambient [1]; straight between the points.

    Valid from -40 to 85 C, raises OutOfRange outside.  Source: re-rating curves, from memory.
    """
    low, high = ambient_span()
    in_range(
        "the fuse's ambient", ambient_C, low, high, unit="C", source=source_title(FILE, "rerating")
    )
    return _on_line("ambient", ambient_C)


def _on_line(section: str, ambient_C: float) -> float:
    """The share at an ambient by the points of a section; beyond the last its last fall goes on."""
    pairs = list(pairwise(table(FILE).sections[section]))
    cold, hot = next((pair for pair in pairs if ambient_C <= pair[1]["ambient_C"]), pairs[-1])
    part = (ambient_C - cold["ambient_C"]) / (hot["ambient_C"] - cold["ambient_C"])
    share: float = cold["share"] + part * (hot["share"] - cold["share"])
    return share


def continuous_ratio() -> float:
    """Share of its rating that a fuse may carry continuously at 25 C [1]: 0.75."""
    return loading("continuous")


def asked_amps(load_amps: float, fuse_ambient_C: float, family: str = BLADE) -> float:
    """Least rating that a continuous load asks for [A]: load / 0.75 / share left when warm.

    A fuse is never counted as stronger than its rating because it is cold.  Of a large blade, and
    of any above 85 C, the one curve that was read is taken, of a large blade, which falls the most.
    """
    return load_amps / continuous_ratio() / held_share(fuse_ambient_C, family)


def held_share(ambient_C: float, family: str = BLADE) -> float:
    """Share of the rating counted at any ambient [1]: never above 1, of a large blade and of any
    above 85 C by the steeper curve of a large blade, whose last fall is carried on beyond 125 C;
    never below nothing.
    """
    coldest, hottest = ambient_span()
    if family == LARGE_BLADE or ambient_C > hottest:
        return min(1.0, max(_on_line("large_blade_ambient", ambient_C), NOTHING_LEFT))
    return min(1.0, ambient_share(max(ambient_C, coldest)))


def most_open_s(amps: float, rating: float, family: str = BLADE) -> float:
    """Longest opening time at a current [s]; infinite below the first opening limit.

    Straight on double-log paper between the limits, I2t constant above 6 x: an assumption.
    """
    bends = [Bend(gate.times, gate.most_s) for gate in gates(rating, family)]
    return _on_curve(amps / rating, bends)


def least_open_s(amps: float, rating: float, family: str = BLADE) -> float:
    """Shortest opening time at a current [s]; infinite below the holding current."""
    bends = [Bend(family_figure(family, "hold_ratio"), loading("hold_seconds"))]
    for gate in gates(rating, family):
        bends.append(Bend(gate.times, gate.least_s))
    return _on_curve(amps / rating, bends)


def _on_curve(times: float, bends: Sequence[Bend]) -> float:
    """Seconds at a multiple of the rating: a power law between bends, I2t constant above them."""
    if times < bends[0].times * (1 - 1e-12):
        return math.inf
    for one, two in pairwise(bends):
        if times <= two.times:
            part = math.log(max(times, one.times) / one.times) / math.log(two.times / one.times)
            return float(one.seconds * (two.seconds / one.seconds) ** part)
    last = bends[-1]
    return last.seconds * (last.times / times) ** 2


def let_through_A2s(rating: float, family: str) -> float:
    """Most I2t that passes above the last opening limit [A2 s], taken as constant: on the safe
    side.
    """
    last = gates(rating, family)[-1]
    return (last.times * rating) ** 2 * last.most_s


def selective(
    downstream: float,
    upstream: float,
    most_amps: float | None = None,
    family: str = BLADE,
    upstream_family: str = BLADE,
) -> Selectivity:
    """Whether the downstream fuse [A] always opens first, up to `most_amps`.

    At every multiple where either curve bends, the longest time of the one must lie under the
    shortest of the other.
    """
    bends = [gate.times * downstream for gate in gates(downstream, family)]
    bends += [gate.times * upstream for gate in gates(upstream, upstream_family)]
    last = DRAWN_TO * upstream if most_amps is None else most_amps
    bends.append(last)
    for amps in sorted(bends):
        if most_amps is not None and amps > most_amps:
            break
        slow = most_open_s(amps, downstream, family)
        fast = least_open_s(amps, upstream, upstream_family)
        if slow >= fast:
            above = f"at {amps:.3g} A the {upstream:g} A fuse may open after {fast:.2g} s"
            below = "need not open at all"
            if math.isfinite(slow):
                below = f"may take {slow:.2g} s"
            return Selectivity(False, f"{above}, the {downstream:g} A fuse {below}")
    return Selectivity(True, f"{downstream:g} A always opens before {upstream:g} A")
