"""Which answers a question allows: choices, a number within sane bounds, a wire, a name."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from wiremap.entries.numbers import Figure, figure, figures
from wiremap.evidence import equipment
from wiremap.evidence.confirmed import LEFT_ALONE, PARTNER, circuit_at, is_contact, joint_points
from wiremap.files.wires import BadWire, parse_wire
from wiremap.model import (
    Address,
    AsFound,
    Basis,
    Cavity,
    End,
    Flow,
    Job,
    LookedAt,
    Need,
    OnOff,
    says_what,
    split,
)
from wiremap.trade.functions import normalise

UNDECIDED = frozenset(
    {"", "?", "unknown", "don't know", "dont know", "don\u2019t know", "not known"}
)
YES = frozenset({"yes", "confirmed", "right", "true"})
NO = frozenset({"no", "false"})
LONGEST = 200  # characters of a name
SHOWN = 60  # characters of an answer that is told back
THICKEST_MM2 = 120

VOLTS = {"V": 1.0, "v": 1.0, "volt": 1.0, "volts": 1.0, "mV": 0.001}
AMPS = {"A": 1.0, "a": 1.0, "amp": 1.0, "amps": 1.0, "mA": 0.001}
MM = {"mm": 1.0, "MM": 1.0, "cm": 10.0, "m": 1000.0}
HEAT = dict.fromkeys(("C", "c", "\u00b0C", "\u00b0c", "degC", "deg", "degrees"), 1.0)
KBITS = {"kbit/s": 1.0, "kbit": 1.0, "k": 1.0, "Mbit/s": 1000.0}
OHMS = dict.fromkeys(("ohm", "ohms", "Ohm", "\u03a9", "\u2126"), 1.0)
MILLIOHMS = {"mohm": 1.0, "milliohm": 1.0, "ohm": 1000.0}
WIRES = {"wire": 1.0, "wires": 1.0}
# Bounds are our own sanity limits: 60 V DC is voltage class A (ISO 6469-3), the rest is what the
# files themselves allow.
FIGURES: Mapping[str, Figure] = MappingProxyType(
    {
        "supply.volts": Figure(1, 60, "V", "24", VOLTS),
        "supply.min_volts": Figure(0, 60, "V", "18", VOLTS),
        "supply.max_volts": Figure(1, 60, "V", "32", VOLTS),
        "surroundings.ambient_C": Figure(-60, 150, "C", "60", HEAT),
        "beeper": Figure(1, 1000, "ohm", "50", OHMS),
        "surroundings.bundle": Figure(0, 1000, "wires", "6", WIRES, whole=True),
        "tail_mm": Figure(1, 100_000, "mm", "350", MM),
        "amps": Figure(0, 1000, "A", "0.9", AMPS),
        "peak_amps": Figure(0, 5000, "A", "6", AMPS),
        "asleep_amps": Figure(0, 1000, "A", "0.001", AMPS),
        "fuse_amps": Figure(0.01, 2000, "A", "5", AMPS),
        "found_amps": Figure(0.01, 2000, "A", "10", AMPS),
        "milliohm": Figure(0.1, 100_000, "mohm", "20", MILLIOHMS),
        "length_mm": Figure(1, 100_000, "mm", "4000", MM),
        "kbit_s": Figure(1, 1e7, "kbit/s", "250", KBITS),
        "volts_ac": Figure(0, 2000, "V", "12", VOLTS),
        "volts": Figure(-1000, 2000, "V", "9 to 16", VOLTS),
    }
)
WORDS: Mapping[str, type[StrEnum]] = MappingProxyType(
    {"flow": Flow, "need": Need, "as_found": AsFound}
)
NAMES = frozenset({"pair", "chain"})


@dataclass(frozen=True, slots=True)
class Allowed:
    """What may be answered about one thing: in words, an example, and the test of a text."""

    words: str
    example: str
    fits: Callable[[str], bool]


def undecided(text: str) -> bool:
    """Whether an answer says that nobody knows."""
    return text.strip().casefold() in UNDECIDED


def allowed(job: Job, about: str) -> Allowed | None:
    """What may be answered about an address of the job; None if nothing there can be answered."""
    owner, rest = split(about)
    if circuit_at(job, about) is not None or joint_points(job, about):
        return _choice(("yes", "no"), also=(*YES, *NO))
    point = Address.read(about.removesuffix(PARTNER))
    if about.endswith(PARTNER) and is_contact(job, point):
        return _partner(job, point)
    if owner in job.ends:
        return _of_end(job.ends[owner], rest)
    if about in FIGURES and owner in ("supply", "surroundings", "beeper"):
        return _number(FIGURES[about])
    if about == equipment.ABOUT:
        return Allowed(equipment.WORDS, equipment.EXAMPLE, _is_equipment)
    if about == "surroundings.wet":
        return _choice(("yes", "no"), also=("true", "false"))
    if about == "surroundings.moves":
        return _name("none, or what moves", "none")
    if any(circuit.id == about for circuit in job.circuits):
        return _choice(("yes", "no"), also=(*YES, *NO))
    return None


def refusal(job: Job, about: str, text: str) -> tuple[str, str] | None:
    """Why an answer cannot be kept and an example of one that can; None if it can."""
    known = allowed(job, about)
    if known is None:
        return (
            f"nothing is asked about {about!r}: `{short(text)}` was not kept",
            "see `wiremap next FILE --full` for what can be answered",
        )
    if undecided(text) or known.fits(text.strip()):
        return None
    return no_answer(text, about, known), f"as: {known.example}"


def no_answer(text: str, about: str, known: Allowed) -> str:
    told = f"allowed are {known.words}, or don't know"
    return f"`{short(text)}` is no answer about {about}: {told}"


def short(text: str) -> str:
    return text if len(text) <= SHOWN else text[: SHOWN - 3] + "..."


# -- kinds of answers -----------------------------------------------------------------------------


def _number(of: Figure) -> Allowed:
    words = f"number from {of.low:g} to {of.high:g} {of.unit}"
    start = "a whole" if of.whole else "a"
    return Allowed(f"{start} {words}", of.example, lambda text: figure(text, of) is not None)


def _span(of: Figure) -> Allowed:
    words = f"{_number(of).words}, or two with `to` between them"
    return Allowed(words, of.example, lambda text: figures(text, of) is not None)


def _choice(shown: tuple[str, ...], also: tuple[str, ...] = ()) -> Allowed:
    known = {word.casefold() for word in (*shown, *also)}
    return Allowed(" or ".join(shown), shown[0], lambda text: text.casefold() in known)


def _says_what(text: str) -> bool:
    return len(text) <= LONGEST and text.isprintable() and says_what(text)


def _name(words: str, example: str) -> Allowed:
    return Allowed(words, example, lambda text: 0 < len(text) <= LONGEST and text.isprintable())


def _partner(job: Job, point: Address) -> Allowed:
    """A contact of another end, or none."""

    def fits(text: str) -> bool:
        other = Address.read(text)
        return text == LEFT_ALONE or (other.end != point.end and is_contact(job, other))

    far = [end for end in job.ends.values() if end.name != point.end and end.pinout.cavities]
    example = f"{far[0].name}.{next(iter(far[0].pinout.cavities))}" if far else LEFT_ALONE
    return Allowed(f"a contact of another connector, or {LEFT_ALONE}", example, fits)


def _is_equipment(text: str) -> bool:
    return equipment.read_equipment(text) is not None


def _is_wire(text: str) -> bool:
    """A colour or the word bare is needed: a number alone may be anything."""
    wire = parse_wire(text, None, None)
    if isinstance(wire, BadWire) or not (wire.colour is not None or wire.bare):
        return False
    return 0 < (wire.csa_mm2 or 1) <= THICKEST_MM2


# -- what is asked where --------------------------------------------------------------------------


def _of_end(end: End, rest: str) -> Allowed | None:
    if rest in end.pinout.switches:
        return _choice(tuple(OnOff))
    if rest in end.pinout.cavities:
        return _function_or_code(end.pinout.cavities[rest])
    if rest == "tail_mm":
        return _number(FIGURES["tail_mm"])
    if rest == "face":
        drawn = "a face drawn in the pinout by hand"
        return Allowed(drawn, "don't know", lambda text: False)
    if rest == "face.view":
        return _choice(tuple(LookedAt))
    name, _, key = rest.partition(".")
    return _of_cavity(key) if name in end.pinout.cavities else None


def _of_cavity(key: str) -> Allowed | None:
    if key == "function":
        return _function()
    if key == "basis":
        return Allowed(", ".join(Basis), "measured", lambda text: text in tuple(Basis))
    if key in WORDS:
        return _choice(tuple(WORDS[key]))
    if key in NAMES:
        return _name("a name", "implement")
    if key == "means":
        return Allowed("what the words mean here", "rocker switch", _says_what)
    if key == "wire":
        return Allowed("size in mm2 (up to 120) and colour of a wire", "0.75 RD", _is_wire)
    if key == "volts":
        return _span(FIGURES[key])
    return _number(FIGURES[key]) if key in FIGURES and "." not in key else None


def _function() -> Allowed:
    return Allowed(
        "a function such as permanent-supply, power-ground, sensor-return, analogue-input, unused",
        "power-ground",
        lambda text: normalise(text) is not None,
    )


def _function_or_code(cavity: Cavity) -> Allowed:
    """What the contact is; of a coding contact also what it shall select."""
    codes = tuple(dict.fromkeys(cavity.codes.values()))
    if not codes:
        return _function()
    chosen = {code.casefold() for code in codes}
    return Allowed(
        f"one of {', '.join(codes)}, or a function",
        codes[0],
        lambda text: text.casefold() in chosen or normalise(text) is not None,
    )
