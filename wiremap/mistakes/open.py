"""A wire off its joint, or a conductor that is interrupted."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from typing import ClassVar

from wiremap.graph.walks import graph_of, reached
from wiremap.mistakes.build import Build
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.mistake import LEAST, Mistake, MistakeKind
from wiremap.mistakes.modelled import Modelled
from wiremap.model import CHASSIS

OPEN_JOINT = MistakeKind("open", "an open joint")
OF_ONE, OF_SEVERAL = LEAST - 0.2, LEAST + 0.2  # its cost, by readings that failed
Wires = list[tuple[str, str]]  # the two nodes of each


@dataclass(frozen=True, slots=True)
class Open(Mistake):
    """The wires of some contacts of a circuit are off its joint, together."""

    wires: tuple[str, ...]

    joins_nothing: ClassVar[bool] = True

    def on(self, build: Build) -> Build:
        return build.parted(self.wires)

    def touches(self, drawn: Drawn) -> tuple[str, ...]:
        return self.wires

    def changes(self, build: Build) -> Collection[str]:
        return [point for w in self.wires if (point := build.seat(w))]

    def words(self) -> str:
        circuit, *towards = self.subject
        if not towards:
            return f"circuit {circuit} is open"
        return f"circuit {circuit} is open towards {', '.join(towards)}"

    def cost(self, drawn: Drawn, failed: int) -> float:
        """If one reading failed the likeliest cause: an exchange shows at two circuits (common
        practice).
        """
        return OF_ONE if failed == 1 else OF_SEVERAL


def off_joint(drawn: Drawn, wires: tuple[str, ...]) -> Open:
    """The wires of these contacts off their joint."""
    return Open(OPEN_JOINT, (_circuit(drawn, wires[0]), *wires), wires)


def _circuit(drawn: Drawn, point: str) -> str:
    """The first circuit at a point, or the name of its net where none names it."""
    circuits = drawn.harness.circuits_at(point)
    return circuits[0] if circuits else drawn.names[drawn.net_of[point]]


def opens(drawn: Drawn, net: int) -> Iterator[Open]:
    """One conductor of a net interrupted: each way of parting its points once.

    What is bolted to the chassis stays with it.
    """
    points = drawn.members.get(net, ())
    circuit = _circuit(drawn, points[0]) if points else ""
    for lost in partings(drawn, net):
        subject = (circuit,) if len(points) == 2 else (circuit, *lost)
        yield Open(OPEN_JOINT, subject, lost)


def partings(drawn: Drawn, net: int) -> Iterator[tuple[str, ...]]:
    """The contacts that come loose if a conductor of a net breaks, each way of parting once.

    Of the two sides the smaller counts as loose, and never the one that the chassis is bolted to.
    """
    points = drawn.members.get(net, ())
    if len(points) < 2:
        return
    wires = _wires(drawn, points)
    bolts = [pair for pair in drawn.bolts if drawn.net_of[pair[0]] == net]
    seen: set[frozenset[tuple[str, ...]]] = set()
    for k, (a, _) in enumerate(wires):
        side = reached(graph_of([*wires[:k], *wires[k + 1 :], *bolts]), a)
        one = tuple(p for p in points if p in side)
        other = tuple(p for p in points if p not in side)
        way = frozenset((one, other))
        if not one or not other or way in seen:
            continue
        seen.add(way)
        loose = [one, other]
        if bolts:
            loose.remove(one if CHASSIS in side else other)
        yield min(loose, key=lambda g: (len(g), -drawn.rank[g[0]]))


def _wires(drawn: Drawn, points: Sequence[str]) -> Wires:
    """The two nodes of every conductor of the circuits at these points."""
    harness = drawn.harness
    circuits = dict.fromkeys(c for a in points for c in harness.circuits_at(a))
    return [(w.a, w.b) for c in circuits for w in harness.conductors_by_circuit.get(c, ())]


def all_opens(drawn: Drawn) -> Iterator[Open]:
    """One conductor of any net interrupted."""
    for net in drawn.members:
        yield from opens(drawn, net)


MODELLED = (Modelled(kinds=(OPEN_JOINT,), make=all_opens, order=2, supposed=False),)
