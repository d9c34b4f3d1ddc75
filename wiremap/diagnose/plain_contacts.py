"""What probe readings at plain contacts say, with no drawing to hold them against: joints, parts, what is apart, and where they clash."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise, product

import networkx as nx

from wiremap.evidence import BEEP_SURE_OHMS, SILENT_SURE_OHMS, is_short, says
from wiremap.model import Entry, Span
from wiremap.ringout.readings import DIODE_RANGE, seen

AGAINST = 1e5  # ohms: above this two contacts are taken as apart (common practice)
REPEAT = "repeat them until each reads the same twice in a row"


@dataclass(frozen=True, slots=True)
class Clash:
    """Readings that cannot all be true of one adapter, in the order in which they are told."""

    readings: tuple[Entry, ...]

    @property
    def points(self) -> tuple[str, ...]:
        """Every contact that one of them touches."""
        return tuple(dict.fromkeys(p for e in self.readings for p in (*e.red, *e.black)))

    @property
    def told(self) -> str:
        """The clash in words, each reading with its place."""
        return f"{'; but '.join(told(e) for e in self.readings)}: not all of this can be true; {REPEAT}"


def told(entry: Entry) -> str:
    """A reading in words with the place where it stands, or who took it and when."""
    where = str(entry.place) if entry.place else " ".join(filter(None, (entry.by, entry.date)))
    return f"{'+'.join(entry.red)} to {'+'.join(entry.black)}: {seen(entry)}" + (
        f" ({where})" if where else ""
    )


class Heard:
    """The readings of an adapter without a job, taken together.

    `known` are its contacts in the order in which they shall be told.  Of readings at the same points the last two stand if
    they agree, or all of them if none disagrees; otherwise none does.  What is not sure counts as nothing.
    """

    def __init__(self, entries: Iterable[Entry], known: Collection[str]) -> None:
        self.rank: Mapping[str, int] = {a: i for i, a in enumerate(known)}
        self.idle: list[Entry] = []
        self.clashes: list[Clash] = []
        self.joints: list[Entry] = []  # two contacts are one metal
        self.parts: list[Entry] = []  # ohms or a diode between two contacts
        self.silent: list[
            Entry
        ] = []  # nothing of the red side is one metal with anything of the black side
        self.combs: list[
            Entry
        ] = []  # something of the red side reaches something of the black side
        heard = self._by_points(entries).values()
        for readings in heard:
            self._stand(readings)
        self.touched = frozenset(
            p for readings in heard for e in readings for p in (*e.red, *e.black)
        )
        self._metal: nx.Graph[str] = nx.Graph()
        self._metal.add_nodes_from(known)
        for e in self.joints:
            self._metal.add_edge(e.red[0], e.black[0], entry=e)
        self.groups: tuple[tuple[str, ...], ...] = self._ordered(
            nx.connected_components(self._metal)
        )
        self._against_metal()

    def _by_points(
        self, entries: Iterable[Entry]
    ) -> Mapping[frozenset[frozenset[str]], list[Entry]]:
        found: dict[frozenset[frozenset[str]], list[Entry]] = {}
        for e in entries:
            points = (*e.red, *e.black)
            if (
                e.kind != "probe"
                or not e.red
                or not e.black
                or not all(p in self.rank for p in points)
            ):
                continue
            sides = (frozenset(e.red), frozenset(e.black))
            nothing = e.seen in (None, "unsure") and e.ohms is None
            if nothing or e.state not in (None, "", DIODE_RANGE) or sides[0] & sides[1]:
                self.idle.append(e)
            else:
                found.setdefault(frozenset(sides), []).append(e)
        return found

    def _stand(self, readings: Sequence[Entry]) -> None:
        tail: list[Entry] = []
        for e in reversed(readings):
            if not all(_agree(e, other) for other in tail):
                break
            tail.append(e)
        if len(tail) < min(2, len(readings)):
            last = readings[-1]
            other = next(e for e in reversed(readings) if not _agree(e, last))
            self.clashes.append(Clash((other, last)))
            return
        one = max(
            tail, key=lambda e: (e.ohms is not None, e.seen == "diode")
        )  # the most telling of them, the last such
        single = len(one.red) == len(one.black) == 1
        apart = one.seen == "silent" or (one.ohms is not None and one.ohms.low >= AGAINST)
        short = is_short(one)
        (
            self.silent
            if apart
            else self.combs
            if not single
            else self.joints
            if short
            else self.parts
        ).append(one)

    def _ordered(self, groups: Iterable[Collection[str]]) -> tuple[tuple[str, ...], ...]:
        inner = (tuple(sorted(g, key=self.rank.__getitem__)) for g in groups)
        return tuple(sorted(inner, key=lambda g: self.rank[g[0]]))

    def _against_metal(self) -> None:
        """Silence, or a part, between contacts that are one metal by their beeps; two values between the same two metals."""
        net = {a: i for i, g in enumerate(self.groups) for a in g}
        for e in (*self.silent, *self.parts):
            met = next(((a, b) for a, b in product(e.red, e.black) if net[a] == net[b]), None)
            if met is not None:
                way = nx.shortest_path(self._metal, *met)
                self.clashes.append(
                    Clash((*(self._metal.edges[a, b]["entry"] for a, b in pairwise(way)), e))
                )
        for one, two in combinations(self.parts, 2):
            ends = [{net[e.red[0]], net[e.black[0]]} for e in (one, two)]
            if ends[0] == ends[1] and not _agree(one, two):
                self.clashes.append(Clash((one, two)))
        far = self.apart(self.groups)
        for e in self.combs:
            if not self.accounted(e, self.groups) and pairs_of(e, net) <= far:
                self.clashes.append(
                    Clash((*(s for s in self.silent if pairs_of(s, net) & pairs_of(e, net)), e))
                )

    def apart(self, groups: Sequence[Sequence[str]]) -> set[frozenset[int]]:
        """Pairs of these groups, by number, that are proven to be no one metal."""
        net = {a: i for i, g in enumerate(groups) for a in g}
        return {pair for e in (*self.silent, *self.parts) for pair in pairs_of(e, net)}

    def accounted(self, comb: Entry, groups: Sequence[Sequence[str]]) -> bool:
        """Whether what a comb answered comes from a joint or a part that was read singly."""
        net = {a: i for i, g in enumerate(groups) for a in g}
        if not {net[a] for a in comb.red}.isdisjoint(net[b] for b in comb.black):
            return True
        between = [e for e in self.parts if pairs_of(e, net) & pairs_of(comb, net)]
        return any(
            comb.ohms is not None or (e.ohms is not None and e.ohms.low < SILENT_SURE_OHMS)
            for e in between
        )


def pairs_of(entry: Entry, net: Mapping[str, int]) -> set[frozenset[int]]:
    """The pairs of groups between which a reading stands; `net` says of which group a contact is."""
    reds, blacks = ({net[p] for p in side} for side in (entry.red, entry.black))
    return {frozenset((i, j)) for i in reds for j in blacks if i != j}


def _agree(one: Entry, two: Entry) -> bool:
    """Whether both readings may be of the same metal, untouched in between."""
    if one.ohms is None and two.ohms is None:
        return one.seen == two.seen or {one.seen, two.seen} == {"silent", "diode"}
    a, b = _says(one), _says(two)
    return a.overlaps(b)


def _says(entry: Entry) -> Span:
    return says(entry) or Span(BEEP_SURE_OHMS, math.inf)
