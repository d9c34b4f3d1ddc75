"""Which answers a question allows: choices, a number with its unit within sane bounds, a wire, a name, or "don't know"."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from wiremap.files.wires import BadWire, parse_wire
from wiremap.model import AsFound, Basis, Cavity, End, Entry, Flow, Job, Need, Span, split
from wiremap.trade.functions import normalise

NUMBER = re.compile(r"([-+]?\d{1,9}(?:[.,]\d{1,9})?)\s*([^\d\s]\S*)?", re.ASCII | re.DOTALL)
UNDECIDED = frozenset(
    {"", "?", "unknown", "don't know", "dont know", "don\u2019t know", "not known"}
)
YES = frozenset({"yes", "confirmed", "right", "true"})
NO = frozenset({"no", "false"})
LONGEST = 200  # characters of a name


@dataclass(frozen=True, slots=True)
class Allowed:
    """What may be answered about one thing: in words, an example, and the test of a text."""

    words: str
    example: str
    fits: Callable[[str], bool]


@dataclass(frozen=True, slots=True)
class Figure:
    """Bounds of a number, both included, its unit and other spellings of it."""

    low: float
    high: float
    unit: str
    example: str
    spelt: tuple[str, ...] = ()
    whole: bool = False


VOLTS = ("V", "v", "volt", "volts")
AMPS = ("A", "a", "amp", "amps")
MM = ("mm", "MM")
HEAT = ("C", "c", "\u00b0C", "\u00b0c", "degC")
# Bounds are our own sanity limits: 60 V DC is voltage class A (ISO 6469-3), the rest is what the files themselves allow.
FIGURES: Mapping[str, Figure] = MappingProxyType(
    {
        "supply.volts": Figure(1, 60, "V", "24", VOLTS),
        "supply.min_volts": Figure(0, 60, "V", "18", VOLTS),
        "supply.max_volts": Figure(1, 60, "V", "32", VOLTS),
        "surroundings.ambient_C": Figure(-60, 150, "C", "60", HEAT),
        "surroundings.bundle": Figure(1, 1000, "wires", "6", whole=True),
        "tail_mm": Figure(1, 100_000, "mm", "350", MM),
        "amps": Figure(0, 1000, "A", "0.9", AMPS),
        "peak_amps": Figure(0, 5000, "A", "6", AMPS),
        "asleep_amps": Figure(0, 1000, "A", "0.001", AMPS),
        "fuse_amps": Figure(0.01, 2000, "A", "5", AMPS),
        "found_amps": Figure(0.01, 2000, "A", "10", AMPS),
        "kbit_s": Figure(1, 1e7, "kbit/s", "250", ("kbit/s", "kbit", "k")),
        "volts_ac": Figure(0, 2000, "V", "12", VOLTS),
        "volts": Figure(-1000, 2000, "V", "9 to 16", VOLTS),
    }
)
WORDS: Mapping[str, type[StrEnum]] = MappingProxyType(
    {"flow": Flow, "need": Need, "as_found": AsFound, "basis": Basis}
)
NAMES = frozenset({"pair", "chain"})


def undecided(text: str) -> bool:
    """Whether an answer says that nobody knows."""
    return text.strip().casefold() in UNDECIDED


def figure(text: str, of: Figure) -> float | None:
    """The number that a text states in that unit, or None if it states none, another unit, or one out of bounds."""
    found = NUMBER.fullmatch(text.strip())
    if found is None or (found[2] and found[2] not in of.spelt):
        return None
    value = float(found[1].replace(",", "."))
    return value if of.low <= value <= of.high and (not of.whole or value.is_integer()) else None


def figures(text: str, of: Figure) -> Span | None:
    """One number of that unit, or two with `to` or `..` between them, the lower first."""
    parts = [figure(p, of) for p in re.split(r"\s+to\s+|\.\.", text.strip())]
    known = [p for p in parts if p is not None]
    if len(known) != len(parts) or len(known) not in (1, 2) or known != sorted(known):
        return None
    return Span(known[0], known[-1])


def allowed(job: Job, about: str) -> Allowed | None:
    """What may be answered about an address of the job; None if nothing there can be answered."""
    owner, rest = split(about)
    if owner in job.ends:
        return _of_end(job.ends[owner], rest)
    if about in FIGURES and owner in ("supply", "surroundings"):
        return _number(FIGURES[about])
    if about == "surroundings.wet":
        return _choice(("yes", "no"), ("yes", "no", "true", "false"))
    if about == "surroundings.moves":
        return _name("none, or what moves", "none")
    if any(c.id == about for c in job.circuits):
        return _choice(("yes", "no"), (*YES, *NO))
    return None


def refusal(job: Job, about: str, text: str) -> tuple[str, str] | None:
    """Why an answer cannot be kept (what was typed and what is allowed) and an example of one that can; None if it can."""
    known = allowed(job, about)
    if known is None:
        return (
            f"nothing is asked about {about!r}: `{_short(text)}` was not kept",
            "see `wiremap next FILE --all` for what can be answered",
        )
    if undecided(text) or known.fits(text.strip()):
        return None
    return (
        f"`{_short(text)}` is no answer about {about}: allowed are {known.words}, or don't know",
        f"as: {known.example}",
    )


def bad_answer(job: Job, entry: Entry) -> str | None:
    """Why an answer that stands in a notebook does not count, or None if it does (or speaks of nothing in the job)."""
    known = allowed(job, entry.about)
    if (
        entry.kind != "answer"
        or known is None
        or undecided(entry.answer)
        or known.fits(entry.answer.strip())
    ):
        return None
    return f"`{_short(entry.answer)}` is no answer about {entry.about}: allowed are {known.words}, or don't know (as: {known.example})"


def _short(text: str) -> str:
    return text if len(text) <= 60 else text[:57] + "..."


def _number(of: Figure, spans: bool = False) -> Allowed:
    words = f"a number from {of.low:g} to {of.high:g} {of.unit}"
    if spans:
        return Allowed(
            f"{words}, or two with `to` between them",
            of.example,
            lambda text: figures(text, of) is not None,
        )
    return Allowed(
        "a whole " + words[2:] if of.whole else words,
        of.example,
        lambda text: figure(text, of) is not None,
    )


def _choice(shown: tuple[str, ...], taken: tuple[str, ...] | None = None) -> Allowed:
    known = {t.casefold() for t in taken or shown}
    return Allowed(" or ".join(shown), shown[0], lambda text: text.casefold() in known)


def _name(words: str, example: str) -> Allowed:
    return Allowed(words, example, lambda text: 0 < len(text) <= LONGEST and text.isprintable())


def _is_wire(text: str) -> bool:
    """A colour or the word bare is needed: a number alone may be anything."""
    wire = parse_wire(text, None, None)
    return (
        not isinstance(wire, BadWire)
        and (wire.colour is not None or wire.bare)
        and 0 < (wire.csa_mm2 or 1) <= 120
    )


def _of_end(end: End, rest: str) -> Allowed | None:
    if rest in end.pinout.switches:
        return _choice(("on", "off"))
    if rest in end.pinout.cavities:
        return _function(end.pinout.cavities[rest])
    if rest == "tail_mm":
        return _number(FIGURES["tail_mm"])
    if rest == "face.view":
        return _choice(("mating", "wire-entry"))
    name, _, key = rest.partition(".")
    return _of_cavity(end.pinout.cavities[name], key) if name in end.pinout.cavities else None


def _of_cavity(cavity: Cavity, key: str) -> Allowed | None:
    if key == "function":
        return _function(cavity, coded=False)
    if key in WORDS:
        return (
            _choice(tuple(WORDS[key]), tuple(WORDS[key]))
            if key != "basis"
            else Allowed(", ".join(Basis), "measured", lambda text: text in tuple(Basis))
        )
    if key in NAMES:
        return _name("a name", "implement")
    if key == "wire":
        return Allowed("size in mm2 (up to 120) and colour of a wire", "0.75 RD", _is_wire)
    return (
        _number(FIGURES[key], spans=key == "volts") if key in FIGURES and "." not in key else None
    )


def _function(cavity: Cavity, coded: bool = True) -> Allowed:
    """What the contact is; of a coding contact also what it shall select."""
    codes = tuple(dict.fromkeys(cavity.codes.values())) if coded else ()
    chosen = {c.casefold() for c in codes}
    if codes:
        return Allowed(
            f"one of {', '.join(codes)}, or a function",
            codes[0],
            lambda text: text.casefold() in chosen or normalise(text) is not None,
        )
    return Allowed(
        "a function such as permanent-supply, power-ground, sensor-return, analogue-input, unused",
        "power-ground",
        lambda text: normalise(text) is not None,
    )
