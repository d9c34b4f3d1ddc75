"""What a job joins and what it leaves out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from wiremap.base import Place
from wiremap.model.address import Address, hold_addresses
from wiremap.model.quantities import Wire
from wiremap.model.records import frozen
from wiremap.model.words import Grade, JointKind, Treat


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """One conductor of a joint of several."""

    wire: Wire | None = None
    length_mm: float | None = None
    at_mm: float | None = None  # where the joint lies, as of a circuit
    place: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit:
    """Points that shall become one metal."""

    id: str
    join: tuple[Address, ...]
    joint: JointKind | None = None
    wire: Wire | None = None  # of the circuit's own, beside the tails that its points bring
    length_mm: float | None = None
    at_mm: float | None = None  # where its joint lies, from where the machine's tail is tied
    supported: bool = False  # the wires are held on both sides of the joint
    legs: Mapping[Address, Leg] = field(default_factory=frozen)
    grade: Grade | None = None
    because: tuple[str, ...] = ()
    place: Place | None = None
    join_places: tuple[Place, ...] = ()  # one per entry of `join`
    places: Mapping[str, Place] = field(default_factory=frozen)  # key -> where its value stands

    def __post_init__(self) -> None:
        hold_addresses(self, "join")

    def at(self, key: str) -> Place | None:
        """Where a key of this circuit stands, or the circuit itself."""
        return self.places.get(key, self.place)


@dataclass(frozen=True, slots=True, kw_only=True)
class NotJoined:
    """A cavity left out on purpose."""

    point: Address
    why: str = ""
    treat: Treat | None = None
    place: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Confirmed:
    """A named person's settlement of a circuit that was graded below `certain`."""

    circuit: str
    by: str
    date: str
    how: str
    place: Place | None = None
    of: str | None = None  # fingerprint of the points as they stood; None: as they now stand
