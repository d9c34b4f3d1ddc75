"""One way in which a harness may have been built, and what a meter reads between its points."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from typing import TYPE_CHECKING

from wiremap.evidence.meter import METER_OHMS
from wiremap.graph import span_ohms
from wiremap.mistakes.bundles import Edge
from wiremap.mistakes.comb import LEAST_POINTS
from wiremap.mistakes.network import Wired
from wiremap.mistakes.ways import by_hand, on_the_way
from wiremap.model import OPEN, Span, State

if TYPE_CHECKING:
    from wiremap.mistakes.drawn import Drawn

THROUGH_OHMS = 1.0  # sound wire, leads zeroed, reads below (common practice); it proves no crimp
SHORT = Span(0.0, THROUGH_OHMS - METER_OHMS)  # one metal, with what its joints and wires may add
FRESH_NETS = 1_000_000  # nets that a mistake makes are numbered from here
EMPTY_SEATS = 2 * FRESH_NETS  # seats without a wire likewise
KEPT_NETS = 32  # under both probes; what more of them read is worked out each time
NOWHERE = State()
FORWARD, REVERSE = "forward", "reverse"  # how a diode lies between the probes


@dataclass(frozen=True, slots=True)
class Tie:
    """A connection with ohms between two points; a diode conducts from `a` to `b`.

    `outside`: behind the machine's loom; `poor`: a bad joint within what is drawn as one metal.
    """

    a: str
    b: str
    ohms: Span
    name: str = ""
    diode: bool = False
    outside: bool = False
    poor: bool = False


class Build:
    """Wires in other seats, wires in other joints, nets that touch, ties changed.
    `seats` says whose wire sits in a point (None: nobody's), `joints` into which net a wire is
    laid, both where that differs from the drawing; `merged` leads from a net that touches another
    to the one that stands for both.
    """

    __slots__ = (
        "_members",
        "_seated",
        "_wired",
        "drawn",
        "joints",
        "merged",
        "moved",
        "seats",
        "ties",
    )

    def __init__(
        self,
        drawn: Drawn,
        seats: dict[str, str | None],
        joints: dict[str, int],
        merged: dict[int, int],
        ties: tuple[Tie, ...],
    ) -> None:
        self.drawn, self.ties = drawn, ties
        self.seats, self.joints, self.merged = seats, joints, merged
        self.moved: dict[str, int] = {w: n for w, n in joints.items() if w not in seats}
        for point, wire in seats.items():
            if wire is None:
                self.moved[point] = EMPTY_SEATS + drawn.rank[point]
            else:
                self.moved[point] = joints.get(wire, drawn.net_of[wire])
        self._wired: Wired | None = None
        self._members: dict[int, list[str]] | None = None
        self._seated: dict[str, str] | None = None

    # -- one more change --------------------------------------------------------------------------

    def seated(self, seats: Mapping[str, str | None]) -> Build:
        """With other wires in these points."""
        return Build(self.drawn, {**self.seats, **seats}, self.joints, self.merged, self.ties)

    def laid(self, wires: Collection[str], net: int) -> Build:
        """With these wires laid into a net; what is bolted to one of them goes with it."""
        joints = {**self.joints, **dict.fromkeys(self.drawn.with_bolted(wires), net)}
        return Build(self.drawn, self.seats, joints, self.merged, self.ties)

    def parted(self, wires: Sequence[str]) -> Build:
        """With these wires off their joint, together."""
        fresh = FRESH_NETS + self.drawn.rank[wires[0]]
        taken = set(self.joints.values())
        while fresh in taken:
            fresh += 10 * FRESH_NETS
        return self.laid(wires, fresh)

    def touching(self, i: int, j: int) -> Build:
        """With two nets that touch."""
        i, j = self.merged.get(i, i), self.merged.get(j, j)
        if i == j:
            return self.with_ties(self.ties)
        low, high = min(i, j), max(i, j)
        merged = {n: low if to == high else to for n, to in self.merged.items()}
        return Build(self.drawn, self.seats, self.joints, {**merged, high: low}, self.ties)

    def with_ties(self, ties: tuple[Tie, ...]) -> Build:
        """With other ties."""
        return Build(self.drawn, self.seats, self.joints, self.merged, ties)

    # -- who is where -----------------------------------------------------------------------------

    def wire(self, point: str) -> str | None:
        """Whose wire sits in a point."""
        return self.seats.get(point, point)

    def seat(self, wire: str) -> str | None:
        """The point in which a wire sits; None if it hangs loose."""
        if self._seated is None:
            self._seated = {w: p for p, w in self.seats.items() if w is not None}
        return self._seated.get(wire, None if wire in self.seats else wire)

    def joint(self, wire: str) -> int:
        """The net that a wire is laid into."""
        return self.joints[wire] if wire in self.joints else self.drawn.net_of[wire]

    def raw(self, point: str) -> int:
        """The net that a point's wire belongs to, before nets touch."""
        return self.moved[point] if point in self.moved else self.drawn.net_of[point]

    def net(self, point: str) -> int:
        """The net of a point as built."""
        n = self.moved[point] if point in self.moved else self.drawn.net_of[point]
        return self.merged.get(n, n) if self.merged else n

    def nets(self, points: Collection[str]) -> Set[int]:
        """The nets of a comb as built; of a large one only what differs is looked up."""
        if len(points) < LEAST_POINTS or not isinstance(points, tuple):
            return {self.net(p) for p in points}
        return self.drawn.comb(points).as_built(self.moved, self.merged)

    @property
    def members(self) -> Mapping[int, list[str]]:
        """The test points of each net as built."""
        if self._members is None:
            self._members = {}
            for a in self.drawn.points:
                self._members.setdefault(self.net(a), []).append(a)
        return self._members

    # -- what a meter reads -----------------------------------------------------------------------

    @property
    def wired(self) -> Wired:
        """What is otherwise than drawn among the ties with ohms."""
        if self._wired is None:
            self._wired = self.drawn.network.of(self)
        return self._wired

    @property
    def linked(self) -> frozenset[int]:
        """The nets that a tie with ohms touches."""
        return self.wired.linked

    def ohms(self, red: Collection[str], black: Collection[str], state: State = NOWHERE) -> Span:
        """The true band of ohms between two combs of points."""
        return self.between(self.nets(red), self.nets(black), state)

    def between(self, reds: Set[int], blacks: Set[int], state: State = NOWHERE) -> Span:
        """The true band of ohms between two combs of nets as built."""
        if not reds.isdisjoint(blacks):
            return SHORT
        wired = self.wired
        linked, legs = wired.linked, frozenset[int]()
        if state.fuse:
            legs = frozenset(self.net(f"{state.fuse}.{leg}") for leg in "ab")
            linked = linked | legs
        red, black = self._tied(reds, linked), self._tied(blacks, linked)
        if not red or not black:
            return OPEN
        key = (wired.number, red, black, legs, state.parted)
        if key in self.drawn.bands:
            return self.drawn.bands[key]
        lifted = self.drawn.lifted_by[state.parted] if state.parted else ()
        edges = self.drawn.network.near(wired, (red, black, legs), lifted)
        if len(legs) > 1:
            one, two = (self.net(f"{state.fuse}.{leg}") for leg in "ab")
            edges.append((one, two, SHORT))
        span = self._span(edges, red, black)
        if len(red) + len(black) < KEPT_NETS:
            self.drawn.bands[key] = span
        return span

    def _tied(self, nets: Set[int], linked: frozenset[int]) -> frozenset[int]:
        """Those of a comb's nets at which a tie ends; where none is another, worked out once."""
        if linked is self.drawn.network.linked and isinstance(nets, frozenset):
            return self.drawn.network.bundles.linked(nets)
        return linked & nets

    def _span(self, edges: Sequence[Edge], reds: Set[int], blacks: Set[int]) -> Span:
        """The band between two combs over these connections."""

        def named(net: int) -> str:
            if net in reds:
                return "R"
            return "B" if net in blacks else str(net)

        way = tuple(on_the_way([(named(u), named(v), ohms) for u, v, ohms in edges]))
        if way not in self.drawn.spans:
            known = by_hand(way)
            self.drawn.spans[way] = span_ohms(way, "R", "B") if known is None else known
        return self.drawn.spans[way]

    def diode(self, red: Collection[str], black: Collection[str]) -> str:
        """FORWARD or REVERSE if a diode lies straight between the probes, otherwise nothing."""
        across = tuple(self.diodes())
        if not across:
            return ""
        reds, blacks = self.nets(red), self.nets(black)
        for anode, cathode in across:
            if anode in reds and cathode in blacks:
                return FORWARD
            if anode in blacks and cathode in reds:
                return REVERSE
        return ""

    def diodes(self) -> Iterator[tuple[int, int]]:
        """The nets that each diode lies between: that of its anode, that of its cathode."""
        drawn = self.drawn
        ties = drawn.diodes if self.ties is drawn.ties else [t for t in self.ties if t.diode]
        return ((self.net(t.a), self.net(t.b)) for t in ties)

    def signature(self) -> frozenset[frozenset[str]]:
        """The metal as built.

        Groups that differ from what is drawn, and the ties by where they end.
        """
        drawn = self.drawn
        odd = {frozenset(g) for g in self.members.values()} - drawn.groups
        new = [t for t in self.ties if t not in drawn.tie_set]
        names = {t.name for t in self.ties}
        lost = [t.name for t in drawn.ties if t.name and t.name not in names]
        changed = {frozenset((f"={t.name}", f"{t.a}>{t.b}", str(t.ohms))) for t in new}
        return frozenset(odd | changed | {frozenset((f"-{name}",)) for name in lost})
