"""What probe readings at the contacts of an adapter say, with no drawing to hold them against.

Joints, parts, what is apart, and where readings contradict one another.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise, product

import networkx as nx

from wiremap.evidence import BEEP_SURE_OHMS, SILENT_SURE_OHMS, is_short, says
from wiremap.model import Entry, EntryKind, Seen, Span
from wiremap.ringout.taken import DIODE_RANGE, seen

APART_OHMS = 1e5  # from here on two contacts are taken as apart (common practice)
REPEAT = "repeat them until each reads the same twice in a row"
EITHER_WAY = {Seen.SILENT, Seen.DIODE}  # a diode read in both directions

Groups = Sequence[Sequence[str]]  # contacts that are one metal, group by group
Pair = frozenset[int]  # two groups by their numbers


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Readings that cannot all be true of one adapter, in the order in which they are told."""

    readings: tuple[Entry, ...]

    @property
    def points(self) -> tuple[str, ...]:
        """Every contact that one of them touches."""
        touched = [point for entry in self.readings for point in (*entry.red, *entry.black)]
        return tuple(dict.fromkeys(touched))

    @property
    def told(self) -> str:
        """The contradiction in words, each reading with its place."""
        readings = "; but ".join(reading_words(entry) for entry in self.readings)
        return f"{readings}: not all of this can be true; {REPEAT}"


def reading_words(entry: Entry) -> str:
    """A reading in words with the place where it stands, or who took it and when."""
    words = f"{'+'.join(entry.red)} to {'+'.join(entry.black)}: {seen(entry)}"
    where = str(entry.place) if entry.place else " ".join(filter(None, (entry.by, entry.date)))
    return f"{words} ({where})" if where else words


