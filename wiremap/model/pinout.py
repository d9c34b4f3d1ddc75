"""What a pinout file says: one connector of one generation, as documented."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import KW_ONLY, dataclass, field, replace
from types import MappingProxyType
from typing import TypeVar

from wiremap.base import Place
from wiremap.model.quantities import Span, Wire
from wiremap.model.words import (
    AsFound,
    Basis,
    Clamp,
    Contacts,
    Flow,
    Half,
    KeyAt,
    KeyShape,
    LookedAt,
    Need,
    OnOff,
    Plating,
)
from wiremap.naming import Meaning
from wiremap.trade.colours import Letters
from wiremap.trade.limits import limit

CLASS_B_DC_VOLTS = limit("class-b-dc-volts")
CLASS_B_AC_VOLTS = limit("class-b-ac-volts")
CLASS_B = "voltage-class-b"
UNUSED = "unused"

K = TypeVar("K")
V = TypeVar("V")


def frozen(mapping: Mapping[K, V] | None = None) -> Mapping[K, V]:
    """A read-only view on a private copy."""
    return MappingProxyType(dict(mapping or {}))


@dataclass(frozen=True, slots=True)
class Source:
    """Where a statement comes from."""

    name: str = ""
    basis: Basis = Basis.TOLD
    place: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Claim:
    """One more statement about a cavity, beside the first: kept even where it disagrees."""

    reading: Meaning
    basis: Basis
    source: str
    place: Place
    signal: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Accepts:
    """What a contact and its seal take: cross-section, insulation diameter, current."""

    csa_mm2: Span | None = None
    insulation_mm: Span | None = None
    amps: float | None = None


@dataclass(frozen=True, slots=True)
class Face:
    """The contact pattern of the WIRED half as seen from `view` ("mating" or "wire-entry").

    `rows` lists cavity names from left to right, top to bottom; None is a gap.  A file that shows
    the unit's own header (`half: unit`) has been mirrored once by the reader, so `view` and `rows`
    always speak of the half that carries the wires.  `key` says where the keying feature sits in
    that view (top, right, ...), `key_shape` what it looks like, `key_by` beside which cavity it is.
    """

    view: LookedAt
    rows: tuple[tuple[str | None, ...], ...]
    _: KW_ONLY
    key: KeyAt | None = None
    key_shape: KeyShape | None = None
    key_by: str | None = None  # None: in the middle of its side
    place: Place | None = None

    def seen_from(self, view: LookedAt) -> Face:
        """This face drawn from the asked side: the other side is the mirror image."""
        if view == self.view:
            return self
        return replace(self.mirrored(), view=view)

    def mirrored(self) -> Face:
        """This face with left and right exchanged, the side it is seen from kept."""
        rows = tuple(tuple(reversed(row)) for row in self.padded())
        return replace(self, rows=rows, key=self.key and self.key.mirrored)

    def padded(self) -> tuple[tuple[str | None, ...], ...]:
        """The rows made equally long with gaps on the right."""
        width = max((len(row) for row in self.rows), default=0)
        return tuple(row + (None,) * (width - len(row)) for row in self.rows)

    @property
    def names(self) -> tuple[str, ...]:
        """Every cavity named in the face, row by row."""
        return tuple(name for row in self.rows for name in row if name is not None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Connector:
    """The shell: wording, kind of contact, sealing, face and what its contacts accept."""

    shell: str = ""
    contacts: Contacts | None = None
    sealed: bool | None = None  # None: not stated
    plating: Plating | None = None
    face: Face | None = None
    accepts: Accepts = Accepts()
    place: Place | None = None

    def other_half(self) -> Connector:
        """The half that it mates with: the other kind of contact, the face mirrored."""
        face = self.face and self.face.mirrored()
        if face is not None and face.key_shape is not None:
            face = replace(face, key_shape=face.key_shape.other)
        return replace(self, contacts=self.contacts and self.contacts.other, face=face)


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """Ohms between two points, inside a unit or behind a loom; `b` may be `chassis`."""

    a: str
    b: str
    ohms: Span
    when: str | None = None  # the state it is tied to, e.g. "guard lifted"
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
class Leaflet:
    """A maker's stated figures; each beats the computed one."""

    fuse_amps: float | None = None
    min_csa_mm2: float | None = None
    max_length_mm: float | None = None
    place: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Cavity:
    """One cavity of a connector: its contact, its wire and what is known of its signal."""

    name: str
    reading: Meaning
    signal: str = ""
    flow: Flow | None = None  # seen from the machine's side
    volts: Span | None = None
    volts_ac: float | None = None
    amps: float | None = None
    peak_amps: float | None = None
    asleep_amps: float | None = None
    need: Need | None = None  # None: not stated
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
    as_found: AsFound | None = None
    caution: str | None = None
    basis: Basis = Basis.TOLD
    source: str = ""
    also: tuple[Claim, ...] = ()
    ohms: Span | None = None
    limit_C: float | None = None  # what its wire's insulation stands
    clamp: Clamp | None = None
    pwm_hz: float | None = None
    detects_open: bool | None = None  # whether the unit notices an open load
    plating: Plating | None = None  # its own, or its connector's
    place: Place | None = None
    places: Mapping[str, Place] = field(default_factory=frozen)  # key -> where its value stands

    @property
    def function(self) -> str:
        """The function's slug; `unknown` when nothing tells it."""
        return self.reading.function

    @property
    def unused(self) -> bool:
        """Whether the document says that nothing is there."""
        return self.reading.function == UNUSED

    @property
    def is_class_b(self) -> bool:
        """Whether it belongs to voltage class B by any claim of its function or by any volts stated
        for it.

        Class B lies above 60 V DC or 30 V AC of either sign; of a range, either end decides.
        """
        claims = (claim.reading.function for claim in self.also)
        if CLASS_B in (self.function, *claims):
            return True
        if self.volts is not None and self.volts.most > CLASS_B_DC_VOLTS:
            return True
        return self.volts_ac is not None and abs(self.volts_ac) > CLASS_B_AC_VOLTS

    def at(self, key: str) -> Place | None:
        """Where a key of this cavity stands, or the cavity itself."""
        return self.places.get(key, self.place)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pinout:
    """A whole pinout file."""

    title: str
    path: str
    cavities: Mapping[str, Cavity]
    connector: Connector = Connector()
    letters: Letters | None = None
    half: Half | None = None  # as the file says
    source: Source = Source()
    inside: tuple[Link, ...] = ()
    behind: tuple[Link, ...] = ()
    found: tuple[Link, ...] = ()  # ohms that the survey read behind the loom, stated by no paper
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
