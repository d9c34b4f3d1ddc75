"""What to probe next at an adapter without a job."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from wiremap.diagnose.adapter_nets import AdapterNets, Groups, Owed, facing, one_face
from wiremap.diagnose.as_built import BARRED
from wiremap.diagnose.astray import astray
from wiremap.diagnose.explain import Ask, first_half
from wiremap.diagnose.homes import end_of, homes_of
from wiremap.diagnose.plain_contacts import Pair, group_numbers
from wiremap.graph.walks import Joined


class AdapterProbes:
    """Chooses the next probes over the nets of an adapter."""

    def __init__(self, nets: AdapterNets) -> None:
        self.nets = nets
        self.readings = nets.readings

    def asks(self) -> Iterator[Ask]:
        """Contradictions again, combs that answered by halves, likely partners, wires astray, and
        combs that prove the rest apart, as it will be if the likely partners beep.
        """
        groups = self.readings.groups
        likely = list(self._likely(groups))
        supposed = self._supposed(groups, likely)
        every = (
            *self._again(),
            *self._halves(groups),
            *likely,
            *self._sought(groups),
            *self._combs(supposed),
        )
        done: set[tuple[frozenset[str], frozenset[str]]] = set()
        for ask in every:
            sides = (frozenset(ask.red), frozenset(ask.black))
            barred = any(self.nets.why_spared[point] == BARRED for point in (*ask.red, *ask.black))
            if sides not in done and not barred:
                done.add(sides)
                yield ask

    def _again(self) -> Iterator[Ask]:
        for contradiction in self.readings.contradictions:
            for entry in contradiction.readings:
                why = "contradicted: take it again"
                yield Ask(red=entry.red, black=entry.black, why=why, again=True)

    def _halves(self, groups: Groups) -> Iterator[Ask]:
        """Half of each comb that answered, of the contacts that may have done so."""
        net = group_numbers(groups)
        proven_apart = self.readings.apart(groups)
        for comb in self.nets.unclear(groups):
            red = _suspects(comb.red, comb.black, net, proven_apart)
            black = _suspects(comb.black, comb.red, net, proven_apart)
            if len(red) > len(black):
                red = first_half(red)
            else:
                black = first_half(black)
            why = f"something in {'+'.join(comb.red)} to {'+'.join(comb.black)} answered"
            yield Ask(red=red, black=black, why=why)

    def _likely(self, groups: Groups) -> Iterator[Ask]:
        """Contacts that the papers would join, where one has not beeped to the other side yet."""
        net = group_numbers(groups)
        proven_apart = self.readings.apart(groups)
        for home in homes_of(self.nets.pinouts):
            first, *others = home.points
            for point in others:
                nets = frozenset((net[first], net[point]))
                if len(nets) < 2 or nets in proven_apart:
                    continue
                if any(one_face(groups[number]) for number in nets):
                    why = f"likely partners by their papers ({home.grade})"
                    yield Ask(red=(first,), black=(point,), why=why)

    def _sought(self, groups: Groups) -> Iterator[Ask]:
        """For a wire that is not where it belongs, what it was not read against yet."""
        for each in astray(self.nets, groups):
            if each.sweep and each.sure:
                why = f"{each.old} belongs at {'+'.join(each.home)} and is not there: is it here?"
                yield Ask(red=(each.old,), black=each.sweep, why=why)

    def _supposed(self, groups: Groups, likely: Sequence[Ask]) -> Groups:
        """The groups as they will be if the likely partners beep."""
        joined: Joined[str] = Joined()
        for group in (*groups, *((*ask.red, *ask.black) for ask in likely)):
            for point in group[1:]:
                joined.join(group[0], point)
        found: dict[str, list[str]] = {}
        for point in self.readings.order:
            found.setdefault(joined.root(point), []).append(point)
        return tuple(map(tuple, found.values()))

    def _combs(self, groups: Groups) -> Iterator[Ask]:
        """One probe on a net, the other on all nets that it must be proven apart from."""
        left = {owed.nets: owed for owed in self.nets.owed(groups)}
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
            black.sort(key=self.readings.order.__getitem__)
            yield Ask(red=own[:1], black=tuple(black), why=self._why(own, mine[0]))

    def _order(self, group: Sequence[str], rank: int) -> tuple[bool, bool, bool, int, int]:
        """Nets of one face first, of them the machine's, of each those not probed yet; then the
        others, the most dangerous first.
        """
        place = self.readings.order[group[0]]
        if not one_face(group):
            return True, False, False, rank, place
        of_unit = end_of(group[0]) != self.nets.machine
        return False, of_unit, group[0] in self.readings.touched, 0, place

    def _why(self, group: Sequence[str], worst: Owed) -> str:
        if not one_face(group):
            return f"apart yet? {worst.why}"
        if group[0] in self.readings.touched:
            return "apart yet?"
        return "not probed yet; if it beeps, probe each half by itself"


def _touched(group: Sequence[str], own: Sequence[str]) -> str:
    """The contact of a net that a comb touches, with the other probe on a net of its own."""
    return facing(group, own) if one_face(own) else group[0]


def _suspects(
    side: Sequence[str], other: Sequence[str], net: Mapping[str, int], proven_apart: set[Pair]
) -> tuple[str, ...]:
    """One contact of each net of a comb's side that is not proven apart from all of the other."""
    found: dict[int, str] = {}
    for point in side:
        if any(frozenset((net[point], net[each])) not in proven_apart for each in other):
            found.setdefault(net[point], point)
    return tuple(found.values())
