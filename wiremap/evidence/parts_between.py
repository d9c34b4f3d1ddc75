"""A diode or a resistor that goes between two contacts, told by an answer.

An answer about `old.3 - new.7.diode` says its amps and at which of the two its anode lies, one
about `old.3 - new.7.resistor` ohms and watts.  Where the two are one signal the part goes into the
wire of the second; where they are two it lies across their joints.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import NamedTuple

from wiremap.evidence.answer_figures import figure_of
from wiremap.evidence.confirmed import BETWEEN_POINTS, is_contact
from wiremap.evidence.resistors import (
    RESISTOR,
    as_filed,
    circuit_of,
    free_name,
    told_resistor,
    with_join,
)
from wiremap.evidence.resistors import WORDS as RESISTOR_WORDS
from wiremap.evidence.terminators import NONE
from wiremap.model import Address, Circuit, Extra, ExtraKind, Job, frozen

DIODE = "diode"
KINDS: Mapping[str, ExtraKind] = MappingProxyType(
    {DIODE: ExtraKind.DIODE, RESISTOR: ExtraKind.RESISTOR}
)
LETTERS: Mapping[ExtraKind, str] = MappingProxyType({ExtraKind.DIODE: "D", ExtraKind.RESISTOR: "R"})
_ANODE = re.compile(r"\s*([^,]+),\s*anode\s+(?:at|to)\s+(\S+)\s*", re.IGNORECASE)


class Between(NamedTuple):
    """Where a part goes that an answer speaks of: between which contacts, and of which kind."""

    first: Address
    second: Address
    kind: ExtraKind

    @property
    def words(self) -> str:
        """What an answer tells of it."""
        if self.kind is ExtraKind.RESISTOR:
            return RESISTOR_WORDS.replace(" across the pair", "")
        return (
            f"the amps of the diode and where its anode lies, {self.first} or {self.second} "
            f"(current goes in at the anode), or {NONE}"
        )

    @property
    def example(self) -> str:
        """An answer."""
        if self.kind is ExtraKind.RESISTOR:
            return "470 ohm, 0.25 W"
        return f"1 A, anode at {self.first}"

    def fits(self, text: str) -> bool:
        """Whether a text tells such a part, or that there is none."""
        return text.strip().casefold() == NONE or self.told(text) is not None

    def told(self, text: str) -> Extra | None:
        """The part that a text tells, without a name yet; None if it tells none."""
        if self.kind is ExtraKind.RESISTOR:
            resistor = told_resistor(text)
            return (
                None if resistor is None else Extra(name="", kind=self.kind, **resistor._asdict())
            )
        said = _ANODE.fullmatch(text)
        amps = figure_of("amps", said[1]) if said else None
        if said is None or not amps or said[2] not in (self.first, self.second):
            return None
        return Extra(name="", kind=self.kind, amps=amps)

    def legs(self, part: Extra, text: str) -> tuple[Address, Address]:
        """The leg at the first contact, and the one at the second."""
        anode, cathode = part.legs
        said = _ANODE.fullmatch(text)
        turned = said is not None and said[2] == self.second
        return (cathode, anode) if turned else (anode, cathode)


def part_between(job: Job, about: str) -> Between | None:
    """The part that an address speaks of; None where it speaks of none, or nothing is joined."""
    points, _, key = about.rpartition(".")
    ends = tuple(map(Address.read, points.split(BETWEEN_POINTS)))
    if key not in KINDS or len(ends) != 2 or ends[0] == ends[1]:
        return None
    if not all(is_contact(job, end) and circuit_of(job, end) for end in ends):
        return None
    return Between(*ends, KINDS[key])


def with_part_between(job: Job, between: Between, text: str) -> Job:
    """The job with a part as it was told; the same job where it has it already."""
    told = between.told(text)
    first, second = circuit_of(job, between.first), circuit_of(job, between.second)
    if told is None or first is None or second is None or _has_it(job, between):
        return job
    if between.second in as_filed(job, first):
        part = replace(told, name=free_name(job, LETTERS[told.kind]), answered=True)
        return _in_wire(job, second, replace(part, before=between.second), between, text)
    part = replace(told, name=free_name(job, LETTERS[told.kind]), answered=True)
    here, there = between.legs(part, text)
    job = with_join(job, first, (*first.join, here))
    job = with_join(job, second, (*second.join, there))
    return _with_extra(job, part)


def _in_wire(job: Job, circuit: Circuit, part: Extra, between: Between, text: str) -> Job:
    """The job with a part in the wire of the second contact, which is a circuit of its own now."""
    here, there = between.legs(part, text)
    rest = tuple(point for point in circuit.join if point != between.second)
    behind = replace(
        circuit,
        id=there,
        join=(there, between.second),
        legs=frozen({p: leg for p, leg in circuit.legs.items() if p == between.second}),
        grade=None,
        because=(),
        join_places=(),
    )
    job = with_join(job, circuit, (*rest, here))
    return _with_extra(replace(job, circuits=(*job.circuits, behind)), part)


def _has_it(job: Job, between: Between) -> bool:
    """Whether a part of that kind lies between the two already, by the file or by an answer."""
    sides = {_id_of(job, between.first), _id_of(job, between.second)}
    return any(
        part.before == between.second or {_id_of(job, leg) for leg in part.legs} == sides
        for part in job.extras.values()
        if part.kind is between.kind
    )


def _id_of(job: Job, point: Address) -> str:
    """The id of the circuit that joins a point; empty if none does."""
    circuit = circuit_of(job, point)
    return "" if circuit is None else circuit.id


def _with_extra(job: Job, part: Extra) -> Job:
    return replace(job, extras=frozen({**job.extras, part.name: part}))
