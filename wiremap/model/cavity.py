"""One cavity of a connector: its contact, its wire, and every claim about its signal."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from wiremap.base import Place
from wiremap.model.connector import ACCEPTS_UNKNOWN, Accepts
from wiremap.model.quantities import Span, Wire
from wiremap.model.records import frozen
from wiremap.model.words import AsFound, Basis, Clamp, Flow, Need, Plating
from wiremap.naming import Meaning
from wiremap.trade.limits import limit

CLASS_B_DC_VOLTS = limit("class-b-dc-volts")
CLASS_B_AC_VOLTS = limit("class-b-ac-volts")
CLASS_B = "voltage-class-b"
UNUSED = "unused"


@dataclass(frozen=True, slots=True, kw_only=True)
class Claim:
    """One more statement about a cavity, beside the first: kept even where it disagrees."""

    reading: Meaning
    basis: Basis
    source: str
    place: Place
    signal: str = ""


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
    pair: str | None = None  # name of the bus pair that it is half of, or whose shield it is
    chain: str | None = None  # name of the guard loop that it is part of
    kbit_s: float | None = None
    serves: tuple[str, ...] = ()  # what a restricted return serves
    mark: Mapping[str, str] = field(default_factory=frozen)  # standard -> its designation
    codes: Mapping[str, str] = field(
        default_factory=frozen
    )  # coding contact: linked cavity or "open" -> what it selects
    accepts: Accepts = ACCEPTS_UNKNOWN  # already merged: own entries over the connector's
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
    def has_wire(self) -> bool:
        """Whether a wire is told or was found in it, whatever it is for."""
        if self.as_found is not None:
            return self.as_found == AsFound.WIRED
        return self.wire is not None

    @property
    def is_class_b(self) -> bool:
        """Whether it belongs to voltage class B by any claim of its function or by any volts stated
        for it.

        Class B lies above 60 V DC or 30 V AC of either sign; of a range, either end decides.
        """
        if self.reading.function == CLASS_B:
            return True
        if self.also and any(claim.reading.function == CLASS_B for claim in self.also):
            return True
        if self.volts is not None and self.volts.most > CLASS_B_DC_VOLTS:
            return True
        return self.volts_ac is not None and abs(self.volts_ac) > CLASS_B_AC_VOLTS

    def at(self, key: str) -> Place | None:
        """Where a key of this cavity stands, or the cavity itself."""
        return self.places.get(key, self.place)
