"""What a pinout file says: one connector of one generation, as documented."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from wiremap.base import Place
from wiremap.model.cavity import Cavity, Leaflet
from wiremap.model.connector import SHELL_UNKNOWN, Connector
from wiremap.model.quantities import Span
from wiremap.model.records import frozen
from wiremap.model.words import (
    Basis,
    Half,
    OnOff,
)
from wiremap.trade.colours import Letters


@dataclass(frozen=True, slots=True)
class Source:
    """Where a statement comes from."""

    name: str = ""
    basis: Basis = Basis.TOLD
    place: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """Ohms between two points, inside a unit or behind a loom; `b` may be `chassis`."""

    a: str
    b: str
    ohms: Span
    when: str | None = None  # the state it is tied to, e.g. "guard lifted"
    answered: bool = False  # by a notebook, in no paper
    place: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Switch:
    """A switchable terminator of a unit: its ends, its ohms when on, and how it is delivered."""

    name: str
    a: str
    b: str
    ohms: float
    delivered: OnOff | None = None
    place: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pinout:
    """A whole pinout file."""

    title: str
    path: str
    cavities: Mapping[str, Cavity]
    connector: Connector = SHELL_UNKNOWN
    letters: Letters | None = None  # of which system its wire colours are
    half: Half | None = None  # as the file says
    source: Source = Source()
    inside: tuple[Link, ...] = ()  # what a meter reads looking into the unit
    behind: tuple[Link, ...] = ()  # what it reads looking into the machine's loom, unit off
    found: tuple[Link, ...] = ()  # read behind a loom or in a unit, in no paper
    segments: Mapping[str, tuple[str, ...]] = field(default_factory=frozen)  # name -> its cavities
    bridges: tuple[
        tuple[str, str], ...
    ] = ()  # two segments that a unit in line passes signals over
    switches: Mapping[str, Switch] = field(default_factory=frozen)
    leaflet: Leaflet | None = None
    id: str | None = None
    revision: int | None = None
    withdrawn: str | None = None  # why, where it is
    place: Place | None = None
    digest: str = ""  # first 12 hex digits of SHA-256 over the file's bytes

    def segment_of(self, cavity: str) -> str | None:
        """The named segment that a cavity belongs to, if any."""
        return next((name for name, members in self.segments.items() if cavity in members), None)
