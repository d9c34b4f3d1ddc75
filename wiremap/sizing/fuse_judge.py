"""What speaks against a fuse rating in a circuit: load, inrush, wire, contact, clearing, breaking."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from wiremap.sizing.ampacity import (
    adiabatic_k,
    adiabatic_temperature_C,
    ampacity_amps,
    bundle_factor,
    short_circuit_limit_C,
    steady_temperature_C,
    temperature_after_C,
)
from wiremap.sizing.conductor import Cable
from wiremap.sizing.fuse_limits import (
    FILE,
    asked_amps,
    continuous_ratio,
    gates,
    least_open_s,
)
from wiremap.sizing.sized import OutOfRange, rule_row

ADIABATIC_S = 5.0
CLEARS, CLEARS_WELL = 1.35, 2.0


@dataclass(frozen=True, slots=True)
class Circuit:
    """What a fuse shall protect: its load, its thinnest conductor, its way out and back, its surroundings.

    `loop_ohms` is what lies between fuse and a bolted fault at the far end and back, conductors hot; `source_ohms`
    lies before the fuse.  `load_amps` is None where nobody has stated the load.
    """

    wire: Cable
    load_amps: float | None
    source_ohms: float | None
    loop_ohms: float | None
    min_volts: float
    max_volts: float
    ambient_C: float = 23.0
    limit_C: float = 85.0
    bundle: int = 1
    contact_amps: float | None = None
    inrush_amps: float | None = None
    inrush_s: float | None = None
    family: str = "blade"
    fuse_ambient_C: float | None = None


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that speaks against a rating; `side` says whether a larger (low) or smaller (high) one would help."""

    kind: str
    side: str
    text: str


def judge(rating: float, circuit: Circuit) -> tuple[Fault, ...]:
    """Everything that speaks against a rating in a circuit; empty when it will do."""
    return (*low_faults(rating, circuit), *high_faults(rating, circuit))


def low_faults(rating: float, circuit: Circuit) -> Iterator[Fault]:
    """What asks for a larger fuse: the load, the ambient, the inrush."""
    at = circuit.ambient_C if circuit.fuse_ambient_C is None else circuit.fuse_ambient_C
    if circuit.load_amps is not None:
        asked = asked_amps(circuit.load_amps, at)
        if rating < asked * (1 - 1e-9):
            yield Fault(
                "load",
                "low",
                f"{circuit.load_amps:g} A of load asks for at least {asked:.3g} A "
                f"(load / {continuous_ratio():g}, fuse in {at:g} C)",
            )
    if circuit.inrush_amps is not None:
        if circuit.inrush_s is None:
            if circuit.inrush_amps > rating:
                yield Fault(
                    "inrush",
                    "low",
                    f"a peak of {circuit.inrush_amps:g} A of unknown length is over the "
                    f"rating of {rating:g} A",
                )
        elif (
            seconds := least_open_s(circuit.inrush_amps, rating, circuit.family)
        ) <= circuit.inrush_s:
            yield Fault(
                "inrush",
                "low",
                f"{circuit.inrush_amps:g} A for {circuit.inrush_s:g} s may open a {rating:g} "
                f"A fuse, which may go after {seconds:.2g} s",
            )


def high_faults(rating: float, circuit: Circuit) -> Iterator[Fault]:
    """What asks for a smaller fuse or a thicker wire: contact, wire, clearing, breaking."""
    if circuit.contact_amps is not None and rating > circuit.contact_amps:
        yield Fault(
            "contact",
            "high",
            f"a {rating:g} A fuse is over the contact's {circuit.contact_amps:g} A",
        )
    yield from _slow(rating, circuit)
    yield from _fast(rating, circuit)
    far = far_end_amps(circuit)
    if far is not None and far < CLEARS * rating:
        yield Fault(
            "clearing",
            "high",
            f"a short at the far end draws {far:.3g} A, under {CLEARS:g} x {rating:g} A: "
            "the fuse need not open",
        )
    yield from _breaking(circuit)


def running_C(rating: float, circuit: Circuit) -> float:
    """Conductor temperature before the fault: at the load, or at 75 % of the rating where no load is known."""
    load = circuit.load_amps if circuit.load_amps is not None else continuous_ratio() * rating
    return min(circuit.limit_C, _single_amps_C(circuit, load))


def _single_amps_C(circuit: Circuit, amps: float) -> float:
    try:
        return steady_temperature_C(
            circuit.wire, amps / bundle_factor(circuit.bundle)[0], circuit.ambient_C
        )
    except OutOfRange:
        return 1083.0


