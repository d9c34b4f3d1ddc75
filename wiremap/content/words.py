"""How wires, points, parts, joints and figures are worded, for every way of showing them."""

from __future__ import annotations

import math
from collections.abc import Sequence

from wiremap.content.runs import folded
from wiremap.evidence.meter import DEAD_VOLTS
from wiremap.graph import Harness, Point
from wiremap.model import Circuit, Wire
from wiremap.sizing.joint import Barrel

FOUR_DIGITS = 10_000  # below it a figure is told with as many
NOTE = "note it"  # what is asked of a reading for which there is no limit
DEAD = f"under {DEAD_VOLTS:g} V"  # what is asked of a wire before it is touched
DEAD_BAND_VOLTS = 0.5  # a band within this of 0 V is told by its upper limit alone
KILO = 1000
MOST_NAMED = 12  # names in a sentence
NO_COLOUR = "colour not stated"
NO_WIRE = "wire not stated"
BRIDGED = (  # how a sleep current is read without cutting anything off
    "Bridge first from post to clamp, then the clamp off; the meter in parallel to the bridge; the "
    "bridge lifted, read; the bridge back, the clamp back on its post, then meter and bridge off; "
    "only then is anything switched. Never with the ignition on."
)
ALL_OFF = "battery off, minus first; every other source off"  # each as page 1 has it
ALL_ON = "battery on, plus first; every other source on"
PLUG = "blanking plug"
LEAVE = "leave as found"
TREAT = {"blank": PLUG, "cap": "cap, seal, tie back", "leave": LEAVE}  # of a cavity left out


def listed(*words: str | None) -> str:
    """The words that are not empty, with commas between."""
    return ", ".join(word for word in words if word)


def few(names: Sequence[str]) -> str:
    """Names as far as a line holds them; of more the contacts end by end, in runs."""
    return listed(*names) if len(names) <= MOST_NAMED else folded(names)


def spaced(*words: str | None) -> str:
    """The words that are not empty, with blanks between."""
    return " ".join(word for word in words if word)


def sentence_case(text: str) -> str:
    """The text with its first letter large; a contact that it begins with stays as it is called.

    >>> sentence_case("fit it."), sentence_case("old.1 is live.")
    ('Fit it.', 'old.1 is live.')
    """
    begins = text.partition(" ")[0].rstrip(".,:;")
    return text if "." in begins else text[:1].upper() + text[1:]


def number(value: float) -> str:
    """A figure without needless digits; an endless one is `open`."""
    if math.isinf(value):
        return "open"
    if abs(value) < FOUR_DIGITS:
        return f"{value:.4g}"
    return f"{value:.0f}"


def amount(value: float | None, unit: str) -> str:
    """A figure with its unit; empty where it is not stated."""
    if value is None:
        return ""
    return f"{number(value)} {unit}"


def volts_band(low: float | None, high: float | None) -> str:
    """A band of volts in few characters; where nobody can say, the deed of writing it down."""
    if low is None or high is None:
        return NOTE
    if low >= -DEAD_BAND_VOLTS and high <= DEAD_BAND_VOLTS:
        return f"under {number(high)} V"
    return f"{number(low)} to {number(high)} V"


def ohms_band(low: float | None, high: float | None) -> str:
    """A band of ohms in few characters; where nobody can say, the deed of writing it down."""
    if low is None:
        return NOTE
    if math.isinf(low):
        return "open"
    if low <= 0 and high is not None and math.isinf(high):
        return NOTE
    if high is None or math.isinf(high):
        return f"over {_ohms(low)}"
    if low <= 0:
        return f"under {_ohms(high)}"
    unit = " kΩ" if low >= KILO else " Ω"
    first, last = _ohms(low), _ohms(high)
    if first.endswith(unit) and last.endswith(unit):
        first = first.removesuffix(unit)
    return f"{first} to {last}"


def _ohms(value: float) -> str:
    """Figures of a meter: three digits, as the band was rounded, none taken away."""
    if value >= KILO:
        return f"{number(value / KILO)} kΩ"
    return f"{number(value)} Ω"


