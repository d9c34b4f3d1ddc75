"""What a meter should show at a cavity of a machine's loom, unit unplugged: volts first, ohms with the battery off."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from wiremap.graph import span_ohms
from wiremap.model import CHASSIS, Cavity, End, Job, Link, Pinout, Span
from wiremap.trade.functions import FUNCTIONS
from wiremap.trade.tables import figure, named_row

PRACTICE = "common practice"


def _band(name: str) -> Span:
    """What a part of this kind reads [ohm]."""
    row = named_row("meter.toml", "bands", name)
    return Span(row["least_ohms"], row["most_ohms"])


def _terminator(which: str) -> float:
    return figure("judging.toml", "row", f"terminator-{which}-ohms")


TERMINATOR = Span(_terminator("least"), _terminator("most"))
PART_SHARE = figure("meter.toml", "limits", "part_share")  # of a coil's single value, cold to warm
GROUND = _band("ground")
LOOP = _band("loop")  # closed contact and its loom
COIL = _band("coil")  # valves, relays
FILAMENT = _band("filament")
LAMP = _band("lamp")  # an LED lamp reads any figure, another one with the probes exchanged
SENDER = _band("sender")
PULSES = _band("pulses")
FLOATING = _band("floating")
LAMP_SOURCE = (
    "filament 0.5 to 200 ohm; LED lamp open or odd, other with probes exchanged (common practice)"
)
LAMP_BEYOND = "no filament reads so: an LED lamp does, and so does an unplugged one; see it light from a limited feed"


@dataclass(frozen=True, slots=True)
class Expected:
    """One reading to take: where, what should be seen, where that comes from, and what a stray would mean.

    `band` None: nothing is promised, the value is written down.  `telling`: the reading, if it fits, proves the
    cavity's function.  `state`: what must be done first ("guard lifted"); `key`: off or on.
    """

    red: str
    black: str
    quantity: str  # volts, ohms
    band: Span | None
    source: str
    telling: bool = False
    key: str | None = None
    state: str | None = None
    stray: str = ""


def refused(cavity: Cavity) -> bool:
    """Whether nobody may put a probe on it: restraint circuits, voltage class B, or what is not ours to touch."""
    known = FUNCTIONS.get(cavity.function)
    if known is not None and known.refused:
        return True
    return cavity.is_class_b


def electrical(cavity: Cavity) -> str:
    """Its electrical class."""
    known = FUNCTIONS.get(cavity.function)
    return known.electrical if known else "unknown"


def system(job: Job) -> Span | None:
    """The band of the machine's own volts at rest, from the job's supply or what its own supply cavities state.

    What the new unit is made for says nothing of the machine.
    """
    known = [
        v for v in (job.supply.min_volts, job.supply.volts, job.supply.max_volts) if v is not None
    ]
    if not known:
        spans = [
            c.volts
            for e in job.ends.values()
            if e.side == "machine"
            for c in e.pinout.cavities.values()
            if c.volts is not None and electrical(c) == "supply"
        ]
        known = [v for s in spans for v in (s.low, s.high)]
    if not known:
        return None
    low, high = min(known), max(known)
    return Span(low * 0.9, high * 1.25) if low == high else Span(low, high)


def supply_words(job: Job) -> str:
    """The machine's supply in words for the head of a list of readings; honest where nobody has stated its volts."""
    if job.supply.volts is not None:
        return f"{job.supply.volts:g} V on"
    low, high = job.supply.min_volts, job.supply.max_volts
    if low is not None and high is not None:
        return f"{low:g} to {high:g} V on"
    stated = {
        c.volts
        for e in job.ends.values()
        if e.side == "machine"
        for c in e.pinout.cavities.values()
        if c.volts is not None and electrical(c) == "supply"
    }
    if len(stated) == 1 and (one := next(iter(stated))).exact:
        return f"{one.low:g} V on"
    return "supply on (its volts are not stated: read them across the battery first)"


def expected_volts(job: Job, end: End, cavity: Cavity) -> list[Expected]:
    """The volts to read against battery minus, key off and key on, unit unplugged."""
    if refused(cavity):
        return []
    red, live, zero = f"{end.name}.{cavity.name}", system(job), Span(-0.1, 0.1)
    rows: list[tuple[str, Span | None, bool, str]]
    if cavity.function in ("permanent-supply", "auxiliary-supply"):
        stray = "not live with the key off: it is switched, or its fuse is out"
        rows = [
            ("off", live, True, stray),
            ("on", live, False, "falls with the key on: a poor feed"),
        ]
    elif electrical(cavity) == "supply" or cavity.function == "wake":
        stray = "live with the key off: it is a permanent supply"
        rows = [
            ("off", zero, False, stray),
            ("on", live, True, "not live with the key on: another signal, or its fuse is out"),
        ]
    elif electrical(cavity) in ("ground", "shield") or cavity.function in (
        "sensor-return",
        "sensor-supply",
    ):
        rows = [
            (k, zero, False, "live: this is no ground, return or reference of the unit")
            for k in ("off", "on")
        ]
    elif electrical(cavity) in ("drive", "lamp", "loop") and cavity.flow != "to-unit":
        rows = [
            (k, zero, False, "live with the unit unplugged: something else feeds it")
            for k in ("off", "on")
        ]
    elif cavity.function in ("can-high", "can-low"):
        rows = [("on", Span(1.5, 3.5), False, "no level: the bus sleeps, or it is another wire")]
    else:
        rows = [("off", None, False, ""), ("on", None, False, "")]
    return [
        Expected(red, CHASSIS, "volts", band, PRACTICE, telling, key, None, stray)
        for key, band, telling, stray in rows
    ]


