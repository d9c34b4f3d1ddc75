"""The extras of a job: its own fuses, resistors, diodes and studs."""

from __future__ import annotations

from dataclasses import dataclass

from wiremap.base import Place
from wiremap.model.address import Address
from wiremap.model.words import ExtraKind

FORM_UNTOLD = "?"  # of a fuse
FUSE_LEGS = ("a", "b")
DIODE_LEGS = ("a", "k")  # anode, cathode


@dataclass(frozen=True, slots=True, kw_only=True)
class Extra:
    """A fuse, resistor, diode or stud of the job."""

    name: str
    kind: ExtraKind
    detail: str = ""  # blade; M6
    amps: float | None = None  # fuse or diode; None with `size_wanted`: the tool is asked to choose
    size_wanted: bool = False
    ohms: float | None = None
    watts: float | None = None
    at_mm: float | None = None
    place: Place | None = None
    answered: bool = False  # a person told of it, no file has it
    before: Address | None = None  # the contact into whose wire an answer has put it

    @property
    def is_fuse(self) -> bool:
        """Whether it is a fuse."""
        return self.kind == ExtraKind.FUSE

    @property
    def is_stud(self) -> bool:
        """Whether it is a stud, on which rings are bolted."""
        return self.kind == ExtraKind.STUD

    @property
    def legs(self) -> tuple[Address, ...]:
        """Addresses of its connection points."""
        if self.is_stud:
            return (Address(self.name),)
        legs = DIODE_LEGS if self.kind == ExtraKind.DIODE else FUSE_LEGS
        return tuple(Address(self.name, leg) for leg in legs)
