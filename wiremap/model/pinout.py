"""What a pinout file says: one connector of one generation, as documented."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TypeVar

from wiremap.base import Place
from wiremap.model.quantities import Span, Wire
from wiremap.naming import Meaning

BASES = ("told", "document", "measured")  # weakest first
FLOWS = ("to-unit", "from-unit", "both")
NOTHING_THERE = frozenset({"unused"})

K = TypeVar("K")
V = TypeVar("V")


def frozen(mapping: Mapping[K, V] | None = None) -> Mapping[K, V]:
    """A read-only view on a private copy."""
    return MappingProxyType(dict(mapping or {}))


@dataclass(frozen=True, slots=True)
class Source:
    """Where a statement comes from."""

    name: str = ""
    basis: str = "told"
    place: Place | None = None


@dataclass(frozen=True, slots=True)
class Claim:
    """One more statement about a cavity, beside the first: kept even where it disagrees."""

    reading: Meaning
    basis: str
    source: str
    place: Place
    signal: str = ""


@dataclass(frozen=True, slots=True)
class Accepts:
    """What a contact and its seal take: cross-section, insulation diameter, current."""

    csa_mm2: Span | None = None
    insulation_mm: Span | None = None
    amps: float | None = None


@dataclass(frozen=True, slots=True)
class Face:
    """The contact pattern of the WIRED half as seen from `view` ("mating" or "wire-entry").

    `rows` lists cavity names from left to right, top to bottom; None is a gap.  A file that shows the unit's
    own header (`half: unit`) has been mirrored once by the reader, so `view` and `rows` always speak of the
    half that carries the wires.  `key` says where the keying feature sits in that view (top, right, ...).
    """

    view: str
    rows: tuple[tuple[str | None, ...], ...]
    key: str | None = None
    place: Place | None = None

    def seen_from(self, view: str) -> Face:
        """The same face drawn from the asked side: the other side is the mirror image."""
        if view == self.view:
            return self
        other = {"left": "right", "right": "left"}
        rows = tuple(tuple(reversed(row)) for row in self.padded())
        return Face(view, rows, other.get(self.key or "", self.key), self.place)

    def padded(self) -> tuple[tuple[str | None, ...], ...]:
        """The rows made equally long with gaps on the right."""
        width = max((len(row) for row in self.rows), default=0)
        return tuple(row + (None,) * (width - len(row)) for row in self.rows)

    @property
    def names(self) -> tuple[str, ...]:
        """Every cavity named in the face, row by row."""
        return tuple(name for row in self.rows for name in row if name is not None)


@dataclass(frozen=True, slots=True)
class Connector:
    """The shell: wording, kind of contact, sealing, face and what its contacts accept."""

    shell: str = ""
    contacts: str | None = None  # socket, pin or None
    sealed: bool | None = None  # None: not stated
    face: Face | None = None
    accepts: Accepts = Accepts()
    place: Place | None = None


@dataclass(frozen=True, slots=True)
class Link:
    """Ohms between two points, inside a unit or behind a loom; `b` may be `chassis`."""

    a: str
    b: str
    ohms: Span
    when: str | None = None  # the state it is tied to, e.g. "guard lifted"
    place: Place | None = None


@dataclass(frozen=True, slots=True)
class Switch:
    """A switchable terminator of a unit: its ends, its ohms when on, and how it is delivered."""

    name: str
    a: str
    b: str
    ohms: float
    delivered: str | None = None  # on, off or None
    place: Place | None = None


@dataclass(frozen=True, slots=True)
class Leaflet:
    """A maker's stated figures; each beats the computed one."""

    fuse_amps: float | None = None
    min_csa_mm2: float | None = None
    max_length_mm: float | None = None
    place: Place | None = None


@dataclass(frozen=True, slots=True)
class Cavity:
    """One cavity of a connector: its contact, its wire and what is known of its signal."""

    name: str
    reading: Meaning
    signal: str = ""
    flow: str | None = None  # seen from the machine's side: to-unit, from-unit, both
    volts: Span | None = None
    volts_ac: float | None = None
    amps: float | None = None
    peak_amps: float | None = None
    asleep_amps: float | None = None
    need: str = "may"  # must or may
    wire: Wire | None = None
    pair: str | None = None
    chain: str | None = None
    kbit_s: float | None = None
    serves: tuple[str, ...] = ()  # what a restricted return serves
    mark: Mapping[str, str] = field(default_factory=frozen)  # standard -> its designation
    codes: Mapping[str, str] = field(
        default_factory=frozen
    )  # coding contact: linked cavity or "open" -> what it selects
    accepts: Accepts = Accepts()  # already merged: own entries over the connector's
    leaflet: Leaflet | None = None
    as_found: str | None = None  # "empty" says that the hole is empty
    caution: str | None = None
    basis: str = "told"
    source: str = ""
    also: tuple[Claim, ...] = ()
    ohms: Span | None = None
    place: Place | None = None
    places: Mapping[str, Place] = field(default_factory=frozen)  # key -> where its value stands

    @property
    def function(self) -> str:
        """The function's slug; `unknown` when nothing tells it."""
        return self.reading.function

    @property
    def unused(self) -> bool:
        """Whether the document says that nothing is there."""
        return self.reading.function in NOTHING_THERE

    def at(self, key: str) -> Place | None:
        """Where a key of this cavity stands, or the cavity itself."""
        return self.places.get(key, self.place)


@dataclass(frozen=True, slots=True)
class Pinout:
    """A whole pinout file."""

    title: str
    path: str
    cavities: Mapping[str, Cavity]
    connector: Connector = Connector()
    letters: str | None = None
    half: str | None = None  # as the file says: wired or unit
    source: Source = Source()
    inside: tuple[Link, ...] = ()
    behind: tuple[Link, ...] = ()
    segments: Mapping[str, tuple[str, ...]] = field(default_factory=frozen)
    bridges: tuple[tuple[str, str], ...] = ()
    switches: Mapping[str, Switch] = field(default_factory=frozen)
    leaflet: Leaflet | None = None
    id: str | None = None
    revision: int | None = None
    withdrawn: str | None = None
    place: Place | None = None
    digest: str = ""  # first 12 hex digits of SHA-256 over the file's bytes

    def segment_of(self, cavity: str) -> str | None:
        """The named segment that a cavity belongs to, if any."""
        return next((name for name, members in self.segments.items() if cavity in members), None)