def wire_words(wire: Wire | None) -> str:
    """A wire as on a loom drawing, then its colour as a word: `0.5 GN/WH green/white`."""
    if wire is None:
        return NO_WIRE
    size = size_words(wire)
    if wire.bare or wire.colour is None:
        return spaced(size, colour_word(wire))
    letters = wire.colour.iec
    if letters == wire.colour.word:
        letters = ""
    return spaced(size, letters, colour_word(wire))


def _size(wire: Wire) -> str:
    size = wire.gauge or ""
    if not size and wire.csa_mm2 is not None:
        size = area_words(wire.csa_mm2)
    if size and wire.doubtful:
        size += "?"
    return size


def size_words(wire: Wire | None) -> str:
    """A wire's size alone."""
    return "" if wire is None else _size(wire)


def area_words(csa_mm2: float) -> str:
    """A cross-section that cannot be read as part of an address: `1.0 mm2`."""
    return f"{area_figure(csa_mm2)} mm2"


def area_figure(csa_mm2: float) -> str:
    """A cross-section [mm2] without its unit: `1.0`."""
    told = number(csa_mm2)
    return told if "." in told else f"{told}.0"


def colour_word(wire: Wire) -> str:
    """The colour in full words, base before tracer; unordered ones say so."""
    if wire.bare:
        return "bare"
    if wire.colour is None:
        return NO_COLOUR
    names = [name.replace("-", " ") for name in wire.colour.colours]
    if wire.colour.ordered:
        return "/".join(names)
    return " + ".join(names)


def lays_wire(circuit: Circuit, point: Point) -> bool:
    """Whether a circuit lays a new wire to a point."""
    return not _brought(point) and _laid_wire(circuit, point) is not None


def _brought(point: Point) -> str:
    """What a point brings by itself: the lead of a part, a ring, its own wire; empty if nothing."""
    if has_leads(point):
        return extra_words(point)
    if point.is_stud:
        return "ring"
    if point.cavity is not None and (point.brings_lead or point.is_tap):
        return wire_words(point.cavity.wire)
    return ""


def _laid_wire(circuit: Circuit, point: Point) -> Wire | None:
    leg = circuit.legs.get(point.address)
    return leg.wire if leg is not None and leg.wire is not None else circuit.wire


def point_wire(harness: Harness, circuit: Circuit, point: Point) -> str:
    """The wire at a point: its own tail, or the new one that the circuit lays."""
    brought = _brought(point)
    if brought:
        return brought
    wire = _laid_wire(circuit, point)
    if wire is not None:
        return f"new {wire_words(wire)}"
    for conductor in harness.conductors_by_circuit.get(circuit.id, ()):
        ends = (conductor.a, conductor.b)
        if conductor.is_tail and point.address in ends and conductor.point:
            return f"takes the tail of {conductor.point}"
    return NO_WIRE


def signal_words(point: Point) -> str:
    """What the point carries, in the user's words; an extra tells what it is."""
    if point.cavity is not None:
        return point.cavity.signal or point.cavity.function.replace("-", " ")
    if point.extra is None:
        return "machine frame"
    if has_leads(point):
        return ""
    return extra_words(point)


def has_leads(point: Point) -> bool:
    """Whether the point is a lead of a resistor or a diode."""
    return point.extra is not None and point.extra.kind in ("resistor", "diode")


def extra_words(point: Point) -> str:
    """An extra in a few words: `resistor 120 Ω 0.5 W`, `blade fuse 2 A`, `stud M6`."""
    extra = point.extra
    if extra is None:
        return ""
    amps = amount(extra.amps, "A")
    match extra.kind:
        case "fuse":
            return spaced(extra.detail, "fuse", amps or "as sized")
        case "resistor":
            ohms = amount(extra.ohms, "Ω") or "? Ω"
            return spaced("resistor", ohms, amount(extra.watts, "W"))
        case "diode":
            leg = "anode" if point.address.endswith(".a") else "cathode"
            return spaced("diode", amps, leg)
    return spaced("stud", extra.detail)


def barrel_words(barrel: Barrel) -> str:
    """A barrel as it is asked for: a bare one by its range, as it has no colour."""
    if not barrel.is_bare:
        return barrel.name
    return f"bare barrel {barrel.span}"


def named_barrel(barrel: Barrel) -> str:
    """A barrel in the few words of a row of work."""
    return barrel_words(barrel).partition(" (")[0]
