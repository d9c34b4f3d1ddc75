"""Where a job's wires lie and what supplies them, as stated or as taken."""

from __future__ import annotations

from dataclasses import dataclass

from wiremap.model import Job
from wiremap.sizing.bundled import most_bundled
from wiremap.sizing.circuit import battery_volts, supply_range
from wiremap.sizing.load import DEFAULT_AMBIENT_C


@dataclass(frozen=True, slots=True, kw_only=True)
class Around:
    """Where a job's wires lie and what supplies them."""

    volts: float | None  # nominal
    low_volts: float
    high_volts: float
    battery_volts: float | None  # None where the highest volts are stated: then those feed a short
    ambient_C: float
    limit_C: float
    bundle: int  # 1 where nobody states it


def around_of(job: Job) -> Around:
    """A job's surroundings as stated, else as taken: 60 C, class A (85 C), single wires, 12 V.

    A bundle beyond the table counts as its largest; `unjudged` tells so.
    """
    supply = job.supply
    nominal = supply.volts or 12.0
    low, high = supply_range(nominal, supply.min_volts, supply.max_volts)
    ambient = job.surroundings.ambient_C
    return Around(
        volts=supply.volts,
        low_volts=low,
        high_volts=high,
        battery_volts=battery_volts(nominal) if supply.max_volts is None else None,
        ambient_C=DEFAULT_AMBIENT_C if ambient is None else ambient,
        limit_C=job.limit_C(),
        bundle=min(job.surroundings.bundle or 1, most_bundled()),
    )
