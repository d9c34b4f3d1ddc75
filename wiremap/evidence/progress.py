"""How much has been surveyed, how much has been rung out."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from wiremap.evidence.expected import refused
from wiremap.evidence.measured_contacts import measured_contacts
from wiremap.evidence.meter import SHORT_OHMS, fresh, is_short, is_silent, says_parted
from wiremap.evidence.probe_points import is_hole, kind_of, nets_for, reachable
from wiremap.evidence.touching import NearPair, face_neighbours, meeting_pairs, near_pairs
from wiremap.graph import Harness, Point
from wiremap.graph.walks import Joined
from wiremap.model import Entry, EntryKind, Seen

Pair = tuple[int, int]  # two nets by their number, the smaller first


class Count(NamedTuple):
    """How many are done, and of how many."""

    done: int
    of: int

    @property
    def all_done(self) -> bool:
        """Whether there are some and none is left."""
        return self.done >= self.of > 0

    def __str__(self) -> str:
        return f"{self.done} of {self.of}"


NONE_YET = Count(0, 0)


class Progress(NamedTuple):
    """The machine's cavities that are surveyed, and the nets that are rung out."""

    surveyed: Count
    rung_out: Count


class MayTouch(NamedTuple):
    """The pairs of nets that must be found apart, and those that meet outside the harness."""

    near: tuple[NearPair, ...]
    meeting: tuple[Pair, ...]


def may_touch(harness: Harness) -> MayTouch:
    """The pairs of a harness; they stay the same while only readings come in."""
    kind = kind_of(harness)
    return MayTouch(tuple(near_pairs(harness, kind)), tuple(meeting_pairs(harness, kind)))


def progress_of(harness: Harness, pairs: Callable[[Harness], MayTouch] = may_touch) -> Progress:
    """How far the settled job behind a harness has come.

    `pairs` is asked only once beeps are there: costly on a large job.
    """
    measured, countable = surveyed_cavities(harness)
    done, nets = rung_out_nets(harness, pairs)
    return Progress(Count(len(measured), len(countable)), Count(len(done), len(nets)))


def surveyed_cavities(harness: Harness) -> tuple[list[str], list[str]]:
    """The machine-side cavities that a reading stands behind, and all that ought to have one."""
    read = measured_contacts(harness.job)
    measured: list[str] = []
    countable: list[str] = []
    for point in harness.points.values():
        if not _is_surveyed(harness, point):
            continue
        countable.append(point.address)
        if point.address in read:
            measured.append(point.address)
    return measured, countable


def _is_surveyed(harness: Harness, point: Point) -> bool:
    """Whether a contact belongs to the survey; of a tap only what is joined does."""
    if point.cavity is None or not point.is_machine:
        return False
    if point.cavity.unused or refused(point.cavity):
        return False
    return not point.is_tap or bool(harness.circuits_at(point.address))


def rung_out_nets(
    harness: Harness, pairs: Callable[[Harness], MayTouch] = may_touch
) -> tuple[list[str], list[str]]:
    """Names of the nets that are rung out, and of all that can be.

    A net is rung out when fresh beeps join all its points within reach, and a fresh reading has
    found it apart from every net that lies beside it or is dangerous together with it; from one
    that it meets outside the harness while the two were parted there.
    """
    kind = kind_of(harness)
    nets = nets_for(harness, kind)
    index = {a: i for i, net in enumerate(nets) for a in net.points}
    members: dict[int, list[str]] = defaultdict(list)
    for address in reachable(harness, kind):
        members[index[address]].append(address)
    countable = [i for i, points in sorted(members.items()) if len(points) > 1]
    seen = _shown_by(harness, index)
    done = [i for i in countable if seen.one_metal(members[i])]
    if done:
        empty = {i for i, points in members.items() if any(is_hole(harness, a) for a in points)}
        done = _apart_from_all(pairs(harness), seen, done, empty)
    names = [net.name for net in nets]
    return [names[i] for i in done], [names[i] for i in countable]


