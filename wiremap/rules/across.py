"""The job's resistors and diodes: what each of them ties together, and what it lets through."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wiremap.graph import Net
from wiremap.model import Extra
from wiremap.rules.clash import between
from wiremap.rules.limits import limit
from wiremap.rules.signals import Signal, most_volts
from wiremap.rules.view import View

SINKS = "low-side-drive"


@dataclass(frozen=True, slots=True)
class Side:
    """One leg of a part: the metal that it lies on, and what that carries."""

    leg: str
    net: Net
    signals: list[Signal]

    @property
    def drivers(self) -> list[Signal]:
        """What drives the metal up: sources, and senders that do not pull to ground."""
        return [s for s in self.signals if s.drives and s.row.slug != SINKS]

    @property
    def grounds(self) -> list[Signal]:
        """What holds the metal at ground, or pulls it there."""
        return [s for s in self.signals if s.cold or (s.drives and s.row.slug == SINKS)]

    @property
    def listeners(self) -> list[Signal]:
        """Contacts that only receive."""
        return [s for s in self.signals if s.listens]


@dataclass(frozen=True, slots=True)
class Across:
    """A part between two metals; of a diode `a` is the anode's side."""

    extra: Extra
    a: Side
    b: Side

    def sides(self) -> Iterator[tuple[Side, Side]]:
        """Both ways through it."""
        yield self.a, self.b
        yield self.b, self.a


def parts_across(view: View, kind: str) -> Iterator[Across]:
    """Every part of a kind whose legs are both joined, to two different metals."""
    for extra in view.job.extras.values():
        if extra.kind != kind:
            continue
        a, b = (_side(view, leg) for leg in extra.legs)
        if a.net.circuits and b.net.circuits and a.net.points != b.net.points:
            yield Across(extra, a, b)


def _side(view: View, leg: str) -> Side:
    net = view.net_of(leg)
    return Side(leg, net, view.signals(net))


def highest_volts(view: View, side: Side) -> float | None:
    """The most that drives a metal up [V]; None where nothing of known volts does."""
    found = [s.volts.high for s in side.drivers if s.volts is not None]
    most = view.job.supply.max_volts
    if most is not None and any(s.row.volts == "system" for s in side.drivers):
        found.append(most)
    return max(found, default=None)


def lowest_volts(side: Side) -> float | None:
    """The least at which a metal is held [V]; None where nothing holds it."""
    if side.grounds:
        return 0.0
    return min((s.volts.low for s in side.drivers if s.volts is not None), default=None)


def volts_across(view: View, part: Across) -> float | None:
    """The greatest voltage that can stand across a part [V]; None where that is not known."""
    found = []
    for one, other in part.sides():
        high, low = highest_volts(view, one), lowest_volts(other)
        if high is not None and low is not None:
            found.append(high - low)
    return max(found, default=None)


def load_amps(view: View, side: Side) -> float | None:
    """What the contacts that receive on a metal draw together [A]; None where one tells nothing."""
    total = 0.0
    for signal in side.listeners:
        cavity = view.points[signal.address].cavity
        if cavity is None or cavity.amps is None:
            return None
        total += cavity.amps
    return total if side.listeners else None


@dataclass(frozen=True, slots=True)
class Pushed:
    """A contact that a resistor pulls above what it is made for: to how many volts, how hard."""

    strong: Signal
    weak: Signal
    volts: float  # at the contact, nothing else taken into account
    amps: float  # into it, were it held at the most that it stands


def pushed(view: View, part: Across) -> Pushed | None:
    """The contact that a resistor drives beyond its volts with more than it may take, if any."""
    ohms = part.extra.ohms
    if not ohms:
        return None
    for one, other in part.sides():
        high = highest_volts(view, one)
        weak = [s for s in other.signals if s.side != "machine" and not s.cold and s.volts]
        for signal in weak if high is not None and not other.grounds else ():
            assert signal.volts is not None and high is not None
            stands = most_volts(signal.volts)
            volts = _pulled_to(view, other, high, ohms)
            amps = (volts - stands) / ohms
            if volts > stands and amps > limit("pushed-amps"):
                return Pushed(one.drivers[0], signal, volts, amps)
    return None


def _pulled_to(view: View, side: Side, high: float, ohms: float) -> float:
    """Where resistors to metals of known volts hold a metal that nothing else drives [V].

    Millman's theorem over the resistors that touch the metal: (sum of U/R) / (sum of 1/R).
    """
    siemens, amps = 1 / ohms, high / ohms
    for extra in view.extras(side.net, "resistor"):
        far = [_side(view, leg) for leg in extra.legs if leg not in side.net]
        if extra.ohms and far and far[0].grounds:
            siemens += 1 / extra.ohms
    return amps / siemens


def clash_through(view: View, one: Side, other: Side) -> tuple[str, Signal, Signal] | None:
    """What two metals would be to each other, were the part between them a wire."""
    for a in one.signals:
        for b in other.signals:
            kind = between(view, one.net, a, b, driven=True)
            if kind is not None:
                return kind, a, b
    return None


def diode_amps(view: View, part: Across) -> float | None:
    """What flows through a diode [A]: in series the load behind it, across a coil the coil's.

    None where nobody tells it.
    """
    if part.a.grounds:
        coil = [view.points[s.address].cavity for s in part.b.signals]
    elif part.b.drivers and not part.a.drivers:
        coil = [view.points[s.address].cavity for s in part.a.signals]
    else:
        return load_amps(view, part.b)
    return max((c.amps for c in coil if c is not None and c.amps is not None), default=None)
