"""How the sheet words wires, points, joints and numbers."""

from __future__ import annotations

import math

from wiremap.graph import Conductor, Harness, Point
from wiremap.model import Circuit, Wire
from wiremap.sizing.joint import Barrel

NOTE = "note it"  # what is asked of a reading for which there is no limit
LONG = 400  # characters of a note that stay in their row; the rest is printed in full on its own


def number(value: float) -> str:
    """A figure without needless digits."""
    return "open" if math.isinf(value) else f"{value:.4g}" if abs(value) < 10000 else f"{value:.0f}"


def volts_band(low: float | None, high: float | None) -> str:
    """A band of volts in few characters; where nobody can say, the deed of writing it down."""
    if low is None or high is None:
        return NOTE
    if low >= -0.5 and high <= 0.5:
        return f"under {number(high)} V"
    return f"{number(low)} to {number(high)} V"


def wire_words(wire: Wire | None) -> str:
    """A wire as on a loom drawing, then its colour as a word: `0.5 GN/WH green/white`."""
    if wire is None:
        return "wire not stated"
    size = wire.gauge or (number(wire.csa_mm2) if wire.csa_mm2 is not None else "")
    if wire.doubtful and size:
        size += "?"
    if wire.bare:
        return f"{size} bare".strip()
    if wire.colour is None:
        return f"{size} colour not stated".strip()
    word = colour_word(wire)
    letters = wire.colour.iec
    return " ".join(t for t in (size, letters if letters != wire.colour.word else "", word) if t)


def colour_word(wire: Wire) -> str:
    """The colour in full words, base before tracer; unordered ones say so."""
    if wire.bare or wire.colour is None:
        return "bare" if wire.bare else "colour not stated"
    names = [name.replace("-", " ") for name in wire.colour.colours]
    if wire.colour.ordered:
        return "/".join(names)
    return " + ".join(names)


def point_wire(harness: Harness, circuit: Circuit, point: Point) -> str:
    """The wire at a point: its own tail, or the new one that the circuit lays."""
    if point.extra is not None and point.extra.kind in ("resistor", "diode"):
        return extra_words(point)
    if point.kind == "stud":
        return "ring"
    own = point.brings_lead or point.is_tap
    if own and point.cavity is not None:
        return wire_words(point.cavity.wire)
    leg = circuit.legs.get(point.address)
    wire = (leg.wire if leg and leg.wire else None) or circuit.wire
    if wire is not None:
        return f"new {wire_words(wire)}"
    tail = _tail_of_other(harness, circuit, point)
    return f"takes the tail of {tail}" if tail else "wire not stated"


def _tail_of_other(harness: Harness, circuit: Circuit, point: Point) -> str:
    for conductor in harness.conductors_by_circuit.get(circuit.id, ()):
        if (
            conductor.origin == "tail"
            and point.address in (conductor.a, conductor.b)
            and conductor.point
        ):
            return conductor.point
    return ""


def signal_words(point: Point) -> str:
    """What the point carries, in the user's words; an extra tells what it is."""
    if point.cavity is not None:
        return point.cavity.signal or point.cavity.function.replace("-", " ")
    extra = point.extra
    if extra is None:
        return "machine frame"
    return "" if extra.kind in ("resistor", "diode") else extra_words(point)


def extra_words(point: Point) -> str:
    """An extra in a few words: `resistor 120 ohm 0.5 W`, `blade fuse 2 A`, `stud M6`."""
    extra = point.extra
    if extra is None:
        return ""
    if extra.kind == "fuse":
        return f"{extra.detail} fuse {number(extra.amps) + ' A' if extra.amps is not None else 'as sized'}".strip()
    if extra.kind == "resistor":
        watts = f" {number(extra.watts)} W" if extra.watts is not None else ""
        return f"resistor {number(extra.ohms) if extra.ohms is not None else '?'} Ω{watts}"
    if extra.kind == "diode":
        leg = "anode" if point.address.endswith(".a") else "cathode"
        return f"diode {number(extra.amps) + ' A ' if extra.amps is not None else ''}{leg}"
    return f"stud {extra.detail}".strip()


def conductor_words(harness: Harness, conductor: Conductor) -> str:
    """One wire that meets in a joint: `loom.1 0.75 RD red`."""
    if conductor.origin == "lead":
        return f"{conductor.point} {extra_words(harness.points[conductor.point or ''])}"
    what = wire_words(conductor.wire)
    if conductor.origin == "new":
        far = conductor.point or next(
            (n for n in (conductor.b, conductor.a) if not harness.is_joint(n)), ""
        )
        return f"new {what} to {far}" if far else f"new {what}"
    if conductor.origin == "direct":
        return f"{conductor.point} {what}, not cut"
    return f"{conductor.point} {what}"


def barrel_words(barrel: Barrel) -> str:
    """A barrel as it is asked for: a bare one goes by its range, as its colour is only that of the insulated one."""
    return f"bare {barrel.gauges}" if barrel.kind == "bare" else barrel.name
