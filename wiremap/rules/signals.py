"""What a point carries, seen electrically: who drives, who listens, at what volts, fed through which fuse."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from wiremap.graph import Point
from wiremap.model import CHASSIS, Job, Span
from wiremap.trade.functions import FUNCTIONS, Function

MARGIN = 0.25  # a nominal figure speaks for this share around it: 12 V means 9 to 15 V
OVER = (
    4 / 3
)  # a unit of nominal 12 V is built for up to 16 V, of 24 V up to 32 V (ISO 16750-2, from memory, unverified)
LIVE_VOLTS = 6.0  # a line of the supply's own volts; common practice
CASUAL = frozenset(
    {"power-ground", "frame-ground", "shield", "permanent-supply", "switched-supply"}
)
CHASSIS_FUNCTION = "power-ground"


@dataclass(frozen=True, slots=True)
class Signal:
    """One point's part on its metal."""

    address: str
    row: Function
    side: str  # machine, unit, between; machine for the chassis
    owner: str
    flow: str
    volts: Span | None = None
    qualifiers: Mapping[str, str] = field(default_factory=dict)
    marks: Mapping[str, str] = field(default_factory=dict)
    pair: str | None = None
    chain: str | None = None
    kbit_s: float | None = None
    fuse: str | None = None  # upstream fuse, where told
    codes: frozenset[str] = frozenset()  # addresses that a coding contact may be linked with

    @property
    def drives(self) -> bool:
        """Whether its end sends on this wire: the machine what goes to the unit, a unit what comes from it."""
        return self.row.role in ("source", "sender", "input") and self.flow == (
            "to-unit" if self.side == "machine" else "from-unit"
        )

    @property
    def listens(self) -> bool:
        """Whether its end only receives on this wire."""
        return self.row.role in ("source", "sender", "input") and self.flow == (
            "from-unit" if self.side == "machine" else "to-unit"
        )

    @property
    def source(self) -> bool:
        """Whether current comes out of it here."""
        return self.row.is_source and self.drives

    @property
    def hot(self) -> bool:
        """Whether it is a positive: a source, what a source feeds, or a live line such as wake or a guard loop's."""
        live = (
            self.drives
            and self.row.volts == "system"
            and self.volts is not None
            and self.volts.low >= LIVE_VOLTS
        )
        return (self.row.is_source or live) and not self.row.refused

    @property
    def cold(self) -> bool:
        """Whether it is a ground or return of any kind."""
        return self.row.electrical in ("ground", "shield") or self.row.slug == "sensor-return"

    @property
    def kind(self) -> tuple[object, ...]:
        """What makes two points of one metal alike for the metal rules."""
        alone = self.address if self.drives or self.row.electrical in ("loop", "coding") else ""
        return (
            self.row.slug,
            self.owner,
            self.side,
            self.flow,
            self.volts,
            tuple(sorted(self.qualifiers.items())),
            tuple(sorted(self.marks.items())),
            self.pair,
            self.chain,
            alone,
        )


def read_point(job: Job, point: Point) -> Signal | None:
    """The signal at a point; None for an extra's leg, which carries none of its own."""
    if point.address == CHASSIS:
        return Signal(
            CHASSIS, FUNCTIONS[CHASSIS_FUNCTION], "machine", CHASSIS, "both", Span.of(0.0)
        )
    cavity, end = point.cavity, point.end
    if cavity is None or end is None:
        return None
    row = FUNCTIONS.get(cavity.function) or FUNCTIONS["unknown"]
    flow = cavity.flow or row.flow
    if flow == "both" and row.role == "source" and row.electrical in ("supply", "lamp"):
        flow = row.flow
    fed = end.fed.get(cavity.name)
    fuse = None
    if fed is not None:
        fuse = fed.fuse or (
            f"a fuse of {fed.fuse_amps:g} A at {end.name}" if fed.fuse_amps else None
        )
    return Signal(
        point.address,
        row,
        end.side,
        end.name,
        flow,
        _volts(job, row, cavity.volts, end.side, flow),
        dict(cavity.reading.qualifiers),
        cavity.mark,
        cavity.pair,
        cavity.chain,
        cavity.kbit_s,
        fuse,
        frozenset(f"{end.name}.{c}" for c in cavity.codes if c != "open"),
    )


def _volts(job: Job, row: Function, stated: Span | None, side: str, flow: str) -> Span | None:
    if row.volts == "ground":
        return Span.of(0.0)
    if (
        side == "machine"
        and row.volts == "system"
        and row.role != "line"
        and flow == "to-unit"
        and job.supply.volts
    ):
        nominal = (
            job.supply.volts
        )  # what the machine has counts, also where the paper speaks of another machine
        return (
            Span(min(nominal, stated.low), max(nominal, stated.high))
            if stated
            else Span.of(nominal)
        )
    return stated


def band(volts: Span) -> Span:
    """The band that a figure speaks for: a range as it stands, a nominal value with its margin."""
    if not volts.exact:
        return volts
    ends = (volts.low * (1 - MARGIN), volts.low * (1 + MARGIN))
    return Span(min(ends), max(ends))


def most_volts(volts: Span) -> float:
    """The highest volts that a contact of these stated volts is taken to stand."""
    return volts.high * OVER if volts.exact else volts.high


def level(volts: Span | None) -> str:
    """Volts in words."""
    return f"{volts} V" if volts is not None else "unstated volts"
