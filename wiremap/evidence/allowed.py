"""Which answers a question allows: choices, a number within sane bounds, a wire, a name."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType

from wiremap.entries import face_words
from wiremap.entries.told_readings import tells_basis
from wiremap.evidence import equipment, new_wires, resistors, terminators, told_twist, told_work
from wiremap.evidence.allowed_forms import LONGEST, Allowed, choice, number, short_text, span
from wiremap.evidence.answer_figures import FIGURES
from wiremap.evidence.confirmed import (
    LEFT_ALONE,
    asks_partner_of,
    circuit_at,
    is_contact,
    joint_points,
)
from wiremap.evidence.not_partners import not_partners
from wiremap.evidence.parts_between import part_between
from wiremap.evidence.parts_told import figure_asked, form_asked, lead_of
from wiremap.evidence.told_measured import proving_words
from wiremap.model import (
    Address,
    AsFound,
    Basis,
    Cavity,
    Clamp,
    End,
    Flow,
    Job,
    LookedAt,
    Need,
    OnOff,
    Treat,
    says_what,
    split,
)
from wiremap.sizing.fuse_limits import FAMILIES
from wiremap.trade.functions import names_one

UNDECIDED = frozenset(
    {"", "?", "unknown", "don't know", "dont know", "don\u2019t know", "not known"}
)
YES = frozenset({"yes", "confirmed", "right", "true"})
NO = frozenset({"no", "false"})

# of a cavity: the keys that take a word of a list, and those that take any name
WORDS: Mapping[str, type[StrEnum]] = MappingProxyType(
    {"flow": Flow, "need": Need, "as_found": AsFound, "clamp": Clamp}
)
NAMES = frozenset({"pair", "chain"})


def undecided(text: str) -> bool:
    """Whether an answer says that nobody knows."""
    return text.strip().casefold() in UNDECIDED


def allowed(job: Job, about: str) -> Allowed | None:
    """What may be answered about an address of the job; None if nothing there can be answered."""
    owner, rest = split(about)
    if _joined_points(job, about):
        return choice(("yes", "no"), also=(*YES, *NO))
    of_part = _of_part(job, about)
    if of_part is not None:
        return of_part
    point = asks_partner_of(about)
    if point is not None and is_contact(job, point):
        return _partner(job, point)
    if owner in job.ends:
        return _of_pair(job, job.ends[owner], rest) or _of_end(job.ends[owner], rest)
    if about in FIGURES and owner in ("supply", "surroundings", "beeper"):
        return number(FIGURES[about])
    if about == equipment.ABOUT:
        return Allowed(equipment.WORDS, equipment.EXAMPLE, equipment.tells_equipment)
    if about == "surroundings.wet":
        return choice(("yes", "no"), also=("true", "false"))
    if about == "surroundings.moves":
        return short_text("none, or what moves", "none")
    if _named_circuit(job, about):
        return choice(("yes", "no"), also=(*YES, *NO))
    return None


def _of_part(job: Job, about: str) -> Allowed | None:
    """A figure of a part of the job, a wire that it makes anew, what hands did with a joint or a
    contact.
    """
    if form_asked(job, about):
        return choice(FAMILIES)
    if figure_asked(job, about):
        return number(FIGURES[figure_asked(job, about)])
    between = part_between(job, about)
    if between is not None:
        return Allowed(between.words, between.example, between.fits)
    if told_work.held_circuit(job, about) is not None:
        return choice(("yes", "no"), also=(*YES, *NO))
    if told_work.treated_contact(job, about) is not None:
        return choice(tuple(Treat))
    if new_wires.wired_circuit(job, about) is not None or lead_of(job, about) is not None:
        return Allowed(new_wires.WORDS, new_wires.EXAMPLE, new_wires.tells_wire)
    return None


def settles_joint(job: Job, about: str, text: str) -> bool:
    """Whether an answer says of a joint that it is right."""
    spoken_of = _joined_points(job, about) or _named_circuit(job, about)
    return spoken_of and text.strip().casefold() in YES


def _joined_points(job: Job, about: str) -> bool:
    """Whether a circuit is spoken of by its points, as they stand or as they are offered."""
    return circuit_at(job, about) is not None or bool(joint_points(job, about))


def _named_circuit(job: Job, about: str) -> bool:
    return any(circuit.id == about for circuit in job.circuits)


def _says_what(text: str) -> bool:
    return len(text) <= LONGEST and text.isprintable() and says_what(text)


def _partner(job: Job, point: Address) -> Allowed:
    """A contact of another end, or none."""

    def fits(text: str) -> bool:
        other = Address.read(text)
        if text == LEFT_ALONE:
            return True
        far = other.end != point.end and is_contact(job, other)
        return far and not not_partners(job, point, other)

    contacts = (
        Address(end.name, name)
        for end in job.ends.values()
        for name in end.pinout.cavities
        if fits(Address(end.name, name))
    )
    example = next(contacts, LEFT_ALONE)
    return Allowed(f"a contact of another connector, or {LEFT_ALONE}", example, fits)


def _of_face(end: End) -> Allowed:
    """A face in words, where the paper draws none."""
    face = end.pinout.connector.face
    if face is not None and face.place is not None:
        return Allowed("what its paper draws: mend it there", "don't know", lambda text: False)
    names = end.pinout.cavities
    return Allowed(
        face_words.WORDS,
        face_words.example(names),
        lambda text: not isinstance(face_words.read_face(text, names), str),
    )


# -- what is asked where --------------------------------------------------------------------------


def _of_end(end: End, rest: str) -> Allowed | None:
    if rest in end.pinout.switches:
        return choice(tuple(OnOff))
    if rest in end.pinout.cavities:
        return _function_or_code(end.pinout.cavities[rest])
    if rest == "tail_mm":
        return number(FIGURES["tail_mm"])
    if rest == "face":
        return _of_face(end)
    if rest == "face.view":
        return choice(tuple(LookedAt))
    name, _, key = rest.partition(".")
    if name not in end.pinout.cavities:
        return None
    if key == terminators.TERMINATOR:
        return _of_terminator(end, end.pinout.cavities[name])
    return _of_cavity(end.pinout.cavities[name], key)


def _of_terminator(end: End, high: Cavity) -> Allowed | None:
    """The ohms between the halves of a pair, where its paper tells none."""
    if not terminators.is_open_to_answer(end, high):
        return None
    words, example = terminators.WORDS, FIGURES[terminators.TERMINATOR].example
    return Allowed(words, example, lambda text: terminators.told_ohms(text) is not None)


def _of_pair(job: Job, end: End, rest: str) -> Allowed | None:
    """Of a pair that the job joins: a terminator across it, how far it lies untwisted."""
    name, _, key = rest.rpartition(".")
    high = end.pinout.cavities.get(name)
    if key not in (resistors.RESISTOR, told_twist.UNTWISTED) or high is None:
        return None
    if not resistors.joints_across(job, end, high):
        return None
    if key == told_twist.UNTWISTED:
        return number(FIGURES[told_twist.FIGURE])
    return Allowed(resistors.WORDS, resistors.EXAMPLE, resistors.tells_resistor)


def _of_cavity(cavity: Cavity, key: str) -> Allowed | None:
    if key == "function":
        return _function()
    if key == "basis":
        words = f"what the meter showed, or {', '.join(Basis)}"
        return Allowed(words, proving_words(cavity), lambda t: t in (*Basis,) or tells_basis(t))
    if key in WORDS:
        return choice(tuple(WORDS[key]))
    if key in NAMES:
        return short_text("a name", "implement")
    if key == "means":
        return Allowed("what the words mean here", "rocker switch", _says_what)
    if key == "wire":
        return Allowed(
            "size (0.75 mm2, 18 AWG; up to 120 mm2) or colour of a wire, or both",
            "0.75 RD",
            new_wires.names_wire,
        )
    if key == "volts":
        return span(FIGURES[key])
    return number(FIGURES[key]) if key in FIGURES and "." not in key else None


def _function() -> Allowed:
    return Allowed(
        "a function such as permanent-supply, power-ground, sensor-return, analogue-input, unused",
        "power-ground",
        names_one,
    )


def _function_or_code(cavity: Cavity) -> Allowed:
    """What the contact is; of a coding contact also what it shall select."""
    codes = tuple(dict.fromkeys(cavity.codes.values()))
    if not codes:
        return _function()
    example, *_ = codes
    chosen = {code.casefold() for code in codes}
    return Allowed(
        f"one of {', '.join(codes)}, or a function",
        example,
        lambda text: text.casefold() in chosen or names_one(text),
    )
