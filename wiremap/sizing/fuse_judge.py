"""What speaks against a fuse rating in a circuit: load, inrush, wire, contact, clearing."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from wiremap.sizing.ampacity import overload_C, short_circuit_limit_C
from wiremap.sizing.circuit import Protected, far_end_amps, near_end_amps
from wiremap.sizing.conductor import Cable
from wiremap.sizing.fuse_limits import (
    CLEARS,
    OpeningLimit,
    asked_amps,
    continuous_ratio,
    family_figure,
    gates,
    greatest_volts,
    least_open_s,
    loading,
)
from wiremap.sizing.heat import (
    MELTING_C,
    adiabatic_k,
    adiabatic_temperature_C,
    steady_temperature_C,
)
from wiremap.sizing.sized import ROUND, OutOfRange
from wiremap.sizing.transient import temperature_after_C

ADIABATIC_S = loading("adiabatic_seconds")


class Against(StrEnum):
    """What kind of thing speaks against a rating."""

    LOAD = "load"
    INRUSH = "inrush"
    CONTACT = "contact"
    WIRE = "wire"
    LET_THROUGH = "let-through"
    CLEARING = "clearing"
    BREAKING = "breaking"
    RATED_VOLTS = "rated-volts"
    BEFORE_FUSE = "before-fuse"  # a short on the way to a fuse of its own destroys the wire


HEATS_WIRE = frozenset({Against.WIRE, Against.LET_THROUGH})


@dataclass(frozen=True, slots=True)
class Objection:
    """One thing that speaks against a rating, in words."""

    kind: Against
    text: str


def low_objections(rating: float, circuit: Protected) -> Iterator[Objection]:
    """What asks for a larger fuse than this rating [A]: the load, the ambient, the inrush."""
    load = circuit.load_amps
    if load is not None:
        asked = asked_amps(load, circuit.fuse_at_C, circuit.family)
        if rating < asked * (1 - ROUND):
            carried = f"the {_below(load, rating * load / asked)} A that {rating:g} A carries"
            how = f"(x {continuous_ratio():g}, fuse in {circuit.fuse_at_C:g} C)"
            text = f"{load:g} A of load is more than {carried} all the time {how}"
            yield Objection(Against.LOAD, text)
    if circuit.inrush_amps is not None:
        yield from _inrush(rating, circuit.inrush_amps, circuit)


def _below(load: float, carried: float) -> str:
    """Amps that are below a load, with so many digits that they read so."""
    shown = (f"{carried:.{digits}g}" for digits in range(3, 7))
    return next((text for text in shown if float(text) < float(f"{load:g}")), f"{carried:g}")


def _inrush(rating: float, peak: float, circuit: Protected) -> Iterator[Objection]:
    if circuit.inrush_s is None:
        if peak > rating:
            over = f"over the rating of {rating:g} A"
            yield Objection(Against.INRUSH, f"a peak of {peak:g} A of unknown length is {over}")
        return
    seconds = least_open_s(peak, rating, circuit.family)
    if seconds <= circuit.inrush_s:
        opens = f"may open a {rating:g} A fuse, which may go after {seconds:.2g} s"
        yield Objection(Against.INRUSH, f"{peak:g} A for {circuit.inrush_s:g} s {opens}")


def high_objections(rating: float, circuit: Protected) -> Iterator[Objection]:
    """What asks for a smaller fuse than this rating [A], or a thicker wire.

    Raises OutOfRange where the heat balance of the wire does not hold.
    """
    contact = circuit.contact_amps
    if contact is not None and rating > contact:
        yield Objection(Against.CONTACT, f"a {rating:g} A fuse is over the contact's {contact:g} A")
    yield from _slow(rating, circuit)
    yield from _fast(rating, circuit)
    far = far_end_amps(circuit)
    if far is not None and far < CLEARS * rating:
        draws = f"draws {far:.3g} A, under {CLEARS:g} x {rating:g} A"
        text = f"a short at the far end {draws}: the fuse need not open"
        yield Objection(Against.CLEARING, text)
    yield from breaking(circuit)


def reached_C(circuit: Protected, amps: float) -> float:
    """Temperature the circuit's wire settles at in its bundle [C], at most molten copper's."""
    try:
        single = amps / circuit.bundle_share
        return steady_temperature_C(circuit.wire, single, circuit.ambient_C)
    except OutOfRange:
        return MELTING_C


def _slow(rating: float, circuit: Protected) -> Iterator[Objection]:
    """Limits beyond 5 s, by the heat balance in time: the insulation's limit for that duration.

    600 s is steady for one small wire; what may flow for ever is held against the class itself.
    """
    ampacity = circuit.ampacity_amps
    over = f"over the {ampacity:.3g} A of {lead(circuit.wire)}"
    for gate in gates(rating, circuit.family):
        amps = gate.times * rating
        if gate.most_s <= ADIABATIC_S or amps <= ampacity * (1 + ROUND):
            continue
        reached = _reached_by(gate, rating, circuit)
        if reached > stood_C(circuit, gate.most_s):
            carries = f"it may carry {gate.times:g} x {rating:g} A = {amps:.3g} A"
            text = f"{carries} for {gate.most_s:g} s, {over}: {lead_reaches(circuit.wire, reached)}"
            yield Objection(Against.WIRE, text)
            return
    hold = family_figure(circuit.family, "hold_ratio")
    amps = hold * rating
    if amps > ampacity * (1 + ROUND):
        carries = f"it may carry {hold:g} x {rating:g} A = {amps:.3g} A continuously"
        reaches = lead_reaches(circuit.wire, reached_C(circuit, amps))
        yield Objection(Against.WIRE, f"{carries}, {over}: {reaches}")


def _reached_by(gate: OpeningLimit, rating: float, circuit: Protected) -> float:
    """How hot the wire gets until the fuse must have opened by this limit [C].

    Where it stands what it would settle at in the end, that temperature.
    """
    amps = gate.times * rating
    settled = reached_C(circuit, amps)
    if settled <= stood_C(circuit, gate.most_s):
        return settled
    single = amps / circuit.bundle_share
    start = circuit.limit_C
    return temperature_after_C(circuit.wire, single, gate.most_s, start, circuit.ambient_C)


def stood_C(circuit: Protected, seconds: float) -> float:
    """What the circuit's insulation stands for this long [C].  Source: ISO 19642-2."""
    return circuit.limit_C + overload_C(seconds)


