"""What is told of a job's sources of current: feeds, fuses, what lies behind each, and drops."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from wiremap.base import Place
from wiremap.model import Fed, Supply
from wiremap.sizing.circuit import Protected
from wiremap.sizing.drop import allowed_percent
from wiremap.sizing.fuse import SizedFuse
from wiremap.sizing.fuse_judge import Objection
from wiremap.sizing.ground_faults import GroundWire
from wiremap.sizing.paths import PathPart
from wiremap.sizing.series import DIODE
from wiremap.sizing.sized import ROUND, Sized
from wiremap.trade.tables import figure

STUB_MM = figure("fuses.toml", "placing", "stub_mm")
NOT_ADDED = ("source", "loom", "upstream fuse", DIODE)  # of the machine, or meant to lose volts


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """One conductor or contact behind a fuse: what speaks against the rating, and its figures."""

    subject: str  # contact or circuit
    circuit: str
    case: Protected
    ampacity_amps: float
    objections: tuple[Objection, ...]
    far_end_amps: float | None
    return_known: bool  # else the way back is taken like the way out


class Weight(StrEnum):
    """How much a figure matters: as it should be, to be signed, or in the way."""

    FINE = "fine"
    CAUTION = "caution"
    STOP = "stop"


class DropLimits(NamedTuple):
    """What a job may add to the drop unsigned, and at all [% of nominal]."""

    caution: float
    stop: float

    def weigh(self, percent: float) -> Weight:
        """How much a job's own share of the drop matters."""
        if percent > self.stop * (1 + ROUND):
            return Weight.STOP
        if percent > self.caution * (1 + ROUND):
            return Weight.CAUTION
        return Weight.FINE


def drop_limits(supply: Supply) -> DropLimits:
    """The limits that a job states for its drop, else 5 and 10 % [% of nominal]."""
    caution = supply.drop_percent
    stop = supply.drop_stop_percent
    if caution is None:
        caution = allowed_percent("job-caution")
    if stop is None:
        stop = allowed_percent("job-stop")
    return DropLimits(min(caution, stop), stop)


@dataclass(frozen=True, slots=True, kw_only=True)
class Drop:
    """Volts lost from a feed to a load and back, at 20 C and in service."""

    feed: str
    load: str
    amps: float  # of the load
    part_amps: tuple[float, ...]  # what flows in each part that the job adds, smallest first
    volts: float  # nominal
    out: tuple[PathPart, ...]
    back: tuple[PathPart, ...]
    limits: DropLimits
    sized: Sized

    @property
    def added_ohms(self) -> float:
        """What the job itself adds in service, out and back [ohm]."""
        return sum(p.ohms_hot for p in (*self.out, *self.back) if p.kind not in NOT_ADDED)

    @property
    def added_percent(self) -> float:
        """What the job itself adds in service, of nominal [%]: the machine's own loom left out."""
        return self.sized.number("job_drop_percent")

    @property
    def weight(self) -> Weight:
        """How much what the job adds matters."""
        return self.limits.weigh(self.added_percent)

    @property
    def percent(self) -> float:
        """What is lost in service, of nominal [%]."""
        return self.sized.number("drop_percent")


@dataclass(frozen=True, slots=True, kw_only=True)
class Feed:
    """A machine-side supply contact that a job joins, with the fuse that the machine has before it.

    `fuse_amps` is that fuse as it shall be, else as found; `sentence` judges it, `found_sentence`
    the one that was found.  `undrawn` are the units' supplies behind it whose amps nobody states:
    where there are some, `load_amps` is but a part of the load.  `stub_mm` is the length of wire to
    the job's own fuses, None where it leads to more: while it is short, only a short circuit on it
    is judged, not an overload.  `weakest` is the conductor that `sized` is for.
    """

    address: str
    fed: Fed | None
    circuits: tuple[str, ...]
    load_amps: float | None
    fuse_amps: float | None
    judged: tuple[Judged, ...]
    sentence: str
    found_sentence: str
    stub_mm: float | None
    sized: Sized | None
    drops: tuple[Drop, ...]
    undrawn: tuple[str, ...]
    grounds: tuple[GroundWire, ...]  # of the units up to the next fuse
    too_small: tuple[Objection, ...]
    place: Place | None
    weakest: str

    @property
    def is_short_stub(self) -> bool:
        """Whether it leads to the job's own fuses, and these sit as close as is usual."""
        return self.stub_mm is not None and self.stub_mm <= STUB_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class FuseSize:
    """A fuse of the job: its rating as written or chosen, the computed answer, what lies behind.

    `weakest` is the conductor that `sized` is for.
    """

    name: str
    amps: float | None
    chosen: bool  # the job asked for it with `amps: size`
    leaflet_amps: float | None
    sized: SizedFuse | None
    judged: tuple[Judged, ...]
    feed: str  # the fed contact before it
    upstream_amps: float | None
    upstream_sentence: str
    selective: bool | None
    load_amps: float | None
    undrawn: tuple[str, ...]
    grounds: tuple[GroundWire, ...]  # of the units behind it
    too_small: tuple[Objection, ...]
    circuits: tuple[str, ...]
    place: Place | None
    weakest: str
