"""What a point carries, seen electrically: who drives, who listens, at what volts, through which
fuse.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from wiremap.graph import Point
from wiremap.model import CHASSIS, Cavity, End, Job, Side, Span
from wiremap.rules.limits import limit
from wiremap.trade.functions import FUNCTIONS, Function

LOW_SIDE_DRIVE = "low-side-drive"  # an output that leads its load to ground
# functions of which a connector has several that may be one metal: their words part nothing
CASUAL = frozenset(
    {"power-ground", "frame-ground", "shield", "permanent-supply", "switched-supply"}
)
DIRECTED = ("source", "sender", "input")  # roles of which the flow counts
GROUND = Span.of(0.0)

_SYSTEM_VOLTS = re.compile(r"(?<![\w.,/-])\+?(12|24) ?V(?:olts?|DC)?\b(?! ?[/-])", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Signal:
    """One point's part on its metal."""

    address: str
    row: Function
    side: Side  # machine for the chassis
    owner: str
    flow: str
    flow_told: bool = True  # stated or worded, not only what its function mostly does
    volts: Span | None
    qualifiers: Mapping[str, str] = field(default_factory=dict)
    marks: Mapping[str, str] = field(default_factory=dict)
    pair: str | None = None
    chain: str | None = None
    kbit_s: float | None = None
    fuse: str | None = None  # upstream fuse, where told
    codes: frozenset[str] = frozenset()  # addresses that a coding contact may be linked with

    @property
    def is_machine(self) -> bool:
        """Whether it is of the machine's side."""
        return self.side == Side.MACHINE

    @property
    def drives(self) -> bool:
        """Whether its end sends: the machine what goes to the unit, a unit what comes from it."""
        outward = "to-unit" if self.is_machine else "from-unit"
        return self.row.role in DIRECTED and self.flow == outward

    @property
    def listens(self) -> bool:
        """Whether its end only receives on this wire."""
        inward = "from-unit" if self.is_machine else "to-unit"
        return self.row.role in DIRECTED and self.flow == inward

    @property
    def is_source(self) -> bool:
        """Whether current comes out of it here."""
        return self.row.is_source and self.drives

    @property
    def is_positive(self) -> bool:
        """Whether it is a positive: a source, what a source feeds, or a live line such as wake."""
        if self.row.refused:
            return False
        return self.row.is_source or self._is_live

    @property
    def _is_live(self) -> bool:
        if self.volts is None or self.row.volts != "system":
            return False
        return self.drives and self.volts.low >= limit("live-volts")

    @property
    def is_ground(self) -> bool:
        """Whether it is a ground or return of any kind."""
        return self.row.electrical in ("ground", "shield") or self.row.slug == "sensor-return"

    @property
    def kind(self) -> tuple[object, ...]:
        """What makes two points of one metal alike for the metal rules."""
        single = self.drives or self.row.electrical in ("loop", "coding")
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
            self.address if single else "",
        )


def read_point(job: Job, point: Point) -> Signal | None:
    """The signal at a point; None for an extra's leg, which carries none of its own."""
    if point.address == CHASSIS:
        return Signal(
            address=CHASSIS,
            row=FUNCTIONS["power-ground"],
            side=Side.MACHINE,
            owner=CHASSIS,
            flow="both",
            volts=GROUND,
        )
    cavity, end = point.cavity, point.end
    if cavity is None or end is None:
        return None
    row = FUNCTIONS.get(cavity.function) or FUNCTIONS["unknown"]
    flow = direction(cavity, end.side)
    stated = cavity.volts or _worded_volts(row, cavity.signal)
    return Signal(
        address=point.address,
        row=row,
        side=end.side,
        owner=end.name,
        flow=flow,
        flow_told=cavity.flow is not None or cavity.reading.feeds_out(end.side),
        volts=_volts(job, row, stated, comes_in=(end.side, flow) == ("machine", "to-unit")),
        qualifiers=dict(cavity.reading.qualifiers),
        marks=cavity.mark,
        pair=cavity.pair,
        chain=cavity.chain,
        kbit_s=cavity.kbit_s,
        fuse=_upstream_fuse(end, cavity.name),
        codes=_codes(end, cavity),
    )


def _codes(end: End, cavity: Cavity) -> frozenset[str]:
    """The addresses that a coding contact may be linked with."""
    if not cavity.codes:
        return frozenset()
    return frozenset(f"{end.name}.{other}" for other in cavity.codes if other != "open")


def _worded_volts(row: Function, wording: str) -> Span | None:
    """The system's volts that a wording itself tells, as in `+12 V always`; None if it tells none.

    A range, and a choice of two, are left to the paper.
    """
    if row.volts != "system":
        return None
    volts = {float(each) for each in _SYSTEM_VOLTS.findall(wording)}
    if len(volts) != 1:
        return None
    return Span.of(volts.pop())


def direction(cavity: Cavity, side: str) -> str:
    """Which way a contact's signal goes on a paper of one side: told, or as its function does."""
    row = FUNCTIONS.get(cavity.function) or FUNCTIONS["unknown"]
    flow = cavity.flow or cavity.reading.flow_on(side) or "both"
    one_way = row.role == "source" and row.electrical in ("supply", "lamp")
    if flow == "both" and one_way:
        return row.flow
    return flow


def _upstream_fuse(end: End, cavity: str) -> str | None:
    fed = end.fed.get(cavity)
    if fed is None:
        return None
    if fed.fuse:
        return fed.fuse
    if fed.fuse_amps:
        return f"a fuse of {fed.fuse_amps:g} A at {end.name}"
    return None


def _volts(job: Job, row: Function, stated: Span | None, *, comes_in: bool) -> Span | None:
    """The volts of a contact; what the machine has counts too where its paper says otherwise."""
    if row.volts == "ground":
        return GROUND
    nominal = job.supply.volts
    if not nominal or not comes_in or row.volts != "system" or row.role == "line":
        return stated
    if row.electrical == "input" and stated is not None and stated.high < limit("live-volts"):
        return stated  # a switch to a unit's own low volts
    if stated is None:
        return Span.of(nominal)
    return Span(min(nominal, stated.low), max(nominal, stated.high))


def band(volts: Span, margin: float) -> Span:
    """The band that a figure speaks for: a range as it stands, a nominal value with its margin."""
    if not volts.exact:
        return volts
    ends = (volts.low * (1 - margin), volts.low * (1 + margin))
    return Span(min(ends), max(ends))


def most_volts(volts: Span) -> float:
    """The highest volts that a contact of these stated volts is taken to stand.

    12 and 24 V together name the two systems, not a range that ends at 24 V: no machine of 24 V
    stays below that (common practice).
    """
    systems = Span(limit("lower-system-volts"), limit("higher-system-volts"))
    if not volts.exact and volts != systems:
        return volts.high
    return volts.high * limit("stands-over-nominal")


def level(volts: Span | None) -> str:
    """Volts in words."""
    return f"{volts} V" if volts is not None else "unstated volts"
