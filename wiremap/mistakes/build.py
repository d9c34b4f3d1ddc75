"""One way in which a harness may have been built, and what a meter reads between its points."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence, Set
from typing import TYPE_CHECKING

from wiremap.evidence.meter import METER_OHMS
from wiremap.graph import span_ohms
from wiremap.mistakes.bundles import Edge
from wiremap.mistakes.comb import LEAST_POINTS
from wiremap.mistakes.network import ChangedTies
from wiremap.mistakes.tie import Tie
from wiremap.mistakes.ways import on_the_way, series_and_parallel
from wiremap.model import OPEN, Span, State
from wiremap.model.parts import FUSE_LEGS

if TYPE_CHECKING:
    from wiremap.mistakes.drawn import Drawn

THROUGH_OHMS = 1.0  # sound wire, leads zeroed, reads below (common practice); it proves no crimp
SHORT = Span(0.0, THROUGH_OHMS - METER_OHMS)  # one metal, with what its joints and wires may add
FRESH_NETS = 1_000_000  # nets that a mistake makes are numbered from here, by their first point,
EMPTY_SEATS = 2 * FRESH_NETS  # and contacts without a wire, each a net by itself, from here
KEPT_NETS = 32  # under both probes; what more of them read is worked out each time
AS_USUAL = State()  # nothing stands otherwise for the reading
FORWARD, REVERSE = "forward", "reverse"  # how a diode lies between the probes


class Build:
    """One way in which a harness may have been built, told by what differs from the drawing.

    `seats` says whose wire sits in a point (None: nobody's), `joints` into which net a wire is
    laid, both where that differs; `moved` is the net of each point that has another one by either.
    `merged` leads from a net that touches another to the one that stands for both.  A wire is named
    by the point in which it sits as drawn.
    """

    __slots__ = (
        "_changed_ties",
        "_members",
        "_seated",
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
        self.moved: dict[str, int] = {wire: n for wire, n in joints.items() if wire not in seats}
        for point, wire in seats.items():
            if wire is None:
                self.moved[point] = EMPTY_SEATS + drawn.rank[point]
            else:
                self.moved[point] = joints.get(wire, drawn.net_of[wire])
        self._changed_ties: ChangedTies | None = None
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
        """With these wires off their joint, together, as a net of their own."""
        fresh = FRESH_NETS + self.drawn.rank[wires[0]]
        taken = set(self.joints.values())
        while fresh in taken:  # the point was parted before; the same first point stays readable
            fresh += 10 * FRESH_NETS
        return self.laid(wires, fresh)

    def touching(self, i: int, j: int) -> Build:
        """With two nets that touch."""
        i, j = self.merged.get(i, i), self.merged.get(j, j)
        if i == j:
            return self
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

    def own_net(self, point: str) -> int:
        """The net that a point's wire belongs to, whatever other nets that one touches."""
        return self.moved[point] if point in self.moved else self.drawn.net_of[point]

    def net(self, point: str) -> int:
        """The net of a point as built; of nets that touch, the one that stands for all."""
        own = self.moved[point] if point in self.moved else self.drawn.net_of[point]
        return self.merged.get(own, own) if self.merged else own

    def nets(self, points: Collection[str]) -> Set[int]:
        """The nets of a comb as built; of a large tuple only those that differ are looked up."""
        if len(points) < LEAST_POINTS or not isinstance(points, tuple):
            return {self.net(point) for point in points}
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
    def changed_ties(self) -> ChangedTies:
        """What is otherwise than drawn among the ties with ohms."""
        if self._changed_ties is None:
            self._changed_ties = self.drawn.network.of(self)
        return self._changed_ties

    @property
    def linked(self) -> frozenset[int]:
        """The nets that a tie with ohms touches."""
        return self.changed_ties.linked

    def ohms(self, red: Collection[str], black: Collection[str], state: State = AS_USUAL) -> Span:
        """The true band of ohms between two combs of points."""
        return self.between(self.nets(red), self.nets(black), state)

    def between(self, reds: Set[int], blacks: Set[int], state: State = AS_USUAL) -> Span:
        """The true band of ohms between two combs of nets as built."""
        if not reds.isdisjoint(blacks):
            return SHORT
        ties = self.changed_ties
        linked, legs = ties.linked, frozenset[int]()
        if state.fuse:
            legs = frozenset(self.net(f"{state.fuse}.{leg}") for leg in FUSE_LEGS)
            linked = linked | legs
        red, black = self._tied(reds, linked), self._tied(blacks, linked)
        if not red or not black:
            return OPEN
        key = (ties.number, red, black, legs, state.parted)
        if key in self.drawn.bands:
            return self.drawn.bands[key]
        span = self._tied_span(red, black, legs, state)
        if len(red) + len(black) < KEPT_NETS:
            self.drawn.bands[key] = span
        return span

    def _tied_span(
        self, reds: frozenset[int], blacks: frozenset[int], legs: frozenset[int], state: State
    ) -> Span:
        """The band between two combs of nets at which ties end, with a fuse's `legs` joined."""
        lifted = self.drawn.lifted_by[state.parted] if state.parted else ()
        edges = self.drawn.network.near(self.changed_ties, (reds, blacks, legs), lifted)
        if len(legs) > 1:
            one, two = (self.net(f"{state.fuse}.{leg}") for leg in FUSE_LEGS)
            edges.append((one, two, SHORT))
        return self._span(edges, reds, blacks)

    def _tied(self, nets: Set[int], linked: frozenset[int]) -> frozenset[int]:
        """Those of a comb's nets at which a tie ends; worked out once where ties are as drawn."""
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
            known = series_and_parallel(way)
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
        """What differs from the drawing, equal for builds that no meter tells apart.

        Groups of points that are one metal, ties that are new or changed, parts that are lost.
        """
        drawn = self.drawn
        odd = {frozenset(group) for group in self.members.values()} - drawn.groups
        new = [tie for tie in self.ties if tie not in drawn.tie_set]
        names = {tie.name for tie in self.ties}
        lost = [tie.name for tie in drawn.ties if tie.name and tie.name not in names]
        changed = {frozenset((f"={t.name}", f"{t.a}>{t.b}", str(t.ohms))) for t in new}
        return frozenset(odd | changed | {frozenset((f"-{name}",)) for name in lost})
