"""What a meter should show at the loom of a machine, unit unplugged: volts, then ohms."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import lru_cache
from types import MappingProxyType

from wiremap.evidence.meter import displayed
from wiremap.graph import Network
from wiremap.model import CHASSIS, Address, Cavity, End, Flow, Job, Link, OnOff, Pinout, Side, Span
from wiremap.trade.functions import FUNCTIONS
from wiremap.trade.tables import band, figure

FILE = "survey.toml"
PRACTICE = "common practice"
ALL_ON = "lights and switches on"  # the third sweep: many a wire is live in one position only
TERMINATOR = Span(*band(FILE, "terminator"))
GROUND = Span(*band(FILE, "ground"))
LOOP = Span(*band(FILE, "loop"))
COIL = Span(*band(FILE, "coil"))
FILAMENT = Span(*band(FILE, "filament"))
LAMP = Span(*band(FILE, "lamp"))
SENDER = Span(*band(FILE, "sender"))
PULSES = Span(*band(FILE, "pulses"))
FLOATING = Span(*band(FILE, "floating"))
ZERO = Span(*band(FILE, "zero"))
BUS_ANY = Span(*band(FILE, "bus-any"))
BUS_LEVEL = Span(*band(FILE, "bus-level"))
LOAD_SHARE = figure(FILE, "share", "stated-load")
AT_REST = figure(FILE, "share", "supply-low")
CHARGED = figure(FILE, "share", "supply-high")

LAMP_SOURCE = (
    "filament 0.5 to 200 ohm; LED lamp open or odd, other with probes exchanged (common practice)"
)
LAMP_BEYOND = (
    "no filament reads so: an LED lamp does, and so does an unplugged one; "
    "see it light from a limited feed"
)

LIVE_ALWAYS = frozenset({"permanent-supply", "auxiliary-supply"})
RETURNS = frozenset({"sensor-return", "sensor-supply"})
DRIVEN = frozenset({"drive", "lamp", "loop"})
PARTNERS: Mapping[str, str] = MappingProxyType(
    {"can-high": "can-low", "interlock-out": "interlock-back"}
)


class Quantity(StrEnum):
    """What a reading of the survey is read in."""

    VOLTS = "volts"
    OHMS = "ohms"


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """One reading to take: where, what should be seen, whence that is, what a stray would mean.

    `band` None: nothing is promised, the value is written down.  `telling`: the reading, if it
    fits, proves the cavity's function.  `state`: what must be done first ("guard lifted"); `key`:
    ignition off or on.
    """

    red: str
    black: str
    quantity: Quantity
    band: Span | None
    source: str = PRACTICE
    telling: bool = False
    key: OnOff | None = None
    state: str | None = None
    stray: str = ""

    @property
    def shown(self) -> Span | None:
        """The band as a meter may show it; None where nothing is promised."""
        if self.band is None or self.quantity == Quantity.VOLTS:
            return self.band
        return displayed(self.band)


def refused(cavity: Cavity) -> bool:
    """Whether nobody may put a probe on it: restraint circuits, voltage class B."""
    known = FUNCTIONS.get(cavity.function)
    return (known is not None and known.refused) or cavity.is_class_b


def electrical(cavity: Cavity) -> str:
    """Its electrical class."""
    known = FUNCTIONS.get(cavity.function)
    return known.electrical if known else "unknown"


# -- the machine's supply -------------------------------------------------------------------------


def system(job: Job) -> Span | None:
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
        if end.side == Side.MACHINE:
            for cavity in end.pinout.cavities.values():
                if cavity.volts is not None and electrical(cavity) == "supply":
                    yield cavity.volts


# -- volts ----------------------------------------------------------------------------------------


def expected_volts(job: Job, end: End, cavity: Cavity) -> list[Expected]:
    """The volts to read against battery minus, ignition off and on, unit unplugged."""
    if refused(cavity):
        return []
    red, live, group = Address(end.name, cavity.name), system(job), electrical(cavity)
    if cavity.function in LIVE_ALWAYS:
        switched = "not live with the ignition off: it is switched, or its fuse is out"
        return [
            _volts(red, OnOff.OFF, live, switched, telling=True),
            _volts(red, OnOff.ON, live, "falls with the ignition on: a poor feed"),
        ]
    if group == "supply" or cavity.function == "wake":
        dead = "not live with the ignition on: another signal, or its fuse is out"
        return [
            _volts(red, OnOff.OFF, ZERO, "live with the ignition off: it is a permanent supply"),
            _volts(red, OnOff.ON, live, dead, telling=True),
        ]
    if group in ("ground", "shield") or cavity.function in RETURNS:
        return _dead(red, "live: this is no ground, return or reference of the unit")
    if group in DRIVEN and cavity.flow != Flow.TO_UNIT:
        return _dead(red, "live with the unit unplugged: something else feeds it")
    if cavity.function in ("can-high", "can-low"):
        asleep = "no level: the bus sleeps, or it is another wire"
        return [_volts(red, OnOff.ON, BUS_LEVEL, asleep)]
    noted = [_volts(red, key, None, "") for key in (OnOff.OFF, OnOff.ON)]
    if cavity.function == "unknown":
        noted.append(replace(noted[-1], state=ALL_ON))
    return noted


def _dead(red: str, stray: str) -> list[Expected]:
    return [_volts(red, key, ZERO, stray) for key in (OnOff.OFF, OnOff.ON)]


def _volts(
    red: str, key: OnOff, volts: Span | None, stray: str, *, telling: bool = False
) -> Expected:
    return Expected(
        red=red,
        black=CHASSIS,
        quantity=Quantity.VOLTS,
        band=volts,
        key=key,
        telling=telling,
        stray=stray,
    )


# -- ohms -----------------------------------------------------------------------------------------


def network(end: End, state: str | None = None) -> list[tuple[str, str, Span]]:
    """The loads behind a machine's loom as edges.

    A link tied to a state replaces the plain one in that state.
    """
    links = end.pinout.behind
    tied = {_pair(link) for link in links if link.when is not None and link.when == state}
    chosen = [
        link
        for link in links
        if link.when == state or (link.when is None and _pair(link) not in tied)
    ]
    return [(_point(end, x.a), _point(end, x.b), _widened(x.ohms)) for x in chosen]


def _pair(link: Link) -> frozenset[str]:
    return frozenset((link.a, link.b))


def _widened(span: Span) -> Span:
    """A load as a meter may find it: one stated value has a share either way."""
    if math.isinf(span.low) or not span.exact:
        return span
    return Span(span.low * (1 - LOAD_SHARE), span.high * (1 + LOAD_SHARE))


def _point(end: End, name: str) -> Address:
    return Address(CHASSIS) if name == CHASSIS else Address(end.name, name)


def expected_ohms(end: End) -> list[Expected]:
    """The ohms to read into a machine's loom: from its stated loads, otherwise from functions."""
    rows: list[Expected] = []
    told: set[str] = set()
    networks = {when: Network(network(end, when)) for when in {x.when for x in end.pinout.behind}}
    for link in end.pinout.behind:
        if not _never_ohmed(end, link):
            rows.append(_stated(end, link, networks[link.when]))
            told |= {link.a, link.b}
    for cavity in end.pinout.cavities.values():
        if not refused(cavity) and cavity.name not in told:
            rows += _by_function(end, cavity)
        if cavity.function == "sensor-return" and not _stated_to_chassis(end, cavity):
            joined = "joined to chassis: this is a power ground, not a sensor return"
            rows.append(_ohms(end, cavity, CHASSIS, FLOATING, joined, telling=True))
    return rows