def _slow(rating: float, circuit: Circuit) -> Iterator[Fault]:
    """Limits beyond 5 s: the insulation's own limit, by the heat balance."""
    hold = float(rule_row(FILE, "families", circuit.family)["hold_ratio"])
    factor = bundle_factor(circuit.bundle)[0]
    wire, limit = circuit.wire, circuit.limit_C
    ampacity = ampacity_amps(wire, limit, circuit.ambient_C) * factor
    for gate in gates(rating, circuit.family):
        amps = gate.times * rating
        if gate.most_s <= ADIABATIC_S or amps <= ampacity * (1 + 1e-9):
            continue
        reached = temperature_after_C(
            wire, amps / factor, gate.most_s, running_C(rating, circuit), circuit.ambient_C
        )
        if reached > limit:
            yield Fault(
                "wire",
                "high",
                f"it may carry {gate.times:g} x {rating:g} A = {amps:.3g} A for "
                f"{gate.most_s:g} s, over the {ampacity:.3g} A of {_lead(wire)}: "
                + _reaches(wire, reached),
            )
            return
    if hold * rating > ampacity * (1 + 1e-9):
        yield Fault(
            "wire",
            "high",
            f"it may carry {hold:g} x {rating:g} A = {hold * rating:.3g} A for ever, over the "
            f"{ampacity:.3g} A of {_lead(wire)}: " + _reach(circuit, hold * rating),
        )


def _reach(circuit: Circuit, amps: float) -> str:
    return _reaches(circuit.wire, _single_amps_C(circuit, amps))


def _reaches(wire: Cable, celsius: float) -> str:
    # rounded down: it certainly gets that far
    return (
        f"{_lead(wire)} would reach {math.floor(celsius)} C"
        if celsius < 1083
        else f"{_lead(wire)} would melt"
    )


def _lead(wire: Cable) -> str:
    return f"a {wire.name} lead"


def _fast(rating: float, circuit: Circuit) -> Iterator[Fault]:
    """Limits up to 5 s and beyond the last gate: let-through against k2 A2, from the running temperature."""
    final = short_circuit_limit_C(circuit.limit_C)
    stands = adiabatic_k(running_C(rating, circuit), final) ** 2 * circuit.wire.area_mm2**2
    most = near_end_amps(circuit)
    for gate in gates(rating, circuit.family):
        amps = gate.times * rating
        if gate.most_s > ADIABATIC_S or (most is not None and amps > most):
            continue
        if amps * amps * gate.most_s > stands * (1 + 1e-9):
            reached = adiabatic_temperature_C(
                amps * amps * gate.most_s, circuit.wire.area_mm2, running_C(rating, circuit)
            )
            yield Fault(
                "let-through",
                "high",
                f"{gate.times:g} x {rating:g} A for {gate.most_s:g} s lets "
                f"{amps * amps * gate.most_s:.3g} A2s through, over the {stands:.3g} "
                f"A2s of {_lead(circuit.wire)}: " + _reaches(circuit.wire, reached),
            )
            return


def far_end_amps(circuit: Circuit) -> float | None:
    """Least current of a bolted short at the far end [A]: lowest volts, wire hot, out and back; None if not known."""
    if circuit.source_ohms is None or circuit.loop_ohms is None:
        return None
    ohms = circuit.source_ohms + circuit.loop_ohms
    return circuit.min_volts / ohms if ohms > 0 else None


def near_end_amps(circuit: Circuit) -> float | None:
    """Greatest current of a short just behind the fuse [A]: highest volts, source cold; None if not known."""
    if circuit.source_ohms is None or circuit.source_ohms <= 0:
        return None
    return circuit.max_volts / circuit.source_ohms


def _breaking(circuit: Circuit) -> Iterator[Fault]:
    row = rule_row(FILE, "families", circuit.family)
    near = near_end_amps(circuit)
    if near is not None and near > row["breaking_amps"]:
        yield Fault(
            "breaking",
            "other",
            f"a short behind the fuse draws up to {near:.4g} A, beyond its breaking "
            f"capacity of {row['breaking_amps']:g} A",
        )
    if circuit.max_volts > row["rated_volts"]:
        yield Fault(
            "rated-volts",
            "other",
            f"{circuit.max_volts:g} V is over the fuse's rated {row['rated_volts']:g} "
            "V: take the 58 V make",
        )


def upstream_sentence(rating: float, circuit: Circuit) -> str:
    """One computed sentence on an upstream fuse: why the lead behind it needs its own fuse, or need not."""
    faults = sorted(
        high_faults(rating, circuit), key=lambda f: f.kind not in ("wire", "let-through")
    )
    for fault in faults:
        if fault.kind in ("wire", "let-through"):
            amps = CLEARS * rating
            reached = _single_amps_C(circuit, amps)
            wire = circuit.wire
            if reached > circuit.limit_C:
                what = f"would reach {math.floor(reached)} C" if reached < 1083 else "would melt"
                return f"{rating:g} A upstream: {_lead(wire)} {what} before it opens"
            return f"{rating:g} A upstream: {fault.text}"
        return f"{rating:g} A upstream: {fault.text}"
    return (
        f"{rating:g} A upstream protects {_lead(circuit.wire)}: {CLEARS * rating:.3g} A for up to "
        f"{gates(rating, circuit.family)[0].most_s:g} s leaves it under {circuit.limit_C:g} C"
    )
