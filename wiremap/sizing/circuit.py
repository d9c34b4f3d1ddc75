"""What a fuse shall protect, and the two short circuits that bound it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from wiremap.sizing.bundled import bundle_factor
from wiremap.sizing.conductor import Cable, cable
from wiremap.sizing.drop import CLASS_A_VOLTS, check_supply
from wiremap.sizing.fuse_limits import (
    BLADE,
    FILE,
    ambient_share,
    check_rated_volts,
    family_figure,
    ratings,
)
from wiremap.sizing.heat import (
    AMBIENT_C,
    CLASS_A_C,
    ampacity_amps,
    check_ambient,
    check_limit,
    check_temperatures,
    running_temperature_C,
)
from wiremap.sizing.sized import OutOfRange, in_range, source_title
from wiremap.trade.tables import Row, named_row, table

CHECKED = ("load_amps", "contact_amps", "inrush_amps", "inrush_s", "source_ohms", "loop_ohms")


@dataclass(frozen=True, slots=True, kw_only=True)
class Protected:
    """What a fuse shall protect: load, thinnest conductor, way out and back, surroundings.

    `loop_ohms` is what lies between fuse and a bolted fault at the far end and back, conductors
    hot; `source_ohms` lies before the fuse; both are None where a part of them is not known.
    `load_amps` is None where nobody stated the load, `battery_volts` where the supply's highest
    volts were stated: then those feed a short.  `nominal_volts` is known where the volts lost on
    the way are judged here; `warming_m` of the wire are in the loop.
    """

    wire: Cable
    load_amps: float | None
    source_ohms: float | None
    loop_ohms: float | None
    min_volts: float
    max_volts: float
    battery_volts: float | None
    ambient_C: float
    limit_C: float
    bundle: int = 1
    contact_amps: float | None = None
    inrush_amps: float | None = None
    inrush_s: float | None = None
    family: str = BLADE
    fuse_ambient_C: float | None = None
    fuse_volts: float | None = None
    nominal_volts: float | None = None
    warming_m: float = 0.0

    @property
    def fuse_at_C(self) -> float:
        """Ambient of the fuse itself: its own where stated, else the wire's [C]."""
        return self.ambient_C if self.fuse_ambient_C is None else self.fuse_ambient_C

    @property
    def rated_volts(self) -> float:
        """Volts the fuse is made for [V]: as stated, else the family's usual make."""
        if self.fuse_volts is None:
            return family_figure(self.family, "rated_volts")
        return self.fuse_volts

    @property
    def short_volts(self) -> float:
        """Volts that feed a short behind the fuse [V]: the battery's, or the highest stated."""
        if self.battery_volts is None:
            return self.max_volts
        return min(self.battery_volts, self.max_volts)

    @property
    def single_amps(self) -> float:
        """What its wire would carry alone in free air [A].

        Raises OutOfRange for surroundings or a limit outside the heat balance.
        """
        return ampacity_amps(self.wire, self.limit_C, self.ambient_C)

    @property
    def bundle_share(self) -> float:
        """Share of that which is left in its bundle [1].

        Raises OutOfRange for a bundle beyond the table.
        """
        return bundle_factor(self.bundle).factor

    @property
    def ampacity_amps(self) -> float:
        """What its wire carries where it lies [A].

        Raises OutOfRange as `single_amps` and `bundle_share` do.
        """
        return self.single_amps * self.bundle_share


def far_end_amps(circuit: Protected) -> float | None:
    """Least current of a bolted short at the far end [A]: lowest volts, wire hot, out and back.

    None where the source's or the loop's resistance is not known.
    """
    if circuit.source_ohms is None or circuit.loop_ohms is None:
        return None
    ohms = circuit.source_ohms + circuit.loop_ohms
    return circuit.min_volts / ohms if ohms > 0 else None


def drop_at_load(circuit: Protected) -> float | None:
    """Volts that the load loses on the loop, its wire as warm as the load makes it [V].

    What of the loop is not of that wire counts as it is stated.  None where load or loop is not
    known; infinite where the wire would melt.
    """
    if circuit.load_amps is None or circuit.loop_ohms is None:
        return None
    alone = circuit.load_amps / circuit.bundle_share
    try:
        runs = running_temperature_C(circuit.wire, alone, circuit.ambient_C)
        cooler = circuit.wire.ohm_per_m(circuit.limit_C) - circuit.wire.ohm_per_m(runs)
    except OutOfRange:
        return math.inf
    return circuit.load_amps * (circuit.loop_ohms - circuit.warming_m * cooler)


