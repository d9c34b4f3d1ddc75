"""The nets of an adapter without a job by its readings, and which of them must be proven apart."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from wiremap.diagnose.as_built import BARRED, job_of, why_spared
from wiremap.diagnose.homes import cavities_of, end_of
from wiremap.diagnose.plain_contacts import Pair, PlainReadings, group_numbers, pairs_of
from wiremap.evidence import danger, near_pairs
from wiremap.evidence.probe_points import ADAPTER, nets_for
from wiremap.graph import Harness
from wiremap.model import Entry, Pinout

Groups = tuple[tuple[str, ...], ...]

# How bad a touch would be, behind the ranks of `evidence.danger`, of which 0 is the worst.
BESIDE_RANK = 9  # of nets side by side that are not dangerous together
LINK_RANK = 10  # of nets that only a wire inside the adapter may join


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


class AdapterNets:
    """The faces of an adapter without a job, its readings, and what is not proven apart yet."""

    def __init__(self, pinouts: Mapping[str, Pinout], entries: Sequence[Entry], path: str) -> None:
        cavities = cavities_of(pinouts)
        self.pinouts = pinouts
        self.path = path
        self.why_spared = {point: why_spared(cavity) for point, cavity in cavities.items()}
        self.readings = PlainReadings(entries, cavities)
        self.machine = next(iter(pinouts))

    def owed(self, groups: Groups) -> list[Owed]:
        """The pairs of nets that must be proven apart and are not, the worst first.

        A net that lies on one face only is owed silence to everything else, as a wire inside the
        adapter may join it with any contact that the papers do not pair; of the others, those side
        by side or dangerous together, as in every ring-out.
        """
        to_probe = self._to_probe(groups)
        found: dict[tuple[int, int], Owed] = {}
        for one, two in combinations(to_probe, 2):
            if one_face(groups[one]) or one_face(groups[two]):
                found[one, two] = Owed(one=one, two=two, rank=LINK_RANK, why="a link may join them")
        for near in self._near(groups):
            if near.one in to_probe and near.two in to_probe:
                found[near.nets] = near
        proven_apart = self.readings.apart(groups)
        left = [owed for owed in found.values() if frozenset(owed.nets) not in proven_apart]
        return sorted(left, key=lambda owed: (owed.rank, owed.nets))

    def untested(self, groups: Groups, owed: Sequence[Owed]) -> int:
        """How many pairs of nets are neither proven apart nor owed."""
        known = self.readings.apart(groups) | {frozenset(each.nets) for each in owed}
        return sum(frozenset(pair) not in known for pair in combinations(self._to_probe(groups), 2))

    def across(self, owed: Sequence[Owed], groups: Groups, net: int) -> tuple[str, ...]:
        """One contact of each net that reaches another face and is not yet apart from a net."""
        own = groups[net]
        contacts = []
        for each in owed:
            if net in each.nets:
                contact = facing(groups[each.other(net)], own)
                if end_of(contact) != end_of(own[0]):
                    contacts.append(contact)
        return tuple(sorted(contacts, key=self.readings.order.__getitem__))

    def unclear(self, groups: Groups) -> list[Entry]:
        """The narrowest combs that answered for a reason not known yet.

        Those of a contradiction are left out: it is told by itself.
        """
        net = group_numbers(groups)
        proven_apart = self.readings.apart(groups)
        contrary = {
            id(entry)
            for contradiction in self.readings.contradictions
            for entry in contradiction.readings
        }
        found: dict[frozenset[Pair], Entry] = {}
        for comb in self.readings.combs:
            if id(comb) not in contrary and not self.readings.is_accounted_for(comb, groups):
                found[frozenset(pairs_of(comb, net) - proven_apart)] = comb
        return [comb for pairs, comb in found.items() if not any(other < pairs for other in found)]

    def _to_probe(self, groups: Groups) -> list[int]:
        """The nets that somebody has to probe, and may."""
        return [number for number, group in enumerate(groups) if not self._is_left_alone(group)]

    def _is_left_alone(self, group: Sequence[str]) -> bool:
        if any(self.why_spared[point] == BARRED for point in group):
            return True
        return all(self.why_spared[point] and point not in self.readings.touched for point in group)

    def _near(self, groups: Groups) -> Iterator[Owed]:
        """Nets side by side on a face or dangerous together."""
        net = group_numbers(groups)
        harness = Harness(job_of(self.pinouts, self.readings, groups, self.path))
        sections = nets_for(harness, ADAPTER).all
        for near in near_pairs(harness, ADAPTER):
            points = sections[near.one].points, sections[near.other].points
            nets = [_first_known(side, net) for side in points]
            one, two = nets
            if one is None or two is None or one == two:
                continue
            rank, why = danger(harness, *points) or (BESIDE_RANK, "side by side")
            yield Owed(one=min(one, two), two=max(one, two), rank=rank, why=why)


def one_face(*groups: Sequence[str]) -> bool:
    """Whether all these contacts are on one face."""
    return len({end_of(point) for group in groups for point in group}) == 1


def facing(group: Sequence[str], other: Sequence[str]) -> str:
    """The contact of a net to touch while the other probe is on the `other` net.

    The first that is not at the other probe's face, else the first.
    """
    for point in group:
        if end_of(point) != end_of(other[0]):
            return point
    return group[0]


def _first_known(points: Sequence[str], net: Mapping[str, int]) -> int | None:
    """The net of the first point that is in one; the legs of parts are in none."""
    for point in points:
        if point in net:
            return net[point]
    return None