def overload_reached_C(circuit: Protected, rating: float) -> float:
    """How hot the wire gets by the longest overload a fuse of this rating [A] lets through [C].

    Raises OutOfRange where the heat balance of the wire does not hold.
    """
    return _reached_by(gates(rating, circuit.family)[0], rating, circuit)


def lead_reaches(wire: Cable, celsius: float) -> str:
    """How hot a wire's lead gets [C], in words."""
    return f"{lead(wire)} {would_reach(celsius)}"


def would_reach(celsius: float) -> str:
    """How hot a lead gets [C], in words and rounded down: it certainly gets that far."""
    return f"would reach {math.floor(celsius)} C" if celsius < MELTING_C else "would melt"


def lead(wire: Cable) -> str:
    """A lead of a wire, in words."""
    return f"a {wire.name} lead"


def withstand_k(circuit: Protected) -> float:
    """The k of the wire's insulation, from its class temperature on [A s^0.5/mm2].

    Nothing cooler counts: the fuse lets more than the load flow for as long as it likes.
    Raises OutOfRange for a limit that copper does not reach.  Source: IEC 60364-5-54.
    """
    return adiabatic_k(circuit.limit_C, short_circuit_limit_C(circuit.limit_C))


def stands_A2s(circuit: Protected) -> float:
    """What the wire stands from its class temperature [A2 s]: k2 A2.  Source: IEC 60364-4-43.

    Raises OutOfRange as `withstand_k` does.
    """
    return (withstand_k(circuit) * circuit.wire.area_mm2) ** 2


def _fast(rating: float, circuit: Protected) -> Iterator[Objection]:
    """Limits up to 5 s: let-through against k2 A2, from the class temperature."""
    stands = stands_A2s(circuit)
    most = near_end_amps(circuit)
    for gate in gates(rating, circuit.family):
        amps = gate.times * rating
        if gate.most_s > ADIABATIC_S or (most is not None and amps > most):
            continue
        i2t = amps * amps * gate.most_s
        if i2t > stands * (1 + ROUND):
            reached = adiabatic_temperature_C(i2t, circuit.wire.area_mm2, circuit.limit_C)
            lets = f"{gate.times:g} x {rating:g} A for {gate.most_s:g} s lets {i2t:.3g} A2s through"
            over = f"over the {stands:.3g} A2s of {lead(circuit.wire)}"
            text = f"{lets}, {over}: {lead_reaches(circuit.wire, reached)}"
            yield Objection(Against.LET_THROUGH, text)
            return


def breaking(circuit: Protected) -> Iterator[Objection]:
    """Whether the fuse breaks what a short just behind it draws, at the supply's volts."""
    near = near_end_amps(circuit)
    breaks = family_figure(circuit.family, "breaking_amps")
    if near is not None and near > breaks:
        draws = f"a short behind the fuse draws up to {near:.4g} A"
        text = f"{draws}, beyond its breaking capacity of {breaks:g} A"
        yield Objection(Against.BREAKING, text)
    if circuit.max_volts > circuit.rated_volts:
        yield Objection(Against.RATED_VOLTS, _over_rated_volts(circuit))


def _over_rated_volts(circuit: Protected) -> str:
    """That the supply is above what the fuse is made for, and whether another make is."""
    greatest = greatest_volts(circuit.family)
    over = f"{circuit.max_volts:g} V is over the fuse's rated {circuit.rated_volts:g} V"
    if circuit.max_volts <= greatest:
        return f"{over}: take the {greatest:g} V make"
    return f"{over}, and no {circuit.family} fuse is made for more than {greatest:g} V"