def near_end_amps(circuit: Protected) -> float | None:
    """Greatest current of a short just behind the fuse [A], source cold.

    Fed by the highest volts that were stated; else by the battery at rest, not by what a generator
    held before.  None where the source's resistance is not known.
    """
    if circuit.source_ohms is None or circuit.source_ohms <= 0:
        return None
    return circuit.short_volts / circuit.source_ohms


def check_circuit(circuit: Protected) -> None:
    """Raises OutOfRange for figures that no answer belongs to."""
    ratings(circuit.family)
    check_supply(circuit.min_volts, "the lowest volts")
    check_supply(circuit.max_volts, "the highest volts")
    if circuit.min_volts > circuit.max_volts:
        above = f"must not be above the highest {circuit.max_volts:g} V"
        raise OutOfRange(f"the lowest volts {above}; got {circuit.min_volts:g}")
    check_limit(circuit.limit_C)
    check_ambient(circuit.ambient_C)
    if circuit.fuse_ambient_C is not None:
        ambient_share(circuit.fuse_ambient_C)
    bundle_factor(circuit.bundle)
    if circuit.fuse_volts is not None:
        check_rated_volts(circuit.family, circuit.fuse_volts)
    for name in CHECKED:
        value = getattr(circuit, name)
        if value is not None:
            check_figure(name, value)


def check_figure(name: str, value: float) -> None:
    """Raises OutOfRange where a figure lies outside the range of its row; KeyError without one."""
    row = named_row(FILE, "limits", name)
    scope = source_title(FILE, row["source"])
    in_range(row["told"], value, row["least"], row["most"], unit=row["unit"], source=scope)


def _supply_row(volts: float) -> Row | None:
    """The row of a nominal supply; None where the table has none of these volts."""
    for row in table(FILE).sections["supply"]:
        if row["name"] == f"{volts:g}":
            return row
    return None


def supply_range(
    volts: float, min_volts: float | None = None, max_volts: float | None = None
) -> tuple[float, float]:
    """Lowest and highest volts of a supply [V]: as stated, else by ISO 16750-2, else -25/+33 %.

    The codes for 12 and 24 V are C and F, from memory.
    """
    row = _supply_row(volts)
    if row is not None:
        low, high = row["least_volts"], row["most_volts"]
    else:
        share = named_row(FILE, "supply", "other")
        low = share["least_volts"] * volts
        high = min(CLASS_A_VOLTS, share["most_volts"] * volts)
    if min_volts is not None:
        low = min_volts
    if max_volts is not None:
        high = max_volts
    return low, high


def battery_volts(volts: float) -> float:
    """A full battery's own volts at rest for a nominal supply [V]: 2.15 V a cell, from memory."""
    row = _supply_row(volts)
    if row is None:
        return float(named_row(FILE, "supply", "other")["battery_volts"]) * volts
    return float(row["battery_volts"])


def plain_circuit(
    size: str,
    length_mm: float,
    volts: float,
    load_amps: float | None,
    *,
    wall: str = "thin",
    source_ohms: float | None = None,
    ambient_C: float = AMBIENT_C,
    limit_C: float = CLASS_A_C,
    min_volts: float | None = None,
    max_volts: float | None = None,
    family: str = "",
    return_ohms: float | None = None,
) -> Protected:
    """A circuit of one wire out and its like back, or a return of known resistance.

    Raises OutOfRange for volts, a size or temperatures that no answer belongs to.
    """
    check_supply(volts)
    wire = cable(size, wall, family)
    check_temperatures(limit_C, ambient_C)
    low, high = supply_range(volts, min_volts, max_volts)
    out = length_mm / 1000 * wire.ohm_per_m(limit_C)
    back = out if return_ohms is None else return_ohms
    return Protected(
        wire=wire,
        load_amps=load_amps,
        source_ohms=source_ohms,
        loop_ohms=out + back,
        min_volts=low,
        max_volts=high,
        battery_volts=battery_volts(volts) if max_volts is None else None,
        ambient_C=ambient_C,
        limit_C=limit_C,
        nominal_volts=volts,
        warming_m=length_mm / 1000 * (2 if return_ohms is None else 1),
    )
