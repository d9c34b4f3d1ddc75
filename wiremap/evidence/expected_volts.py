"""The volts that a meter should show at the loom of a machine, unit unplugged."""

from __future__ import annotations

from dataclasses import replace

from wiremap.evidence.expected import (
    AWAKE,
    ZERO,
    Expected,
    Quantity,
    WhereRead,
    electrical,
    machine_volts,
    refused,
    rested_volts,
)
from wiremap.model import CHASSIS, Address, Cavity, End, Flow, Job, OnOff, Span

ALL_ON = "lights and switches on"  # the third sweep: many a wire is live in one position only
LIVE_ALWAYS = frozenset({"permanent-supply", "auxiliary-supply"})
DRIVEN = frozenset({"drive", "lamp", "loop"})
SINKS = frozenset({"low-side-drive"})  # their load's other end is fed: its volts stand there


def expected_volts(job: Job, end: End, cavity: Cavity) -> list[Expected]:
    """The volts to read against battery minus, ignition off and on."""
    if refused(cavity):
        return []
    red, live, group = Address(end.name, cavity.name), machine_volts(job), electrical(cavity)
    if cavity.function in LIVE_ALWAYS:
        proof = _row(red, OnOff.OFF, rested_volts(job), WhereRead.PERMANENT_OFF)
        return [replace(proof, telling=True), _row(red, OnOff.ON, live, WhereRead.PERMANENT_ON)]
    if group == "supply" or cavity.function == "wake":
        proof = _row(red, OnOff.ON, live, WhereRead.SWITCHED_ON)
        return [_row(red, OnOff.OFF, ZERO, WhereRead.SWITCHED_OFF), replace(proof, telling=True)]
    if cavity.function == "sensor-supply":
        return _dead(red, WhereRead.REFERENCE)
    if group in ("ground", "shield") or cavity.function == "sensor-return":
        return _dead(red, WhereRead.RETURN)
    driven = group in DRIVEN and cavity.function not in SINKS
    if driven and cavity.flow != Flow.TO_UNIT:
        return _dead(red, WhereRead.DRIVEN)
    if cavity.function in AWAKE:
        return [_row(red, OnOff.ON, AWAKE[cavity.function], WhereRead.BUS)]
    if cavity.unused:
        return [
            replace(_row(red, key, ZERO, WhereRead.UNUSED), asked=False)
            for key in (OnOff.OFF, OnOff.ON)
        ]
    off, on = (_row(red, key, None) for key in (OnOff.OFF, OnOff.ON))
    if cavity.function == "unknown":
        return [off, on, replace(on, state=ALL_ON)]
    return [off, on]


def _dead(red: str, where: WhereRead) -> list[Expected]:
    """What nothing feeds: asked with the ignition on alone, as no wire is live only with it off."""
    off = replace(_row(red, OnOff.OFF, ZERO, where), asked=False)
    return [off, _row(red, OnOff.ON, ZERO, where)]


def _row(red: str, key: OnOff, volts: Span | None, where: WhereRead | None = None) -> Expected:
    return Expected(
        red=red, black=CHASSIS, quantity=Quantity.VOLTS, band=volts, key=key, where=where
    )
