"""The units of a job: through which fuses each is fed, by which grounds its current flows back."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from wiremap.graph import Point
from wiremap.model import EndKind
from wiremap.rules.limits import is_over
from wiremap.rules.outputs import outputs
from wiremap.rules.signals import LOW_SIDE_DRIVE
from wiremap.rules.sized import RatedFuse, fuses, sizes
from wiremap.rules.view import View
from wiremap.trade.loads import way_of_motor

CARRIED_PAST = (EndKind.CUT_TAIL, EndKind.TAP)  # at these the job's current passes no contact


@dataclass(frozen=True, slots=True, kw_only=True)
class FusedLine:
    """The supply contacts of a unit behind one fuse."""

    fuse: RatedFuse | None  # None where nobody states which
    feeds: tuple[Point, ...]

    @property
    def drawn_amps(self) -> float:
        """What the unit is stated to draw here [A]."""
        return sum(each.cavity.amps for each in self.feeds if each.cavity and each.cavity.amps)


@dataclass(frozen=True, slots=True, kw_only=True)
class FedUnit:
    """A unit or module: its fused lines, its grounds, and what its outputs' loads come to [A]."""

    name: str
    lines: tuple[FusedLine, ...]
    grounds: tuple[Point, ...]
    given_amps: float  # by outputs that feed their loads, of a motor one way only
    sunk_amps: float  # by outputs that lead their loads to ground, likewise

    @property
    def feeds(self) -> list[str]:
        """The addresses of its supplies."""
        return [point.address for line in self.lines for point in line.feeds]

    @property
    def drawn_amps(self) -> float:
        """What its supplies are stated to draw together [A]."""
        return sum(line.drawn_amps for line in self.lines)

    @property
    def fuse_amps(self) -> float | None:
        """The fuses before it together [A]; None where one is not known, or it is not fed."""
        known = [line.fuse.amps for line in self.lines if line.fuse]
        return sum(known) if known and len(known) == len(self.lines) else None

    @property
    def is_over_fuse(self) -> bool:
        """Whether its outputs' loads together are over the fuses before it."""
        return self.fuse_amps is not None and is_over(self.given_amps, self.fuse_amps)

    @property
    def is_over_drawn(self) -> bool:
        """Whether its outputs' loads come to more than it is stated to draw."""
        return bool(self.drawn_amps) and is_over(self.given_amps, self.drawn_amps)

    @property
    def most_together_amps(self) -> float | None:
        """What its outputs may give at once where all their loads are too much [A]; else None."""
        most = []
        if self.is_over_fuse and self.fuse_amps is not None:
            most.append(self.fuse_amps)
        if self.is_over_drawn:
            most.append(self.drawn_amps)
        return min(most, default=None)

    @property
    def returned_amps(self) -> float:
        """What flows back through its grounds [A]: what its outputs give flows back elsewhere."""
        return max(self.drawn_amps - self.given_amps, 0.0) + self.sunk_amps

    @property
    def faulty_amps(self) -> float:
        """What its grounds carry while one fuse passes a fault and the others their loads [A]."""
        one_faulty = [
            self.drawn_amps - line.drawn_amps + line.fuse.amps for line in self.lines if line.fuse
        ]
        return max([self.drawn_amps, *one_faulty])


def fed_units(view: View) -> tuple[FedUnit, ...]:
    """Every unit or module with a joined supply, in the order of the ends."""
    return view.fixed(_fed_units)


def _fed_units(view: View) -> tuple[FedUnit, ...]:
    feeds: dict[str, dict[str, list[Point]]] = defaultdict(lambda: defaultdict(list))
    grounds: dict[str, list[Point]] = defaultdict(list)
    before = _fuse_by_circuit(view)
    for point in view.joined():
        signal = view.signal(point.address)
        if signal is None or point.is_machine:
            continue
        if signal.row.electrical == "supply" and signal.listens:
            circuits = view.harness.circuits_at(point.address)
            fuse = next((each for each in circuits if each in before), "")
            feeds[point.owner][before[fuse].subject if fuse else ""].append(point)
        elif signal.row.slug == "power-ground":
            grounds[point.owner].append(point)
    rated = {fuse.subject: fuse for fuse in before.values()}
    loads = _loads(view)
    return tuple(
        FedUnit(
            name=name,
            lines=tuple(
                FusedLine(fuse=rated.get(fuse), feeds=tuple(points))
                for fuse, points in lines.items()
            ),
            grounds=tuple(grounds[name]),
            given_amps=loads[name, False],
            sunk_amps=loads[name, True],
        )
        for name, lines in feeds.items()
    )


def _loads(view: View) -> dict[tuple[str, bool], float]:
    """What the loads of each unit's outputs draw together [A], by its name and whether the outputs
    sink; of the two ways of a motor the one that draws more.
    """
    ways: dict[tuple[str, bool, str], dict[str, float]] = defaultdict(lambda: defaultdict(float))
    for output in outputs(view):
        named = output.loads[0].signal if output.loads else output.cavity.signal
        moves, way = way_of_motor(named)
        sinks = output.signal.row.slug == LOW_SIDE_DRIVE
        ways[output.signal.owner, sinks, moves][way] += output.consumed_amps()
    loads: dict[tuple[str, bool], float] = defaultdict(float)
    for (owner, sinks, _), amps in ways.items():
        standing = amps.pop("", 0.0)
        loads[owner, sinks] += standing + max(amps.values(), default=0.0)
    return loads


def _fuse_by_circuit(view: View) -> dict[str, RatedFuse]:
    """The last fuse before each circuit: those of the job come after the machine's."""
    return {circuit: fuse for fuse in fuses(view) for circuit in fuse.worked_out.circuits}


def contacts_good_for(unit: FedUnit) -> float | None:
    """What its ground contacts bear together [A]; None where nobody states it of all."""
    return _sum_of_known(map(_contact_amps, unit.grounds))


def grounds_good_for(view: View, unit: FedUnit) -> float | None:
    """What its grounds bear together, the weaker of wire and contact each [A]; None where neither
    is known of one.
    """
    wires = view.fixed(_wires_carry)
    return _sum_of_known(
        _least_known(_contact_amps(each), wires.get(each.address)) for each in unit.grounds
    )


def _sum_of_known(amps: Iterable[float | None]) -> float | None:
    """The sum of some figures; None if one of them is not known, or there is none."""
    known = list(amps)
    return None if not known or None in known else sum(filter(None, known))


def _least_known(*amps: float | None) -> float | None:
    return min((each for each in amps if each is not None), default=None)


def _contact_amps(point: Point) -> float | None:
    if point.cavity is None or point.end is None or point.end.kind in CARRIED_PAST:
        return None
    return point.cavity.accepts.amps


def _wires_carry(view: View) -> dict[str, float]:
    """What the weakest wire that ends at each point carries [A]."""
    weakest: dict[str, float] = {}
    for address, amps in _wire_amps(view):
        weakest[address] = min(amps, weakest.get(address, amps))
    return weakest


def _wire_amps(view: View) -> Iterator[tuple[str, float]]:
    sized = sizes(view).conductors
    for conductor in view.harness.conductors.values():
        size = sized.get(conductor.id)
        if size is not None and size.ampacity_amps is not None:
            for point in view.harness.points_on(conductor):
                yield point.address, size.ampacity_amps