def _never_ohmed(end: End, link: Link) -> bool:
    for name in (link.a, link.b):
        cavity = end.pinout.cavities.get(name)
        if cavity is not None and (refused(cavity) or electrical(cavity) == "supply"):
            return True
    return False


def _stated_to_chassis(end: End, cavity: Cavity) -> bool:
    to_chassis = frozenset((cavity.name, CHASSIS))
    return any(_pair(link) == to_chassis for link in end.pinout.behind)


def _stated(end: End, link: Link, network: Network) -> Expected:
    a, b = _point(end, link.a), _point(end, link.b)
    if a == CHASSIS or (b != CHASSIS and _rank(end, link.a) < _rank(end, link.b)):
        a, b = b, a
    ohms = network.span(a, b)
    cavity = end.pinout.cavities.get(link.a)
    source = (cavity.source if cavity else "") or end.pinout.source.name
    exchanged = "another load answers here: the table may have two cavities exchanged"
    return Expected(
        red=a,
        black=b,
        quantity=Quantity.OHMS,
        band=FLOATING if math.isinf(ohms.low) else ohms,
        source=source or "stated in the pinout",
        telling=True,
        state=link.when,
        stray=exchanged if link.when is None else "",
    )


def _rank(end: End, name: str) -> int:
    """Returns and grounds go under the black probe."""
    return 0 if end.pinout.cavities[name].function in ("sensor-return", "power-ground") else 1