class PlainReadings:
    """The readings of an adapter without a job, taken together.

    `known` are its contacts in the order in which they shall be told.  Of readings at the same
    points the last two stand if they agree, or all of them if none disagrees; otherwise none does.
    `not_counted` are those that nobody was sure of, or that tell nothing.

    `joints` are two contacts of one metal, `parts` have ohms or a diode between two contacts;
    of `silent` nothing of the red side is one metal with anything of the black side, of `combs`
    something of the red side reaches something of the black side.
    """

    def __init__(self, entries: Iterable[Entry], known: Collection[str]) -> None:
        self.order: Mapping[str, int] = {point: place for place, point in enumerate(known)}
        self.not_counted: list[Entry] = []
        self.contradictions: list[Contradiction] = []
        self.joints: list[Entry] = []
        self.parts: list[Entry] = []
        self.silent: list[Entry] = []
        self.combs: list[Entry] = []
        by_points = list(self._by_points(entries).values())
        for repeats in by_points:
            self._add_repeats(repeats)
        self.touched = frozenset(
            point
            for repeats in by_points
            for entry in repeats
            for point in (*entry.red, *entry.black)
        )
        self._metal: nx.Graph[str] = nx.Graph()
        self._metal.add_nodes_from(known)
        for entry in self.joints:
            self._metal.add_edge(entry.red[0], entry.black[0], entry=entry)
        self.groups = self._ordered(nx.connected_components(self._metal))
        self.contradictions += self._against_metal()
        self.contradictions += self._unlike_parts()
        self.contradictions += self._unlike_combs()

    def _by_points(
        self, entries: Iterable[Entry]
    ) -> Mapping[frozenset[frozenset[str]], list[Entry]]:
        """The readings that count, those at the same points together; notes the others."""
        found: dict[frozenset[frozenset[str]], list[Entry]] = {}
        for entry in entries:
            if entry.kind != EntryKind.PROBE or not entry.red or not entry.black:
                continue
            if not all(point in self.order for point in (*entry.red, *entry.black)):
                continue
            sides = (frozenset(entry.red), frozenset(entry.black))
            if _tells_nothing(entry) or sides[0] & sides[1]:
                self.not_counted.append(entry)
            else:
                found.setdefault(frozenset(sides), []).append(entry)
        return found

    def _add_repeats(self, readings: Sequence[Entry]) -> None:
        """Add what readings at the same points come to, or note a contradiction."""
        agreeing: list[Entry] = []
        for entry in reversed(readings):
            if not all(_agree(entry, other) for other in agreeing):
                break
            agreeing.append(entry)
        if len(agreeing) < min(2, len(readings)):
            last = readings[-1]
            other = next(entry for entry in reversed(readings) if not _agree(entry, last))
            self.contradictions.append(Contradiction((other, last)))
            return
        self._add(max(agreeing, key=_weight))

    def _add(self, entry: Entry) -> None:
        """Add what one reading says to those of its kind."""
        if entry.seen == Seen.SILENT or (entry.ohms is not None and entry.ohms.low >= APART_OHMS):
            self.silent.append(entry)
        elif len(entry.red) > 1 or len(entry.black) > 1:
            self.combs.append(entry)
        elif is_short(entry):
            self.joints.append(entry)
        else:
            self.parts.append(entry)

    def _ordered(self, groups: Iterable[Collection[str]]) -> tuple[tuple[str, ...], ...]:
        order = self.order.__getitem__
        inner = [tuple(sorted(group, key=order)) for group in groups]
        return tuple(sorted(inner, key=lambda group: order(group[0])))

    def _against_metal(self) -> Iterator[Contradiction]:
        """Silence, or a part, between contacts that are one metal by their beeps."""
        net = group_numbers(self.groups)
        for entry in (*self.silent, *self.parts):
            for red, black in product(entry.red, entry.black):
                if net[red] == net[black]:
                    way = nx.shortest_path(self._metal, red, black)
                    beeps = [self._metal.edges[one, two]["entry"] for one, two in pairwise(way)]
                    yield Contradiction((*beeps, entry))
                    break

    def _unlike_parts(self) -> Iterator[Contradiction]:
        """Two parts between the same two groups of contacts whose readings do not agree."""
        net = group_numbers(self.groups)
        for one, two in combinations(self.parts, 2):
            ends = [{net[entry.red[0]], net[entry.black[0]]} for entry in (one, two)]
            if ends[0] == ends[1] and not _agree(one, two):
                yield Contradiction((one, two))

    def _unlike_combs(self) -> Iterator[Contradiction]:
        """A comb that answered although all in it is proven apart."""
        net = group_numbers(self.groups)
        proven_apart = self.apart(self.groups)
        for comb in self.combs:
            pairs = pairs_of(comb, net)
            if self.is_accounted_for(comb, self.groups) or not pairs <= proven_apart:
                continue
            against = [entry for entry in self.silent if pairs_of(entry, net) & pairs]
            yield Contradiction((*against, comb))

    def apart(self, groups: Groups) -> set[Pair]:
        """Pairs of these groups, by number, that are proven to be no one metal."""
        net = group_numbers(groups)
        proven_apart: set[Pair] = set()
        for entry in (*self.silent, *self.parts):
            proven_apart |= pairs_of(entry, net)
        return proven_apart

    def is_accounted_for(self, comb: Entry, groups: Groups) -> bool:
        """Whether what a comb answered comes from a joint or a part that was read singly."""
        net = group_numbers(groups)
        if not {net[point] for point in comb.red}.isdisjoint(net[point] for point in comb.black):
            return True
        between = [entry for entry in self.parts if pairs_of(entry, net) & pairs_of(comb, net)]
        if comb.ohms is not None:
            return bool(between)
        return any(
            entry.ohms is not None and entry.ohms.low < SILENT_SURE_OHMS for entry in between
        )


def group_numbers(groups: Groups) -> dict[str, int]:
    """For each contact the number of its group."""
    return {point: number for number, group in enumerate(groups) for point in group}


def pairs_of(entry: Entry, net: Mapping[str, int]) -> set[Pair]:
    """The pairs of groups between which a reading stands.

    `net` says of which group a contact is.
    """
    reds = {net[point] for point in entry.red}
    blacks = {net[point] for point in entry.black}
    return {frozenset((red, black)) for red in reds for black in blacks if red != black}


def _tells_nothing(entry: Entry) -> bool:
    """Whether a reading is not sure, or was taken in a state that no bare adapter has."""
    if entry.state not in (None, "", DIODE_RANGE):
        return True
    return entry.ohms is None and entry.seen in (None, Seen.UNSURE)


def _weight(entry: Entry) -> tuple[bool, bool]:
    """How telling a reading is among those that agree with it: ohms first, then a diode's drop."""
    return entry.ohms is not None, entry.seen == Seen.DIODE


def _agree(one: Entry, two: Entry) -> bool:
    """Whether both readings may be of the same metal, untouched in between."""
    if one.ohms is None and two.ohms is None:
        return one.seen == two.seen or {one.seen, two.seen} == EITHER_WAY
    return _ohms(one).overlaps(_ohms(two))


def _ohms(entry: Entry) -> Span:
    """The true ohms that a reading leaves possible; of a diode's drop all where no beeper beeps."""
    return says(entry) or Span(BEEP_SURE_OHMS, math.inf)
