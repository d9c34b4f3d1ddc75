"""Two or more faces and what was heard of them.

What must still be proven, and the probes for it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from wiremap.diagnose.as_built import BARRED, job_of, spared
from wiremap.diagnose.crossed_signals import cavities_of, end_of, partners
from wiremap.diagnose.explain import Ask
from wiremap.diagnose.plain_contacts import Heard, Pair, numbered, pairs_of
from wiremap.evidence import danger, near_pairs
from wiremap.evidence.probe_points import ADAPTER, nets_for
from wiremap.graph import Harness
from wiremap.graph.walks import Joined
from wiremap.model import Entry, Pinout

Groups = tuple[tuple[str, ...], ...]

LINK_RANK = 10  # of nets that only a link may join
BESIDE_RANK = 9  # of nets side by side that are not dangerous together


@dataclass(frozen=True, slots=True, kw_only=True)
class Owed:
    """Two nets that nobody has proven apart: their numbers, and why they must be.

    `rank` says how bad a touch would be, 0 the worst.
    """

    one: int
    two: int
    rank: int
    why: str

    @property
    def nets(self) -> tuple[int, int]:
        """Both numbers, the smaller first."""
        return self.one, self.two

    def other(self, net: int) -> int:
        """The net that is not this one."""
        return self.two if net == self.one else self.one


class AdapterProbes:
    """The faces of an adapter without a job, what was heard of it, and what to probe next."""

    def __init__(self, pinouts: Mapping[str, Pinout], entries: Sequence[Entry], path: str) -> None:
        cavities = cavities_of(pinouts)
        self.pinouts = pinouts
        self.path = path
        self.spared = {point: spared(cavity) for point, cavity in cavities.items()}
        self.heard = Heard(entries, cavities)
        self.machine = next(iter(pinouts))

    # -- what is owed -----------------------------------------------------------------------------

    def owed(self, groups: Groups) -> list[Owed]:
        """The pairs of nets that must be proven apart and are not, the worst first.

        A net that lies on one face only is owed silence to everything else; of the others, those
        side by side or dangerous together, as in every ring-out.
        """
        live = self._live(groups)
        found: dict[tuple[int, int], Owed] = {}
        for one, two in combinations(live, 2):
            if one_face(groups[one]) or one_face(groups[two]):
                found[one, two] = Owed(one=one, two=two, rank=LINK_RANK, why="a link may join them")
        for near in self._near(groups):
            if near.one in live and near.two in live:
                found[near.nets] = near
        far = self.heard.apart(groups)
        left = [owed for owed in found.values() if frozenset(owed.nets) not in far]
        return sorted(left, key=lambda owed: (owed.rank, owed.nets))

    def untested(self, groups: Groups, owed: Sequence[Owed]) -> int:
        """How many pairs of nets are neither proven apart nor owed."""
        known = self.heard.apart(groups) | {frozenset(each.nets) for each in owed}
        return sum(frozenset(pair) not in known for pair in combinations(self._live(groups), 2))

    def across(self, owed: Sequence[Owed], groups: Groups, net: int) -> tuple[str, ...]:
        """One contact of each net that reaches another face and is not yet apart from a net."""
        own = groups[net]
        contacts = []
        for each in owed:
            if net in each.nets:
                contact = facing(groups[each.other(net)], own)
                if end_of(contact) != end_of(own[0]):
                    contacts.append(contact)
        return tuple(sorted(contacts, key=self.heard.rank.__getitem__))

    def unclear(self, groups: Groups) -> list[Entry]:
        """The narrowest combs that answered for a reason not known yet.

        Contradictions are told as such.
        """
        net = numbered(groups)
        far = self.heard.apart(groups)
        contrary = {
            id(entry)
            for contradiction in self.heard.contradictions
            for entry in contradiction.readings
        }
        found: dict[frozenset[Pair], Entry] = {}
        for comb in self.heard.combs:
            if id(comb) not in contrary and not self.heard.accounted(comb, groups):
                found[frozenset(pairs_of(comb, net) - far)] = comb
        return [comb for pairs, comb in found.items() if not any(other < pairs for other in found)]

    def _live(self, groups: Groups) -> list[int]:
        """The nets that somebody has to probe, and may."""
        return [number for number, group in enumerate(groups) if not self._out(group)]

    def _out(self, group: Sequence[str]) -> bool:
        if any(self.spared[point] == BARRED for point in group):
            return True
        return all(self.spared[point] and point not in self.heard.touched for point in group)

    def _near(self, groups: Groups) -> Iterator[Owed]:
        """Nets side by side on a face or dangerous together."""
        net = numbered(groups)
        harness = Harness(job_of(self.pinouts, self.heard, groups, self.path))
        sections = nets_for(harness, ADAPTER).all
        for near in near_pairs(harness, ADAPTER):
            points = sections[near.one].points, sections[near.other].points
            nets = [_first_known(side, net) for side in points]
            one, two = nets
            if one is None or two is None or one == two:
                continue
            rank, why = danger(harness, *points) or (BESIDE_RANK, "side by side")
            yield Owed(one=min(one, two), two=max(one, two), rank=rank, why=why)

    # -- the next probes --------------------------------------------------------------------------

    def asks(self) -> Iterator[Ask]:
        """Contradictions again, combs parted, likely partners, combs that prove the rest apart.

        Those suppose that the likely partners beep.
        """
        groups = self.heard.groups
        likely = list(self._likely(groups))
        supposed = self._supposed(groups, likely)
        every = (*self._again(), *self._halves(groups), *likely, *self._combs(supposed))
        done: set[tuple[frozenset[str], frozenset[str]]] = set()
        for ask in every:
            sides = (frozenset(ask.red), frozenset(ask.black))
            barred = any(self.spared[point] == BARRED for point in (*ask.red, *ask.black))
            if sides not in done and not barred:
                done.add(sides)
                yield ask

    def _again(self) -> Iterator[Ask]:
        for contradiction in self.heard.contradictions:
            for entry in contradiction.readings:
                why = "contradicted: take it again"
                yield Ask(red=entry.red, black=entry.black, why=why, again=True)

    def _halves(self, groups: Groups) -> Iterator[Ask]:
        """Half of each comb that answered, of the contacts that may have done so."""
        net = numbered(groups)
        far = self.heard.apart(groups)
        for comb in self.unclear(groups):
            red = _suspects(comb.red, comb.black, net, far)
            black = _suspects(comb.black, comb.red, net, far)
            if len(red) > len(black):
                red = red[: (len(red) + 1) // 2]
            else:
                black = black[: (len(black) + 1) // 2]
            why = f"something in {'+'.join(comb.red)} to {'+'.join(comb.black)} answered"
            yield Ask(red=tuple(red), black=tuple(black), why=why)

    def _likely(self, groups: Groups) -> Iterator[Ask]:
        """Contacts that the papers would join, where one has not beeped to the other side yet."""
        net = numbered(groups)
        far = self.heard.apart(groups)
        for home in partners(self.pinouts):
            hub = home.points[0]
            for point in home.points[1:]:
                nets = frozenset((net[hub], net[point]))
                if len(nets) < 2 or nets in far:
                    continue
                if any(one_face(groups[number]) for number in nets):
                    why = f"likely partners by their papers ({home.grade})"
                    yield Ask(red=(hub,), black=(point,), why=why)

    def _supposed(self, groups: Groups, likely: Sequence[Ask]) -> Groups:
        """The groups as they will be if the likely partners beep."""
        joined: Joined[str] = Joined()
        for group in (*groups, *((*ask.red, *ask.black) for ask in likely)):
            for point in group[1:]:
                joined.join(group[0], point)
        found: dict[str, list[str]] = {}
        for point in self.heard.rank:
            found.setdefault(joined.root(point), []).append(point)
        return tuple(map(tuple, found.values()))

    def _combs(self, groups: Groups) -> Iterator[Ask]:
        """One probe on a net, the other on all that it is owed.

        Nets of one face come first, the machine's before the unit's.
        """
        left = {owed.nets: owed for owed in self.owed(groups)}
        worst: dict[int, int] = {}
        for owed in left.values():  # the worst come first
            worst.setdefault(owed.one, owed.rank)
            worst.setdefault(owed.two, owed.rank)
        for net in sorted(worst, key=lambda net: self._order(groups[net], worst[net])):
            mine = [owed for owed in left.values() if net in owed.nets]
            if not mine:
                continue
            for owed in mine:
                del left[owed.nets]
            own = groups[net]
            black = [_touched(groups[owed.other(net)], own) for owed in mine]
            black.sort(key=self.heard.rank.__getitem__)
            yield Ask(red=own[:1], black=tuple(black), why=self._why(own, mine[0]))

    def _order(self, group: Sequence[str], rank: int) -> tuple[bool, bool, bool, int, int]:
        place = self.heard.rank[group[0]]
        if not one_face(group):
            return True, False, False, rank, place
        of_unit = end_of(group[0]) != self.machine
        return False, of_unit, group[0] in self.heard.touched, 0, place

    def _why(self, group: Sequence[str], worst: Owed) -> str:
        if not one_face(group):
            return f"not proven apart yet: {worst.why}"
        if group[0] in self.heard.touched:
            return "not proven apart yet"
        return "not probed yet; if it beeps, probe each half by itself"


def one_face(*groups: Sequence[str]) -> bool:
    """Whether all these contacts are on one face."""
    return len({end_of(point) for group in groups for point in group}) == 1


def facing(group: Sequence[str], other: Sequence[str]) -> str:
    """The contact of a net to touch while the other probe is on another.

    On the other face if any.
    """
    for point in group:
        if end_of(point) != end_of(other[0]):
            return point
    return group[0]


def _touched(group: Sequence[str], own: Sequence[str]) -> str:
    """The contact of a net that a comb touches, with the other probe on a net of its own."""
    return facing(group, own) if one_face(own) else group[0]


def _first_known(points: Sequence[str], net: Mapping[str, int]) -> int | None:
    for point in points:
        if point in net:
            return net[point]
    return None


def _suspects(
    side: Sequence[str], other: Sequence[str], net: Mapping[str, int], far: set[Pair]
) -> list[str]:
    """One contact of each net of a comb's side that is not proven apart from all of the other."""
    found: dict[int, str] = {}
    for point in side:
        if any(frozenset((net[point], net[each])) not in far for each in other):
            found.setdefault(net[point], point)
    return list(found.values())
