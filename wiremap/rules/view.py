"""What a rule may look at: the job, its graph, and what several rules would work out again."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import cached_property
from typing import Any, TypeVar

from wiremap.base import Place
from wiremap.evidence import answers
from wiremap.evidence.confirmed import called_by, confirmed_circuits
from wiremap.evidence.explained import explains, meant_by
from wiremap.graph import Harness, Net, Point
from wiremap.model import Address, Circuit, Entry, Extra, Job
from wiremap.rules.registry import Also, Hit
from wiremap.rules.signals import Signal, read_point

T = TypeVar("T")


class View:
    """A job as the rules see it.

    `nets` are the metals to be judged: all of them, or, when one slip of the hand is looked at,
    only those that it changed; `net_of` then answers with the changed metal first, and `base` is
    the view of the job without the slip, from which is taken what no change of metal touches.
    """

    def __init__(
        self, harness: Harness, changed: Iterable[Net] | None = None, *, base: View | None = None
    ) -> None:
        self.harness = harness
        self.job: Job = harness.job
        self.points: Mapping[str, Point] = harness.points
        self._base = base or self
        self._signals: dict[str, Signal | None] = base._signals if base else {}
        self._carried: dict[tuple[str, ...], tuple[Signal, ...]] = base._carried if base else {}
        self._joined = harness.joined
        self._changed = None if changed is None else tuple(changed)
        self._changed_of = {address: net for net in self._changed or () for address in net.points}
        self._once: dict[Callable[[View], object], Any] = {}

    @cached_property
    def nets(self) -> tuple[Net, ...]:
        """The metals to be judged."""
        if self._changed is None:
            return self.harness.metals.all
        return self._changed

    @cached_property
    def carried(self) -> tuple[tuple[Net, tuple[Signal, ...]], ...]:
        """The metals to be judged, each with what is carried on it."""
        return tuple((net, self.signals(net)) for net in self.nets)

    def net_of(self, address: str) -> Net:
        """The metal of a point; raises KeyError for a point that the job does not have."""
        return self._changed_of.get(address) or self.harness.metals.of(address)

    def once(self, work: Callable[[View], T]) -> T:
        """The result of `work(view)`, worked out once for all rules that ask."""
        if work not in self._once:
            self._once[work] = work(self)
        known: T = self._once[work]
        return known

    def fixed(self, work: Callable[[View], T]) -> T:
        """The result of work that no change of metal touches, worked out once for the job."""
        return self._base.once(work)

    # -- what is carried ------------------------------------------------------------------------

    def signal(self, address: str) -> Signal | None:
        """What a point carries; None for an extra's leg."""
        if address not in self._signals:
            self._signals[address] = read_point(self.job, self.points[address])
        return self._signals[address]

    def signals(self, net: Net) -> tuple[Signal, ...]:
        """What is carried on a metal, in address order."""
        known = self._carried.get(net.points)
        if known is None:
            carried = map(self.signal, net.points)
            known = self._carried[net.points] = tuple(s for s in carried if s is not None)
        return known

    def beside(self, address: str) -> list[Signal]:
        """What the other connectors and the chassis carry on the metal of a point."""
        owner = self.points[address].owner
        return [s for s in self.signals(self.net_of(address)) if s.owner != owner]

    def beyond(self, net: Net) -> list[Signal]:
        """Signals that a resistor or diode of the job brings to a metal."""
        signals: list[Signal] = []
        for extra in self.extras(net, "resistor", "diode"):
            for leg in extra.legs:
                if leg not in net:
                    signals += self.signals(self.net_of(leg))
        return signals

    def extras(self, net: Net, *kinds: str) -> list[Extra]:
        """The job's extras of these kinds that touch a metal, by name."""
        if not self.job.extras:
            return []
        by_name = {}
        for address in net.points:
            extra = self.points[address].extra
            if extra is not None and extra.kind in kinds:
                by_name[extra.name] = extra
        return [by_name[name] for name in sorted(by_name)]

    def joined(self) -> tuple[Point, ...]:
        """Every cavity that a circuit names, in the order of the ends."""
        return self.fixed(_joined)

    @cached_property
    def circuit_ids(self) -> frozenset[str]:
        """The ids of the job's circuits."""
        return frozenset(circuit.id for circuit in self.job.circuits)

    def is_joined(self, address: str) -> bool:
        """Whether a circuit names a point."""
        return address in self._joined

    def idle_tap(self, point: Point) -> bool:
        """Whether it is a contact of a tap that takes no part in the job."""
        return point.is_tap and not self.is_joined(point.address)

    # -- what is settled ------------------------------------------------------------------------

    @cached_property
    def confirmed(self) -> frozenset[str]:
        """Ids of the circuits that a named person has settled for the points as they now stand."""
        return confirmed_circuits(self.job)

    def is_confirmed(self, address: str) -> bool:
        """Whether named persons stand to every circuit that names a point."""
        return set(self.harness.circuits_at(address)) <= self.confirmed

    @cached_property
    def answers(self) -> Mapping[str, Entry]:
        """The answers of the notebooks that count, by what they are about."""
        return self.fixed(_answers)

    def is_explained(self, address: str) -> bool:
        """Whether a named person has said, with the reason, that a contact's words mislead."""
        entry = self.answers.get(f"{address}.means")
        return entry is not None and explains(entry, self._wording(address))

    def said_to_mean(self, address: str) -> str:
        """What somebody has answered that a contact's words mean; empty if nobody has."""
        entry = self.answers.get(f"{address}.means")
        return "" if entry is None else meant_by(entry, self._wording(address))

    def _wording(self, address: str) -> str:
        point = self.points.get(address)
        return point.cavity.signal if point is not None and point.cavity is not None else ""

    # -- words and places -----------------------------------------------------------------------

    def hit(
        self, *subject: str, place: Place | None = None, also: Also = (), **facts: object
    ) -> Hit:
        """A hit about points or circuits, at its place or where the job joins the first of them.

        The first two of the subject are called `a` and `b` in the rule's sentence.
        """
        return self.hit_with(subject, facts, place, also)

    def described_hit(self, *subject: str, **facts: object) -> Hit:
        """A hit that also shows where its points are described."""
        return self.hit_with(subject, facts, None, self.described(*subject))

    def circuit_hit(self, circuit: Circuit, key: str = "", **facts: object) -> Hit:
        """A hit about a circuit, at the place of one of its keys."""
        facts["circuit"] = circuit.id
        return self.hit_with((circuit.id,), facts, circuit.at(key))

    def hit_with(
        self,
        subject: tuple[str, ...],
        facts: Mapping[str, object],
        place: Place | None = None,
        also: Also = (),
    ) -> Hit:
        """A hit at the first of some subjects, with facts that were gathered before."""
        called: dict[str, object] = {}
        for word, address in zip("ab", subject, strict=False):
            called[word] = self.name(address)
        called["joined"] = self.joined_by(subject[0])
        return Hit(place or self.place_of(subject[0]), subject, called | dict(facts), also)

    def joined_by(self, name: str) -> str:
        """The points of the circuit that joins a point or bears an id, in words."""
        by_id = {circuit.id: circuit for circuit in self.job.circuits}
        circuit = self.circuit_of(name) or by_id.get(name)
        return called_by(self.job, circuit) if circuit else name

    def circuit_of(self, address: str) -> Circuit | None:
        """The circuit that names a point first, if any."""
        ids = self.harness.circuits_at(address)
        return self.harness.circuit(ids[0]) if ids else None

    def place_of(self, address: str) -> Place | None:
        """Where the job joins a point; where it is described if no circuit names it.

        The id of a circuit is a place too: where it stands.
        """
        circuit = self.circuit_of(address)
        if circuit is not None:
            for name, place in zip(circuit.join, circuit.join_places, strict=False):
                if name == address:
                    return place
            return circuit.place
        left = self.job.not_joined.get(Address.read(address))
        if left is not None and left.place is not None:
            return left.place
        point = self.points.get(address)
        if point is not None:
            return point.place
        return self.circuit_places.get(address)

    @cached_property
    def circuit_places(self) -> Mapping[str, Place | None]:
        """Where each circuit of the job stands, by its id."""
        return {circuit.id: circuit.place for circuit in self.job.circuits}

    def described(self, *addresses: str) -> Also:
        """Where points are described, each with a word on it: the second places of a finding."""
        places = []
        for address in addresses:
            point = self.points.get(address)
            if point is not None and point.place is not None:
                places.append((point.place, f"{self.name(address)} is described here"))
        return tuple(places)

    def name(self, address: str) -> str:
        """A point as a person calls it: its address and its signal in the user's own words."""
        point = self.points.get(address)
        if point is None or point.cavity is None or not point.cavity.signal:
            return address
        return f"{address} ({point.cavity.signal})"


def _joined(view: View) -> tuple[Point, ...]:
    points = view.points.values()
    return tuple(p for p in points if p.cavity is not None and view.is_joined(p.address))


def _answers(view: View) -> dict[str, Entry]:
    return answers(view.job)
