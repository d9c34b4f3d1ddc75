"""What a rule may look at: the job, its graph, and what several rules would otherwise work out again."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cached_property
from typing import TypeVar

from wiremap.base import Place
from wiremap.graph import Harness, Net, Nets, Point, fingerprint
from wiremap.model import Address, Circuit, Job
from wiremap.rules.signals import Signal, read_point

T = TypeVar("T")


class View:
    """A job as the rules see it.

    `nets` are the metals to be judged: all of them, or, when one slip of the hand is looked at, only those that it
    changed; `net_of` then answers with the changed metal first.
    """

    def __init__(
        self, harness: Harness, changed: Iterable[Net] | None = None, *, base: View | None = None
    ) -> None:
        self.harness = harness
        self._base = base or self
        self._signals: dict[str, Signal | None] = base._signals if base else {}
        self.job: Job = harness.job
        self.points: Mapping[str, Point] = harness.points
        self._changed = None if changed is None else Nets(changed)
        self._once: dict[Callable[[View], object], object] = {}

    @cached_property
    def nets(self) -> tuple[Net, ...]:
        """The metals to be judged."""
        return self.harness.metals.all if self._changed is None else self._changed.all

    def net_of(self, address: str) -> Net:
        """The metal of a point; raises KeyError for a point that the job does not have."""
        if self._changed is not None:
            try:
                return self._changed.of(address)
            except KeyError:
                pass
        return self.harness.metals.of(address)

    def once(self, work: Callable[[View], T]) -> T:
        """The result of `work(view)`, worked out once for all rules that ask."""
        if work not in self._once:
            self._once[work] = work(self)
        return self._once[work]  # type: ignore[return-value]

    def fixed(self, work: Callable[[View], T]) -> T:
        """The same for what no change of metal touches: worked out once for the job."""
        return self._base.once(work)

    def signal(self, address: str) -> Signal | None:
        """What a point carries; None for an extra's leg."""
        if address not in self._signals:
            self._signals[address] = read_point(self.job, self.points[address])
        return self._signals[address]

    def signals(self, net: Net) -> list[Signal]:
        """What is carried on a metal, in address order."""
        return [s for a in net.points if (s := self.signal(a)) is not None]

    @cached_property
    def confirmed(self) -> frozenset[str]:
        """Ids of the circuits that a named person has settled, saying when and how, for the points as they now stand."""
        good = set()
        circuits = {c.id: c for c in reversed(self.job.circuits)}
        for entry in self.job.confirmed:
            circuit = circuits.get(entry.circuit)
            if circuit is None or not (
                entry.by.strip() and entry.date.strip() and entry.how.strip()
            ):
                continue
            if entry.of is None or entry.of == fingerprint(circuit.join):
                good.add(entry.circuit)
        return frozenset(good)

    def cavities(self, net: Net) -> list[Point]:
        """The cavities of a metal, in address order."""
        return [p for a in net.points if (p := self.points[a]).cavity is not None]

    # -- words and places -----------------------------------------------------------------------

    def circuit_of(self, address: str) -> Circuit | None:
        """The circuit that names a point first, if any."""
        ids = self.harness.circuits_at(address)
        return self.harness.circuit(ids[0]) if ids else None

    def place_of(self, address: str) -> Place | None:
        """Where the job joins a point; where it is described if no circuit names it."""
        circuit = self.circuit_of(address)
        if circuit is not None:
            for i, name in enumerate(circuit.join):
                if name == address and i < len(circuit.join_places):
                    return circuit.join_places[i]
            return circuit.place
        left = self.job.not_joined.get(Address.read(address))
        if left is not None and left.place is not None:
            return left.place
        point = self.points.get(address)
        return point.place if point else None

    def described(self, *addresses: str) -> tuple[tuple[Place, str], ...]:
        """Where points are described, each with a word on it: the second places of a finding."""
        found = []
        for address in addresses:
            point = self.points.get(address)
            if point is not None and point.place is not None:
                found.append((point.place, f"{self.name(address)} is described here"))
        return tuple(found)

    def name(self, address: str) -> str:
        """A point as a person calls it: its address and its signal in the user's own words."""
        point = self.points.get(address)
        signal = point.cavity.signal if point and point.cavity else ""
        return f"{address} ({signal})" if signal else address

    def joined(self) -> Iterator[Point]:
        """Every cavity that a circuit names, in the order of the ends."""
        for point in self.points.values():
            if point.cavity is not None and self.harness.circuits_at(point.address):
                yield point
