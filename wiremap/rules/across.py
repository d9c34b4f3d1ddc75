"""The job's resistors and diodes: what each of them ties together, and what it lets through."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from wiremap.graph import Net
from wiremap.model import Extra
from wiremap.rules.clash import clash_kind
from wiremap.rules.clash_kinds import ClashKind
from wiremap.rules.limits import limit
from wiremap.rules.signals import LOW_SIDE_DRIVE, Signal, most_volts
from wiremap.rules.view import View

GROUND_VOLTS = 0.0
ROUNDS = 100  # of a relaxation: as many as make it settle; a few do for a harness


class CrossTie(NamedTuple):
    """The metal that a resistor leads to, by its node, and the resistor's conductance."""

    to: str
    siemens: float


@dataclass(frozen=True, slots=True)
class PartSide:
    """One leg of a part: the metal that it lies on, and what that carries."""

    leg: str
    net: Net
    signals: tuple[Signal, ...]

    @property
    def node(self) -> str:
        """The point that stands for the metal."""
        return self.net.points[0]

    @property
    def drivers(self) -> list[Signal]:
        """What drives the metal up: sources, and senders that do not pull to ground."""
        return [s for s in self.signals if s.drives and s.row.slug != LOW_SIDE_DRIVE]

    @property
    def grounds(self) -> list[Signal]:
        """What holds the metal at ground, or pulls it there."""
        return [
            s for s in self.signals if s.is_ground or (s.drives and s.row.slug == LOW_SIDE_DRIVE)
        ]

    @property
    def listeners(self) -> list[Signal]:
        """Contacts that only receive."""
        return [s for s in self.signals if s.listens]


@dataclass(frozen=True, slots=True)
class PartAcross:
    """A part between two metals; of a diode `a` is the anode's side."""

    extra: Extra
    a: PartSide
    b: PartSide

    def sides(self) -> Iterator[tuple[PartSide, PartSide]]:
        """Its two sides, seen from either."""
        yield self.a, self.b
        yield self.b, self.a


def parts_across(view: View, kind: str) -> Iterator[PartAcross]:
    """Every part of a kind whose legs are both joined, to two different metals."""
    for extra in view.job.extras.values():
        if extra.kind != kind:
            continue
        a, b = (_part_side(view, leg) for leg in extra.legs)
        if a.net.circuits and b.net.circuits and a.net.points != b.net.points:
            yield PartAcross(extra, a, b)


def _part_side(view: View, leg: str) -> PartSide:
    net = view.net_of(leg)
    return PartSide(leg, net, view.signals(net))


def highest_volts(view: View, side: PartSide) -> float | None:
    """The most that drives a metal up [V]; None where nothing of known volts does."""
    volts = [s.volts.high for s in side.drivers if s.volts is not None]
    most = view.job.supply.max_volts
    if most is not None and any(s.row.volts == "system" for s in side.drivers):
        volts.append(most)
    return max(volts, default=None)


def lowest_volts(side: PartSide) -> float | None:
    """The least at which a metal is held [V]; None where nothing holds it."""
    if side.grounds:
        return GROUND_VOLTS
    return min((s.volts.low for s in side.drivers if s.volts is not None), default=None)


def volts_across(view: View, part: PartAcross) -> float | None:
    """The greatest voltage that can stand across a part [V]; None where that is not known."""
    differences = []
    for one, other in part.sides():
        high, low = highest_volts(view, one), lowest_volts(other)
        if high is not None and low is not None:
            differences.append(high - low)
    levels = view.once(potentials)
    if part.a.node in levels and part.b.node in levels:
        differences.append(abs(levels[part.a.node] - levels[part.b.node]))
    return max(differences, default=None)


