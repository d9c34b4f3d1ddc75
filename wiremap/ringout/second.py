"""The second ring-out: a few readings at the faces when the sleeves are shrunk.

Heat and closing the loom move things.  Each reading is watched while the wires are moved by hand:
what must never touch, the guard loop shut and lifted, the ohms of each bus, one beep.  On an
adapter with more of them than anybody takes, contacts are clipped together.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from wiremap.evidence.probe_points import ADAPTER
from wiremap.evidence.touching import near_pairs
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.expectation import Expectation, expected_apart
from wiremap.mistakes.open import opens
from wiremap.model import State
from wiremap.ringout.at_faces import AtFaces
from wiremap.ringout.finder import Finder
from wiremap.ringout.order import numbered
from wiremap.ringout.planner import THROUGH_IN_OHMS
from wiremap.ringout.probe import Probe, ProbeKind
from wiremap.ringout.values import while_parted
from wiremap.trade.functions import HIGH_AND_LOW, PAIR_HALVES

MOST = 12  # readings; nobody takes more with everything closed (the trade's patience, no standard)
SHRUNK = State(shrunk=True)
FEEDING = frozenset({"supply", "reference", "ground", "return", "live"})  # what is read apart
LIVE = frozenset({"supply", "live"})
CLASSES_APART = (  # read apart as a whole where there is no room for pairs of nets; worst first
    (frozenset({"reference"}), LIVE),
    (frozenset({"supply"}), frozenset({"ground"})),
    (frozenset({"supply"}), frozenset({"return"})),
    (frozenset({"reference"}), frozenset({"ground"})),
    (frozenset({"reference"}), frozenset({"return"})),
    (frozenset({"return"}), frozenset({"ground"})),
)


class _At(NamedTuple):
    """A net at a face, and one contact of it there."""

    net: int
    point: str


@dataclass(frozen=True, slots=True)
class _Half:
    """A contact that is half of a bus pair."""

    end: str
    pair: str | None
    function: str
    point: str


def second_ringout(drawn: Drawn, holds: int) -> tuple[Probe, ...]:
    """The readings, at most twelve, in the order in which they tell the most.

    `holds`: how many contacts can be clipped together under one probe.
    """
    faces = _Second(drawn)
    always = [*faces.guards(), *faces.buses()][:MOST]
    if not any(probe.is_through for probe in always):
        always = [*faces.ground_through(), *always][:MOST]  # dead probes read silent everywhere
    room = MOST - len(always)
    dangerous = list(faces.dangers())
    if len(dangerous) > room and drawn.kind == ADAPTER:
        dangerous = list(faces.classes_apart(room, holds)) or dangerous
    chosen = [*dangerous[:room], *always]
    through = [probe for probe in faces.circuits_through() if probe not in chosen]
    return numbered([*chosen, *through[: MOST - len(chosen)]])


def not_read_through(drawn: Drawn, probes: Sequence[Probe]) -> tuple[str, ...]:
    """A contact of each wire that may be off its joint while these probes all read right.

    One at a face, where the wire has one there; of a net of two points the one at a face stands
    for both.
    """
    at_face, finder = AtFaces(drawn).at_face, Finder(drawn, probes)
    contacts: dict[str, None] = {}
    for net in drawn.reached:
        faces = at_face.get(net, ())
        for parted in opens(drawn, net):
            if not finder.finds(parted):
                alone = faces if len(drawn.members[net]) == 2 else ()
                shown = [a for a in parted.wires if a in faces]
                contacts[next(iter((*shown, *alone, *parted.wires)))] = None
    return tuple(contacts)


class _Second(AtFaces):
    """Collects the readings at the faces of one harness."""

    def dangers(self) -> Iterator[Probe]:
        """Supply, reference, return and ground apart, net by net.

        Nets with contacts at one face come first, within that the worst.
        """
        far: list[Probe] = []
        for pair in near_pairs(self.drawn.harness, self.drawn.kind):
            nets = (pair.one, pair.other)
            if not all(net in self.at_face and self._feeds(net) for net in nets):
                continue
            if all(self.classes(net) <= LIVE for net in nets):
                continue  # of one battery: nothing breaks
            one, two = self._facing(*nets)
            if self.owner(one.point) == self.owner(two.point):
                yield self._apart(one, two)
            else:
                far.append(self._apart(one, two))
        yield from far

    def _feeds(self, net: int) -> bool:
        return not self.classes(net).isdisjoint(FEEDING)

    def _facing(self, one: int, two: int) -> tuple[_At, _At]:
        """A contact of each net, at one face if both have one there."""
        there = {self.owner(point): point for point in reversed(self.at_face[two])}
        for point in self.at_face[one]:
            if self.owner(point) in there:
                return _At(one, point), _At(two, there[self.owner(point)])
        return _At(one, self.at_face[one][0]), _At(two, self.at_face[two][0])

    def _apart(self, one: _At, two: _At) -> Probe:
        names = self.drawn.names
        expected = expected_apart(self.drawn.sound, (one.point,), (two.point,), SHRUNK)
        proves = f"{names[one.net]} apart from {names[two.net]}"
        return _probe(ProbeKind.APART, one.point, two.point, expected, proves)

    def classes_apart(self, room: int, holds: int) -> Iterator[Probe]:
        """All of one class against all of another; one by one against them where there is room.

        No probe at all if more would have to be clipped together than can be held.
        """
        groups = [
            (reds, blacks)
            for one, other in CLASSES_APART
            if (reds := self.one_of_each(one)) and (blacks := self.one_of_each(other))
        ]
        if any(max(len(reds), len(blacks)) > holds for reds, blacks in groups):
            return
        left = room - len(groups)
        for reds, blacks in groups:
            each = len(reds) - 1 <= left
            left -= len(reds) - 1 if each else 0
            for some in [(red,) for red in reds] if each else [reds]:
                expected = expected_apart(self.drawn.sound, some, blacks, SHRUNK)
                yield Probe(
                    kind=ProbeKind.APART,
                    red=some,
                    black=blacks,
                    expectation=expected,
                    proves=(f"{self.net_names(some)} apart from {self.net_names(blacks)}",),
                    state=SHRUNK,
                )

    def ground_through(self) -> Iterator[Probe]:
        """One ground through from face to face, which shows that probes and leads are sound."""
        for net, points in self.at_face.items():
            if "ground" in self.classes(net) and len(set(map(self.owner, points))) > 1:
                yield self._through(net)
                return

    def circuits_through(self) -> Iterator[Probe]:
        """Each circuit through from face to face: a wire pulled out while closing shows."""
        for net, points in self.at_face.items():
            if len({self.owner(point) for point in points}) > 1:
                yield self._through(net)

    def guards(self) -> Iterator[Probe]:
        """Each guard loop: through, and open while the guard is lifted."""
        for stays, *others in self.drawn.meeting:
            for net in others:
                if stays in self.at_face and net in self.at_face and self._is_loop(net):
                    one, two = self._facing(net, stays)
                    yield self._shut(one, two)
                    yield self._lifted(net, stays)
        for net in self.at_face:
            if self._is_loop(net) and not self._meets(net) and len(self.at_face[net]) > 1:
                yield self._through(net)

    def _is_loop(self, net: int) -> bool:
        return "loop" in self.classes(net)

    def _meets(self, net: int) -> bool:
        return any(net in group for group in self.drawn.meeting)

    def _shut(self, one: _At, two: _At) -> Probe:
        proves = (
            f"{self.drawn.names[one.net]} through the shut guard to {self.drawn.names[two.net]}"
        )
        expected = expected_apart(self.drawn.sound, (one.point,), (two.point,), SHRUNK)
        return _probe(ProbeKind.THROUGH, one.point, two.point, expected, proves)

    def _lifted(self, net: int, stays: int) -> Probe:
        drawn = self.drawn
        state = State(parted=drawn.names[net], shrunk=True)
        proves = f"{drawn.names[net]} open while the guard is lifted"
        return while_parted(drawn, net, stays, state, proves)

    def _through(self, net: int) -> Probe:
        one, two = self.at_face[net][0], self.at_face[net][-1]
        proves = f"{self.drawn.names[net]} through"
        return _probe(ProbeKind.THROUGH, one, two, THROUGH_IN_OHMS, proves)

    def buses(self) -> Iterator[Probe]:
        """The ohms of each bus pair at each face, once for two nets."""
        done: set[frozenset[int]] = set()
        net_of = self.drawn.net_of
        halves = list(self._halves())
        for one in halves:
            for two in halves:
                nets = frozenset({net_of[one.point], net_of[two.point]})
                if _is_pair(one, two) and nets not in done:
                    done.add(nets)
                    yield self._bus(one.point, two.point)

    def _halves(self) -> Iterator[_Half]:
        for points in self.at_face.values():
            for address in points:
                point = self.drawn.harness.points[address]
                if point.cavity is not None and point.function in PAIR_HALVES:
                    yield _Half(point.owner, point.cavity.pair, point.function, address)

    def _bus(self, high: str, low: str) -> Probe:
        names, net_of = self.drawn.names, self.drawn.net_of
        expected = expected_apart(self.drawn.sound, (high,), (low,), SHRUNK)
        proves = f"{names[net_of[high]]} to {names[net_of[low]]}: the terminators of this half"
        return _probe(ProbeKind.BAND, high, low, expected, proves)


def _is_pair(one: _Half, two: _Half) -> bool:
    of_one_pair = one.end == two.end and one.pair == two.pair
    return of_one_pair and one.point != two.point and (one.function, two.function) in HIGH_AND_LOW


def _probe(kind: ProbeKind, red: str, black: str, expected: Expectation, proves: str) -> Probe:
    return Probe(
        kind=kind,
        red=(red,),
        black=(black,),
        expectation=expected,
        proves=(proves,),
        state=SHRUNK,
    )