def _ohms(
    end: End, cavity: Cavity, black: str, ohms: Span | None, stray: str, *, telling: bool = False
) -> Expected:
    return Expected(
        red=Address(end.name, cavity.name),
        black=black,
        quantity=Quantity.OHMS,
        band=ohms,
        telling=telling,
        stray=stray,
    )


def _by_function(end: End, cavity: Cavity) -> list[Expected]:
    group = electrical(cavity)
    fed_by_machine = group in ("lamp", "drive") and cavity.flow == Flow.TO_UNIT
    if cavity.function == "unknown" or fed_by_machine:
        return [_ohms(end, cavity, CHASSIS, None, "")]
    if cavity.function == "power-ground":
        broken = "not at chassis: a return of its own, or a broken ground"
        return [_ohms(end, cavity, CHASSIS, GROUND, broken, telling=True)]
    if group == "lamp":
        return [_lamp(end, cavity)]
    if group == "drive":
        unplugged = "open: the load is unplugged, fed from the other side, or an LED lamp"
        return [_ohms(end, cavity, CHASSIS, COIL, unplugged)]
    if cavity.function in ("analogue-input", "pulse-input"):
        return _sensor(end, cavity)
    partner = _partner(end, cavity)
    if partner is None:
        return []
    black = Address(end.name, partner.name)
    if cavity.function == "can-high":
        return [_bus_pair(end, cavity, black)]
    return [
        _ohms(end, cavity, black, LOOP, "open: a guard stands open, or another pair", telling=True)
    ]


def _lamp(end: End, cavity: Cavity) -> Expected:
    return Expected(
        red=Address(end.name, cavity.name),
        black=CHASSIS,
        quantity=Quantity.OHMS,
        band=LAMP,
        source=LAMP_SOURCE,
        stray="a short to chassis, or no lamp hangs here",
    )


def _bus_pair(end: End, cavity: Cavity, black: str) -> Expected:
    return Expected(
        red=Address(end.name, cavity.name),
        black=black,
        quantity=Quantity.OHMS,
        band=Span(TERMINATOR.low / 2, TERMINATOR.high),
        source="ISO 11898-2",
        telling=True,
        stray="see the terminator steps",
    )


class _Same:
    """A pinout known by being the same object: its own fields cannot be hashed."""

    __slots__ = ("pinout",)

    def __init__(self, pinout: Pinout) -> None:
        self.pinout = pinout

    def __hash__(self) -> int:
        return id(self.pinout)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and other.pinout is self.pinout


@lru_cache(maxsize=32)
def _first_return(same: _Same) -> Cavity | None:
    cavities = same.pinout.cavities.values()
    return next((c for c in cavities if c.function == "sensor-return"), None)


def _sensor(end: End, cavity: Cavity) -> list[Expected]:
    back = _first_return(_Same(end.pinout))
    if back is None or cavity.flow == Flow.FROM_UNIT:
        return []
    black = Address(end.name, back.name)
    if cavity.function == "pulse-input":
        answers = "a resistive sender or an inductive pick-up answers here: "
        return [_ohms(end, cavity, black, PULSES, answers + "move the sensor and look again")]
    none = "open or far off: no resistive sender answers here; move the sensor and look again"
    return [_ohms(end, cavity, black, SENDER, none)]


def _partner(end: End, cavity: Cavity) -> Cavity | None:
    function = PARTNERS.get(cavity.function)
    if function is None:
        return None
    for other in end.pinout.cavities.values():
        alike = (other.pair, other.chain) == (cavity.pair, cavity.chain)
        if other.function == function and alike:
            return other
    return None
