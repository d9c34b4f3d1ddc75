"""The ohms that a contact of a machine's loom promises by its function, where no load is stated."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import NamedTuple

from wiremap.evidence.expected import (
    FLOATING,
    GROUND,
    LAMP,
    LOOP,
    PICKUP,
    PRACTICE,
    PULSES,
    REFERENCE,
    SENDER,
    TERMINATOR,
    Expected,
    Quantity,
    WhereRead,
    as_found,
    electrical,
)
from wiremap.evidence.expected_volts import SINKS
from wiremap.evidence.own_return import OwnReturn, own_return, perhaps_returns
from wiremap.graph import ResistorNetwork
from wiremap.model import CHASSIS, Address, Cavity, End, Flow, Span

LAMP_SOURCE = (
    "filament 0.5 to 200 ohm; LED lamp open or odd, other with probes exchanged (common practice)"
)
PARTNERS: Mapping[str, str] = MappingProxyType(
    {"can-high": "can-low", "interlock-out": "interlock-back"}
)
SENSORS: Mapping[str, Span] = MappingProxyType({"analogue-input": SENDER, "pulse-input": PULSES})


class Promise(NamedTuple):
    """What a function promises to read."""

    band: Span | None  # ohms; None: whatever is read is noted
    where: WhereRead | None = None
    telling: bool = False  # whether reading it proves the function
    source: str = PRACTICE


def cavity_row(end: End, cavity: Cavity, black: str, promise: Promise) -> Expected:
    """What to read from a contact to a point, as its function promises."""
    return Expected(
        red=Address(end.name, cavity.name),
        black=black,
        quantity=Quantity.OHMS,
        band=promise.band,
        source=promise.source,
        telling=promise.telling,
        where=promise.where,
    )


def open_to_others(end: End, supply: Cavity, loads: ResistorNetwork) -> Iterator[Expected]:
    """A sensor supply read against what none of its sensors is joined with by the paper.

    That is the chassis and, where the paper tells which sensors are whose, the return of another
    supply: two that are exchanged show there.
    """
    own = own_return(end, supply)
    others = []
    for cavity in end.pinout.cavities.values():
        theirs = own_return(end, cavity) if cavity.function == "sensor-supply" else None
        if own and theirs and own.told and theirs.told and theirs.name != own.name:
            others.append(Address(end.name, theirs.name))
    for black in (CHASSIS, *dict.fromkeys(others)):
        if math.isinf(loads.span(Address(end.name, supply.name), black).low):
            yield cavity_row(end, supply, black, Promise(FLOATING, WhereRead.REFERENCE))


def _by_return(end: End, cavity: Cavity, own: OwnReturn) -> Expected:
    """A sensor or the supply of some, read against its own return.

    Where the paper does not tell which return that is, a sensor may read open there; what is
    promised of a supply reaches to open anyhow.
    """
    if cavity.function == "sensor-supply":
        promise = Promise(REFERENCE, WhereRead.REFERENCE)
    else:
        band = SENSORS[cavity.function]
        if band is PULSES and cavity.volts is None:  # no paper tells that it is an electronic one
            band = Span(PICKUP.low, band.high)
        promise = Promise(band if own.told else Span(band.low, math.inf), WhereRead.SENDER)
    return cavity_row(end, cavity, Address(end.name, own.name), promise)


def by_function(end: End, cavity: Cavity, coil: Span) -> list[Expected]:
    """What a contact without stated load is read for, if at all.

    `coil` are the usual ohms of a coil.
    """
    promise = _to_chassis(cavity, _coil(cavity, coil))
    if promise is not None:
        return [cavity_row(end, cavity, CHASSIS, promise)]
    returns = _returns(end, cavity)
    if returns:
        return [_by_return(end, cavity, each) for each in returns]
    partner = _partner(end, cavity)
    if partner is None:
        return []
    promise = Promise(LOOP, WhereRead.LOOP, telling=True)
    if cavity.function == "can-high":
        one_or_two = Span(TERMINATOR.low / 2, TERMINATOR.high)
        promise = Promise(one_or_two, WhereRead.PAIR, telling=True, source="ISO 11898-2")
    return [cavity_row(end, cavity, Address(end.name, partner), promise)]


def _returns(end: End, cavity: Cavity) -> list[OwnReturn]:
    """The returns that a sensor of the machine, or the supply of some, is read against."""
    if cavity.function in SENSORS and cavity.flow != Flow.FROM_UNIT:
        return perhaps_returns(end, cavity)
    own = own_return(end, cavity) if cavity.function == "sensor-supply" else None
    return [] if own is None else [own]


def _to_chassis(cavity: Cavity, coil: Span) -> Promise | None:
    """What a contact shows to chassis, where that is what is read of it."""
    group = electrical(cavity)
    if cavity.function == "power-ground":
        return Promise(GROUND, WhereRead.GROUND, telling=True)
    if cavity.function == "unknown":
        return Promise(None)
    if group not in ("lamp", "drive"):
        return None
    if cavity.flow == Flow.TO_UNIT:
        return Promise(None)  # the machine drives it: what lies between is not known
    if cavity.function in SINKS:  # its coil's other end is fed: the coil and more lies between
        return Promise(Span(coil.low, math.inf), WhereRead.LOAD)
    if group == "lamp":
        return Promise(LAMP, WhereRead.LAMP, source=LAMP_SOURCE)
    return Promise(coil, WhereRead.LOAD)


def _coil(cavity: Cavity, usual: Span) -> Span:
    """The ohms of what a contact drives; stated volts and amps widen what is usual.

    Amps are stated at the volts of the machine, which are the lowest of a stated band or all of it.
    """
    if cavity.volts is None or not cavity.amps or cavity.volts.low <= 0:
        return usual
    ohms = as_found(Span.of(cavity.volts.low / cavity.amps))
    return Span(min(usual.low, ohms.low), max(usual.high, ohms.high))


def _partner(end: End, cavity: Cavity) -> str | None:
    """The other wire of a pair or loop; None for what is neither, or not the first of both."""
    function = PARTNERS.get(cavity.function)
    if function is None:
        return None
    for other in end.pinout.cavities.values():
        alike = (other.pair, other.chain) == (cavity.pair, cavity.chain)
        if other.function == function and alike:
            return other.name
    return None
