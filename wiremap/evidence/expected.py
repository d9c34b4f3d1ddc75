"""What is expected of a meter at the loom of a machine, and what must not be touched there."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from wiremap.evidence.meter import displayed
from wiremap.model import Cavity, Job, OnOff, Span
from wiremap.trade.functions import FUNCTIONS
from wiremap.trade.tables import band, figure

FILE = "survey.toml"
PRACTICE = "common practice"

# bands of ohms
TERMINATOR = Span(*band(FILE, "terminator"))
GROUND = Span(*band(FILE, "ground"))
GROUND_BEYOND = Span(*band(FILE, "ground-beyond"))
LOOP = Span(*band(FILE, "loop"))
COIL = Span(*band(FILE, "coil"))
FILAMENT = Span(*band(FILE, "filament"))
LAMP = Span(*band(FILE, "lamp"))
SENDER = Span(*band(FILE, "sender"))
REFERENCE = Span(*band(FILE, "reference"))
PULSES = Span(*band(FILE, "pulses"))
PICKUP = Span(*band(FILE, "pickup"))
FLOATING = Span(*band(FILE, "floating"))
FEED_APART = Span(*band(FILE, "feed-apart"))
BUS_APART = Span(*band(FILE, "bus-apart"))

# bands of volts
NEAR_BATTERY = Span(*band(FILE, "near-battery"))
QUIET = Span(*band(FILE, "quiet"))
ZERO = Span(*band(FILE, "zero"))
FORWARD = Span(*band(FILE, "forward"))
AWAKE = {  # each leg of a bus that is awake
    "can-high": Span(*band(FILE, "bus-high")),
    "can-low": Span(*band(FILE, "bus-low")),
}
ASLEEP_OR_AWAKE = {
    "can-high": Span(*band(FILE, "bus-high-any")),
    "can-low": Span(*band(FILE, "bus-low-any")),
}

RESTED = Span(*band(FILE, "rested"))  # of the nominal volts, a sound battery of these systems:
RESTED_SYSTEMS = (12.0, 24.0)
COIL_VOLTS = figure(FILE, "share", "coil-volts")  # of the machine for which COIL is
LOAD_SHARE = figure(FILE, "share", "stated-load")
AT_REST = figure(FILE, "share", "supply-low")  # of the stated volts, the engine off
CHARGED = figure(FILE, "share", "supply-high")  # and while the alternator charges


class WhereRead(StrEnum):
    """What is read, as far as it tells what a stray reading means (`causes.toml`)."""

    PERMANENT_OFF = "permanent-off"
    PERMANENT_ON = "permanent-on"
    SWITCHED_OFF = "switched-off"
    SWITCHED_ON = "switched-on"
    RETURN = "return"
    REFERENCE = "reference"
    DRIVEN = "driven"
    BUS = "bus"
    GROUND = "ground"
    PAIR = "pair"
    LOOP = "loop"
    LOAD = "load"
    LAMP = "lamp"
    SENDER = "sender"
    UNUSED = "unused"
    INSIDE = "inside"
    APART = "apart"


class Quantity(StrEnum):
    """What a reading of the survey is read in."""

    VOLTS = "volts"
    OHMS = "ohms"


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """One reading to take: where, what should be seen, whence that is, what a stray would mean.

    `band` None: nothing is promised, the value is written down.  `telling`: the reading, if it
    fits, proves the cavity's function.  `state`: what must be done first ("guard lifted"); `key`:
    ignition off or on.  `asked`: whether the survey takes it; what is typed all the same is judged.
    """

    red: str
    black: str
    quantity: Quantity
    band: Span | None
    source: str = PRACTICE
    telling: bool = False
    key: OnOff | None = None
    state: str | None = None
    where: WhereRead | None
    asked: bool = True

    @property
    def shown(self) -> Span | None:
        """The band as a meter may show it; None where nothing is promised."""
        if self.band is None or self.quantity == Quantity.VOLTS:
            return self.band
        return displayed(self.band)


def as_found(ohms: Span) -> Span:
    """A load or a part as a meter may find it: one stated value has a share either way."""
    return ohms if math.isinf(ohms.low) or not ohms.exact else either_way(ohms)


def either_way(ohms: Span) -> Span:
    """The ohms of loads of one stated value each, a share either way."""
    return Span(ohms.low * (1 - LOAD_SHARE), ohms.high * (1 + LOAD_SHARE))


def refused(cavity: Cavity) -> bool:
    """Whether nobody may put a probe on it: restraint circuits, voltage class B."""
    known = FUNCTIONS.get(cavity.function)
    return (known is not None and known.refused) or cavity.is_class_b


def electrical(cavity: Cavity) -> str:
    """Its electrical class."""
    known = FUNCTIONS.get(cavity.function)
    return known.electrical if known else "unknown"


# -- the machine's supply -------------------------------------------------------------------------


def machine_volts(job: Job) -> Span | None:
    """The band of the machine's own volts at rest, from the job's supply or its supply cavities.

    What the new unit is made for says nothing of the machine.
    """
    supply = job.supply
    known = [v for v in (supply.min_volts, supply.volts, supply.max_volts) if v is not None]
    if not known:
        known = [v for span in _supply_spans(job) for v in (span.low, span.high)]
    if not known:
        return None
    low, high = min(known), max(known)
    return Span(low * AT_REST, high * CHARGED) if low == high else Span(low, high)


def rested_volts(job: Job) -> Span | None:
    """The band of a machine's own volts while nothing charges: of a sound battery at rest.

    Where nobody states a system of which that is known, all that the machine may have.
    """
    live, nominal = machine_volts(job), job.supply.volts
    if live is None or nominal not in RESTED_SYSTEMS:
        return live
    low, high = (round(nominal * share, 6) for share in (RESTED.low, RESTED.high))
    return Span(max(live.low, low), min(live.high, high)) if low < live.high else live


def coil_of(job: Job) -> Span:
    """The ohms of a coil on a job's machine: of like power they grow as the volts squared.

    Where nobody states the machine's volts, those of a 12 V one.
    """
    stated_volts = [span.low for span in _supply_spans(job)]
    volts = job.supply.volts or max(stated_volts, default=COIL_VOLTS)
    return Span(COIL.low, COIL.high * max(1.0, volts / COIL_VOLTS) ** 2)


def supply_words(job: Job) -> str:
    """The machine's supply in words for the head of a list of readings, honest if not stated."""
    low, high = job.supply.min_volts, job.supply.max_volts
    if job.supply.volts is not None:
        return f"{job.supply.volts:g} V on"
    if low is not None and high is not None:
        return f"{low:g} to {high:g} V on"
    stated = set(_supply_spans(job))
    if len(stated) == 1:
        span = stated.pop()
        if span.exact:
            return f"{span.low:g} V on"
    return "supply on (its volts are not stated: read them across the battery first)"


def _supply_spans(job: Job) -> Iterator[Span]:
    for end in job.ends.values():
        if end.is_machine:
            for cavity in end.pinout.cavities.values():
                if cavity.volts is not None and electrical(cavity) == "supply":
                    yield cavity.volts