def _widened(span: Span) -> Span:
    if not span.exact or math.isinf(span.low):
        return FLOATING if math.isinf(span.low) else span
    return Span(span.low * (1 - PART_SHARE), span.high * (1 + PART_SHARE))


def network(end: End, state: str | None = None) -> list[tuple[str, str, Span]]:
    """The loads behind a machine's loom as edges; a link tied to a state replaces the plain one in that state."""
    links = end.pinout.behind
    tied = {frozenset((x.a, x.b)) for x in links if x.when is not None and x.when == state}
    chosen = [
        x
        for x in links
        if (x.when is None and frozenset((x.a, x.b)) not in tied)
        or (x.when is not None and x.when == state)
    ]
    return [
        (_point(end, x.a), _point(end, x.b), x.ohms if math.isinf(x.ohms.low) else _widened(x.ohms))
        for x in chosen
    ]


def _point(end: End, name: str) -> str:
    return CHASSIS if name == CHASSIS else f"{end.name}.{name}"


def expected_ohms(end: End) -> list[Expected]:
    """The ohms to read into a machine's loom, from its stated loads and, where none is stated, from the function."""
    rows, told = [], set()
    for link in end.pinout.behind:
        if any(
            n in end.pinout.cavities
            and (refused(end.pinout.cavities[n]) or electrical(end.pinout.cavities[n]) == "supply")
            for n in (link.a, link.b)
        ):
            continue
        rows.append(_stated(end, link))
        told |= {link.a, link.b}
    for cavity in end.pinout.cavities.values():
        if not refused(cavity) and cavity.name not in told:
            rows += _by_function(end, cavity)
        if cavity.function == "sensor-return" and not any(
            CHASSIS in (x.a, x.b) and cavity.name in (x.a, x.b) for x in end.pinout.behind
        ):
            rows.append(
                Expected(
                    f"{end.name}.{cavity.name}",
                    CHASSIS,
                    "ohms",
                    FLOATING,
                    PRACTICE,
                    True,
                    stray="joined to chassis: this is a power ground, not a sensor return",
                )
            )
    return rows


def _stated(end: End, link: Link) -> Expected:
    a, b = _point(end, link.a), _point(end, link.b)
    if a == CHASSIS or (b != CHASSIS and _rank(end, link.a) < _rank(end, link.b)):
        a, b = b, a
    low_high = span_ohms(network(end, link.when), a, b)
    band = FLOATING if math.isinf(low_high.low) else low_high
    name = end.pinout.cavities.get(link.a)
    stray = (
        "another load answers here: the table may have two cavities exchanged"
        if link.when is None
        else ""
    )
    return Expected(
        a,
        b,
        "ohms",
        band,
        (name.source if name else "") or end.pinout.source.name or "stated in the pinout",
        True,
        None,
        link.when,
        stray,
    )


def _rank(end: End, name: str) -> int:
    """Returns and grounds go under the black probe."""
    return 0 if end.pinout.cavities[name].function in ("sensor-return", "power-ground") else 1


def _by_function(end: End, cavity: Cavity) -> list[Expected]:
    red, group = f"{end.name}.{cavity.name}", electrical(cavity)
    if cavity.function == "power-ground":
        return [
            Expected(
                red,
                CHASSIS,
                "ohms",
                GROUND,
                PRACTICE,
                True,
                stray="not at chassis: a return of its own, or a broken ground",
            )
        ]
    if group == "lamp" and cavity.flow != "to-unit":
        return [
            Expected(
                red,
                CHASSIS,
                "ohms",
                LAMP,
                LAMP_SOURCE,
                False,
                stray="a short to chassis, or no lamp hangs here",
            )
        ]
    if group == "drive" and cavity.flow != "to-unit":
        return [
            Expected(
                red,
                CHASSIS,
                "ohms",
                COIL,
                PRACTICE,
                False,
                stray="open: the load is unplugged, fed from the other side, or an LED lamp",
            )
        ]
    if cavity.function in ("analogue-input", "pulse-input"):
        return _sensor(end, cavity)
    partner = _partner(end, cavity)
    if partner is None:
        return []
    if cavity.function == "can-high":
        band = Span(TERMINATOR.low / 2, TERMINATOR.high)
        return [
            Expected(
                red,
                f"{end.name}.{partner.name}",
                "ohms",
                band,
                "ISO 11898-2",
                True,
                stray="see the terminator steps",
            )
        ]
    return [
        Expected(
            red,
            f"{end.name}.{partner.name}",
            "ohms",
            LOOP,
            PRACTICE,
            True,
            stray="open: a guard stands open, or another pair",
        )
    ]


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
    return next((c for c in same.pinout.cavities.values() if c.function == "sensor-return"), None)


def _sensor(end: End, cavity: Cavity) -> list[Expected]:
    back = _first_return(_Same(end.pinout))
    if back is None or cavity.flow == "from-unit":
        return []
    band, stray = (
        SENDER,
        "open or far off: no resistive sender answers here; move the sensor and look again",
    )
    if cavity.function == "pulse-input":
        band, stray = (
            PULSES,
            "a resistive sender or an inductive pick-up answers here: move the sensor and look again",
        )
    return [
        Expected(
            f"{end.name}.{cavity.name}",
            f"{end.name}.{back.name}",
            "ohms",
            band,
            PRACTICE,
            False,
            stray=stray,
        )
    ]


def _partner(end: End, cavity: Cavity) -> Cavity | None:
    other = {"can-high": "can-low", "interlock-out": "interlock-back"}.get(cavity.function)
    return next(
        (
            c
            for c in end.pinout.cavities.values()
            if other and c.function == other and (c.pair, c.chain) == (cavity.pair, cavity.chain)
        ),
        None,
    )