@dataclass(slots=True)
class _Shown:
    """What the readings showed: points joined, nets apart, nets apart while parted outside."""

    joined: Joined[str] = field(default_factory=Joined)
    apart: set[Pair] = field(default_factory=set)
    parted_apart: Joined[int] = field(default_factory=Joined)

    def one_metal(self, points: list[str]) -> bool:
        """Whether beeps join all of these points."""
        return len({self.joined.root(point) for point in points}) == 1


def _apart_from_all(
    pairs: MayTouch, seen: _Shown, through: list[int], empty: Collection[int]
) -> list[int]:
    """Those of the nets that were found apart from every net that they might touch.

    Not from `empty` nets: a cavity without a contact is read against nothing.
    """
    near: dict[int, set[Pair]] = defaultdict(set)
    for pair in pairs.near:
        if pair.one in empty or pair.other in empty:
            continue
        near[pair.one].add((pair.one, pair.other))
        near[pair.other].add((pair.one, pair.other))
    done = [i for i in through if near[i] <= seen.apart]
    if not done:
        return []
    for i, j in pairs.meeting:
        if seen.parted_apart.root(i) != seen.parted_apart.root(j):
            done = [n for n in done if n not in (i, j)]
    return done


def _shown_by(harness: Harness, index: Mapping[str, int]) -> _Shown:
    """What the last readings of a harness show; `index` gives the net of a point."""
    seen = _Shown()
    for entry, parted in _last_readings(harness, index):
        if parted:
            if entry.seen == Seen.SILENT or _beyond_short(entry):
                for i, j in _net_pairs(entry, index):
                    seen.parted_apart.join(i, j)
        elif _on_one_net(entry, index):
            if is_short(entry):
                seen.joined.join(*entry.red, *entry.black)
        elif entry.seen in (Seen.SILENT, Seen.DIODE) or _beyond_short(entry):
            seen.apart |= {(min(pair), max(pair)) for pair in _net_pairs(entry, index)}
    return seen


def _last_readings(harness: Harness, index: Mapping[str, int]) -> list[tuple[Entry, bool]]:
    """The last fresh reading at each pair of probes, and whether it was taken parted outside.

    A repair voids what was read before at the nets that it touched, and a joint that was silent
    what was read before at its net.
    """
    last: dict[tuple[frozenset[frozenset[str]], bool], Entry] = {}
    for entry in harness.job.entries:
        if entry.kind == EntryKind.MENDED:
            touched = _touched(harness, index, entry)
            last = {k: e for k, e in last.items() if touched.isdisjoint(_nets(e, index))}
        if entry.kind != EntryKind.PROBE:
            continue
        parted = says_parted(entry)
        if entry.seen == Seen.UNSURE or not fresh(harness, entry):
            continue
        if entry.state is None or parted:
            probes = frozenset((frozenset(entry.red), frozenset(entry.black)))
            if _on_one_net(entry, index) and is_silent(entry):
                net = _nets(entry, index)
                last = {k: e for k, e in last.items() if net.isdisjoint(_nets(e, index))}
            last[probes, parted] = entry
    return [(entry, parted) for (_, parted), entry in last.items()]


def _touched(harness: Harness, index: Mapping[str, int], entry: Entry) -> set[int]:
    """The nets that a repair touched: those of its contacts, and of those beside them on a face."""
    points: set[str] = set(entry.points)
    for end in harness.job.ends.values():
        for one, two in face_neighbours(end.pinout):
            pair = {f"{end.name}.{one}", f"{end.name}.{two}"}
            if not pair.isdisjoint(entry.points):
                points |= pair
    return {index[p] for p in points if p in index}


def _nets(entry: Entry, index: Mapping[str, int]) -> set[int]:
    return {index[p] for p in (*entry.red, *entry.black) if p in index}


def _beyond_short(entry: Entry) -> bool:
    return entry.ohms is not None and entry.ohms.low > SHORT_OHMS


def _on_one_net(entry: Entry, index: Mapping[str, int]) -> bool:
    match entry.red, entry.black:
        case [red], [black]:
            return index.get(red) == index.get(black)
    return False


def _net_pairs(entry: Entry, index: Mapping[str, int]) -> Iterator[Pair]:
    for a in entry.red:
        for b in entry.black:
            yield index[a], index[b]