def potentials(view: View) -> dict[str, float]:
    """What each metal at a resistor stands at with every source at its most [V].

    A metal that is neither driven nor grounded is held by its resistors (Millman's theorem, the sum
    of U/R over the sum of 1/R, taken until nothing changes); one that hangs on nothing is left out.
    """
    levels: dict[str, float] = {}
    ties: dict[str, list[CrossTie]] = defaultdict(list)
    for part in parts_across(view, "resistor"):
        for one, other in part.sides():
            level = GROUND_VOLTS if one.grounds else highest_volts(view, one)
            if level is not None:
                levels[one.node] = level
            if part.extra.ohms:
                ties[one.node].append(CrossTie(other.node, 1 / part.extra.ohms))
    held = [node for node in ties if node not in levels]
    for _ in range(ROUNDS):
        for node in held:
            known = [tie for tie in ties[node] if tie.to in levels]
            if known:
                amps = sum(levels[tie.to] * tie.siemens for tie in known)
                levels[node] = amps / sum(tie.siemens for tie in known)
    return levels


def load_amps(view: View, side: PartSide) -> float | None:
    """What the contacts that receive on a metal draw together [A]; None where one tells nothing."""
    cavities = [view.points[signal.address].cavity for signal in side.listeners]
    amps = [each.amps for each in cavities if each is not None and each.amps is not None]
    return sum(amps) if amps and len(amps) == len(cavities) else None


def series_amps(view: View, part: PartAcross) -> float | None:
    """What flows through a resistor on the way to a load or back from a unit [A]; None where it
    lies on no such way, or nobody tells the current.
    """
    if part.a.grounds and part.b.grounds:
        grounds = [*part.a.grounds, *part.b.grounds]
        returns = [view.points[s.address].cavity for s in grounds if not s.is_machine]
        return max((c.amps for c in returns if c is not None and c.amps is not None), default=None)
    for one, other in part.sides():
        if one.drivers and not other.drivers and not other.grounds:
            return load_amps(view, other)
    return None


def holds_load(view: View, part: PartAcross) -> bool:
    """Whether a resistor brings a load that has an output of its own enough current to hold it."""
    for one, other in part.sides():
        volts, draws = highest_volts(view, one), load_amps(view, other)
        driven = any(s.row.electrical in ("drive", "lamp") for s in other.drivers)
        if volts is None or draws is None or not driven or not part.extra.ohms:
            continue
        if volts / part.extra.ohms > limit("holding-share") * draws:
            return True
    return False


@dataclass(frozen=True, slots=True)
class PulledUp:
    """A contact that a resistor pulls above what it is made for: to how many volts, how hard."""

    strong: Signal  # what pulls
    weak: Signal  # the contact
    volts: float  # at the contact, nothing else taken into account
    amps: float  # into it, were it held at the most that it stands


def pulled_up(view: View, part: PartAcross) -> PulledUp | None:
    """The contact that a resistor drives beyond its volts with more than it may take, if any."""
    ohms = part.extra.ohms
    if not ohms:
        return None
    for one, other in part.sides():
        level = _pulled_to(view, one, other)
        if level is None or other.grounds:
            continue
        for signal in other.signals:
            if signal.is_machine or signal.is_ground or signal.volts is None:
                continue
            if _is_lamp_with(view, signal, (level - signal.volts.low) / ohms):
                continue
            amps = (level - most_volts(signal.volts)) / ohms
            if amps > limit("pushed-amps"):
                return PulledUp(one.drivers[0], signal, level, amps)
    return None


def _is_lamp_with(view: View, signal: Signal, amps: float) -> bool:
    """Whether it is a lamp that takes such a current: it holds its own volts, as a light-emitting
    diode behind its dropping resistor does.
    """
    cavity = view.points[signal.address].cavity
    if signal.row.electrical != "lamp" or cavity is None or cavity.amps is None:
        return False
    return signal.listens and amps <= cavity.amps


def _pulled_to(view: View, one: PartSide, other: PartSide) -> float | None:
    """What the driven side of a resistor pulls the other one up to [V].

    A reference that drives the other side does not hold against it.
    """
    if not one.drivers:
        return None
    if other.drivers:
        return highest_volts(view, one)
    return view.once(potentials).get(other.node)


def clash_across(
    view: View, one: PartSide, other: PartSide
) -> tuple[ClashKind, Signal, Signal] | None:
    """The kind of clash of two metals, were the part between them a wire, and two signals."""
    for a in one.signals:
        for b in other.signals:
            kind = clash_kind(view, one.net, a, b, driven=True)
            if kind is not None:
                return kind, a, b
    return None
