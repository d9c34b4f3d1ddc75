"""A supply and its ground under a lamp: a corroded feed shows its full volts until it must work."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wiremap.evidence import refused
from wiremap.evidence.expected_volts import LIVE_ALWAYS
from wiremap.model import Address, End, Job, OnOff
from wiremap.sizing.drop import allowed_percent
from wiremap.survey.own_ground import OwnGrounds
from wiremap.trade.tables import figure, table

FILE = "first_power.toml"
LAMP_OF_FUSE = figure(FILE, "row", "lamp-of-fuse")
FUSE_LAMP_WATTS = figure(FILE, "row", "guard-lamp")
BY_KEY = frozenset({"switched-supply", "accessory-supply", "relay-switched-supply"})
LAMPS = tuple(float(row["watts"]) for row in table(FILE).section("lamp", watts=float))


@dataclass(frozen=True, slots=True)
class LoadedTest:
    """A lamp between a supply and its ground at the old connector; volts it may cost at most."""

    supply: Address
    ground: Address
    watts: float
    most_volts: float | None  # None where nobody states the machine's volts
    key: OnOff | None = None  # how the ignition must stand


def loaded_tests(job: Job) -> tuple[LoadedTest, ...]:
    """One for each supply of the machine's plugs that the job uses, the permanent ones first.

    The feed of a starter is left out: nobody cranks an engine for a lamp.
    """
    found: list[LoadedTest] = []
    own = OwnGrounds(job)
    for end in job.ends.values():
        if end.is_machine and not end.is_tap:
            found += _of(job, end, own)
    return tuple(sorted(found, key=lambda test: test.key is not None))


def _of(job: Job, end: End, own: OwnGrounds) -> Iterator[LoadedTest]:
    grounds = _grounds(end)
    if not grounds:
        return
    volts = job.supply.volts
    most = None if volts is None else volts * allowed_percent("other") / 100
    joined = {address for circuit in job.circuits for address in circuit.join}
    for cavity in end.pinout.cavities.values():
        supply = Address(end.name, cavity.name)
        key = OnOff.ON if cavity.function in BY_KEY and supply in joined else None
        if refused(cavity) or (key is None and cavity.function not in LIVE_ALWAYS):
            continue
        fed = end.fed.get(supply.cavity)
        amps = None
        if fed is not None:
            amps = fed.found_amps if fed.found_amps is not None else fed.fuse_amps
        ground, *_ = own.own(supply, grounds)
        yield LoadedTest(supply, ground, lamp_watts(volts, amps), most, key)


def _grounds(end: End) -> list[Address]:
    """The power grounds of a plug."""
    cavities = end.pinout.cavities.values()
    found = (c for c in cavities if c.function == "power-ground" and not refused(c))
    return [Address(end.name, cavity.name) for cavity in found]


def lamp_watts(volts: float | None, fuse_amps: float | None) -> float:
    """The largest lamp [W] that a fuse carries easily; the smallest where nothing is stated."""
    if fuse_amps is None or volts is None:
        return FUSE_LAMP_WATTS
    fitting = (watts for watts in LAMPS if watts / volts <= fuse_amps * LAMP_OF_FUSE)
    return next(fitting, FUSE_LAMP_WATTS)
