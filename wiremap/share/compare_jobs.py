"""Two jobs told apart by what they mean; names of ends and circuits count for nothing."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

from wiremap.base import only
from wiremap.model import Address, Circuit, End, Entry, EntryKind, Extra, Fed, Job, NotJoined
from wiremap.share.canonical import plain, plain_pinout
from wiremap.share.changes import (
    NOTHING,
    Change,
    ChangeKind,
    Subject,
    field_changes,
    value_change,
    wire_changes,
)
from wiremap.share.compare_pinouts import pinout_changes

END_KINDS = {
    "kind": ChangeKind.END,
    "side": ChangeKind.END,
    "mated": ChangeKind.END,
    "tail_mm": ChangeKind.LENGTH,
    "switches": ChangeKind.CODING,
}
CIRCUIT_KINDS = {
    "joint": ChangeKind.WIRE,
    "length_mm": ChangeKind.LENGTH,
    "at_mm": ChangeKind.LENGTH,
    "supported": ChangeKind.WIRE,
}
EXTRA_KINDS = {
    "detail": ChangeKind.EXTRA,
    "ohms": ChangeKind.EXTRA,
    "watts": ChangeKind.EXTRA,
    "at_mm": ChangeKind.EXTRA,
}
SUBJECT_KEYS = ("kind", "about", "subject", "red", "black")  # keys of an entry told as its subject
JOB_KINDS = {
    "withdrawn": ChangeKind.WITHDRAWN,
    "title": ChangeKind.NAME,
    "id": ChangeKind.NAME,
    "revision": ChangeKind.NOTE,
}
ENTRY_KINDS = {EntryKind.ANSWER: ChangeKind.ANSWER, EntryKind.ACCEPT: ChangeKind.ACCEPT}
LIKENESSES = 5  # as many as `alike` in `match_ends` gives
Points = frozenset[str]  # of one circuit


def job_changes(old: Job, new: Job) -> Iterator[Change]:
    """Every difference of two jobs."""
    ends = match_ends(old, new)
    extras = _match_extras(old, new)
    names = {**ends, **extras}
    yield from _lone_end_changes(old, new, ends)
    yield from _lone_extra_changes(old, new, extras)
    for was, now in sorted(ends.items()):
        yield from _end_changes(old.ends[was], new.ends[now], now)
    for was, now in sorted(extras.items()):
        yield from _extra_changes(old.extras[was], new.extras[now])
    before = Renamed(old, names)
    after = Renamed(new, {})
    yield from _circuit_changes(before, after)
    yield from _left_out_changes(before, after)
    if plain(old.supply) != plain(new.supply):
        yield value_change(ChangeKind.SUPPLY, (), "the supply", old.supply, new.supply)
    if plain(old.surroundings) != plain(new.surroundings):
        yield value_change(
            ChangeKind.SUPPLY, (), "the surroundings", old.surroundings, new.surroundings
        )
    yield from field_changes(JOB_KINDS, (), old, new)
    yield from _layout_changes(before, after)
    yield from _notebook_changes(before, after)


@dataclass(frozen=True)
class Renamed:
    """A job seen with the names that the newer one gives to its ends and extras."""

    job: Job
    names: Mapping[str, str]

    def address(self, written: Address) -> Address:
        """An address under its newer name."""
        return Address(self.name(written.end), written.cavity)

    def name(self, owner: str) -> str:
        """The newer name of an end or extra."""
        return self.names.get(owner, owner)

    def points(self, circuit: Circuit) -> Points:
        """What a circuit joins."""
        return frozenset(map(self.address, circuit.join))

    @cached_property
    def circuits(self) -> dict[Points, Circuit]:
        """The circuits by what they join."""
        return {self.points(circuit): circuit for circuit in self.job.circuits}

    @cached_property
    def joined(self) -> dict[str, Points]:
        """What each joined point is joined with, itself included."""
        return {point: points for points in self.circuits for point in points}

    @cached_property
    def called(self) -> dict[str, str]:
        """Each circuit's id spelt by its points, since ids count for nothing."""
        return {circuit.id: "+".join(sorted(points)) for points, circuit in self.circuits.items()}


def match_ends(old: Job, new: Job) -> dict[str, str]:
    """Which end of the old job is which of the new: a name of the new one by that of the old.

    Ends of one connector are matched whatever their names, then those of one title, then those of
    one name.
    """
    was = {name: plain_pinout(end.pinout) for name, end in old.ends.items()}
    now = {name: plain_pinout(end.pinout) for name, end in new.ends.items()}

    def alike(one: str, two: str) -> tuple[bool, ...]:
        """What speaks for two ends being one, the strongest first."""
        a = old.ends[one]
        b = new.ends[two]
        name = one == two
        connector = was[one] == now[two]
        role = (a.kind, a.side) == (b.kind, b.side)
        title = a.pinout.title == b.pinout.title
        return name and connector, connector and role, connector, title and role, name

    matched: dict[str, str] = {}
    for strength in range(LIKENESSES):
        for one in sorted(old.ends.keys() - matched.keys()):
            free = sorted(new.ends.keys() - set(matched.values()))
            like = [two for two in free if alike(one, two)[strength]]
            if like:
                matched[one] = one if one in like else like[0]
    return matched


def _match_extras(old: Job, new: Job) -> dict[str, str]:
    """Which extra is which: the same name and kind, or the only one of its kind left."""
    matched = {}
    for name, extra in old.extras.items():
        namesake = new.extras.get(name)
        if namesake is not None and namesake.kind == extra.kind:
            matched[name] = name
    for name, extra in old.extras.items():
        if name in matched:
            continue
        taken = matched.values()
        free = [each.name for each in new.extras.values() if each.kind == extra.kind]
        left = only(each for each in free if each not in taken)
        if left is not None:
            matched[name] = left
    return matched


def _lone_end_changes(old: Job, new: Job, ends: Mapping[str, str]) -> Iterator[Change]:
    for name in sorted(old.ends.keys() - ends.keys()):
        yield value_change(ChangeKind.END, (name,), "the end", old.ends[name].kind, None)
    for name in sorted(new.ends.keys() - set(ends.values())):
        yield value_change(ChangeKind.END, (name,), "the end", None, new.ends[name].kind)


def _lone_extra_changes(old: Job, new: Job, extras: Mapping[str, str]) -> Iterator[Change]:
    for name in sorted(old.extras.keys() - extras.keys()):
        extra = old.extras[name]
        yield value_change(ChangeKind.EXTRA, (name,), extra.kind, _extra_words(extra), None)
    for name in sorted(new.extras.keys() - set(extras.values())):
        extra = new.extras[name]
        yield value_change(ChangeKind.EXTRA, (name,), extra.kind, None, _extra_words(extra))


def _extra_words(extra: Extra) -> object:
    return extra.detail or extra.ohms or "there"


def _end_changes(old: End, new: End, name: str) -> Iterator[Change]:
    yield from pinout_changes(old.pinout, new.pinout, name)
    yield from field_changes(END_KINDS, (name,), old, new)
    for cavity in sorted(old.fed.keys() | new.fed.keys()):
        yield from _feed_changes(f"{name}.{cavity}", old.fed.get(cavity), new.fed.get(cavity))


def _feed_changes(point: str, old: Fed | None, new: Fed | None) -> Iterator[Change]:
    was = plain(old) or {}
    now = plain(new) or {}
    amps_was = was.pop("fuse_amps", None)
    amps_now = now.pop("fuse_amps", None)
    if amps_was != amps_now:
        kind = _fuse_change(amps_was, amps_now)
        yield value_change(kind, (point,), "the fuse before it, in A", amps_was, amps_now)
    yield from _if_differs(ChangeKind.SUPPLY, (point,), "how it is fed", was, now)


def _fuse_change(old: float | None, new: float | None) -> ChangeKind:
    """The kind of change of a fuse: a smaller one is told apart."""
    smaller = old is not None and new is not None and new < old
    return ChangeKind.FUSE_DOWN if smaller else ChangeKind.FUSE_UP


def _extra_changes(old: Extra, new: Extra) -> Iterator[Change]:
    kinds = EXTRA_KINDS
    if not old.is_fuse:
        kinds = {**EXTRA_KINDS, "amps": ChangeKind.EXTRA}
    elif (old.amps, old.size_wanted) != (new.amps, new.size_wanted):
        kind = _fuse_change(old.amps, new.amps)
        yield value_change(
            kind, (new.name,), "the fuse in A", old.amps or "size", new.amps or "size"
        )
    yield from field_changes(kinds, (new.name,), old, new)


def _circuit_changes(old: Renamed, new: Renamed) -> Iterator[Change]:
    """Which points are joined now and which no longer are; then what differs of like circuits.

    Of a circuit whose points the other job joins within a larger one, the larger one is told.
    """
    for points in _only_in(new, old):
        parts = _parts(points, old)
        if len(parts) > 1:
            words = f"{' - '.join(sorted(points))} are joined now"
            yield Change(
                ChangeKind.JOINED,
                tuple(sorted(points)),
                " | ".join(parts),
                _points_text(points),
                words,
            )
    for points in _only_in(old, new):
        parts = _parts(points, new)
        if len(parts) > 1:
            words = f"{' - '.join(sorted(points))} are no longer joined"
            yield Change(
                ChangeKind.PARTED,
                tuple(sorted(points)),
                _points_text(points),
                " | ".join(parts),
                words,
            )
    for points in sorted(old.circuits.keys() & new.circuits.keys(), key=sorted):
        yield from _one_circuit_changes(old, new, points)


def _only_in(one: Renamed, other: Renamed) -> list[Points]:
    return sorted(one.circuits.keys() - other.circuits.keys(), key=sorted)


def _parts(points: Points, job: Renamed) -> list[str]:
    """Points as a job joins them: each group in one text."""
    groups = {job.joined.get(point, frozenset((point,))) & points for point in points}
    return [_points_text(group) for group in sorted(groups, key=sorted)]


def _points_text(points: Iterable[str]) -> str:
    """Points in one text, in one order."""
    return "+".join(sorted(points))


def _one_circuit_changes(old: Renamed, new: Renamed, points: Points) -> Iterator[Change]:
    was = old.circuits[points]
    now = new.circuits[points]
    who = (now.id,)
    yield from wire_changes(who, was.wire, now.wire)
    yield from field_changes(CIRCUIT_KINDS, who, was, now)
    legs = _legs(old, was), _legs(new, now)
    yield from _if_differs(ChangeKind.WIRE, who, "the wire at each point", *legs)
    settled = _settlement(old.job, was), _settlement(new.job, now)
    yield from _if_differs(ChangeKind.SETTLED, who, "grade and settlement", *settled)


def _if_differs(kind: ChangeKind, who: Subject, what: str, was: Any, now: Any) -> Iterator[Change]:
    """A change of this kind where two values differ."""
    if was != now:
        yield value_change(kind, who, what, was, now)


def _legs(job: Renamed, circuit: Circuit) -> dict[str, Any]:
    return {job.address(point): plain(leg) for point, leg in circuit.legs.items()}


def _settlement(job: Job, circuit: Circuit) -> list[str]:
    """A circuit's grade, and who has settled it when."""
    signatures = sorted(
        (each.by, each.date) for each in job.confirmed if each.circuit == circuit.id
    )
    return [circuit.grade or "none", *map(str, signatures)]


def _left_out_changes(old: Renamed, new: Renamed) -> Iterator[Change]:
    """Points that are left out, but for those told already as joined or parted."""
    was_left = {old.address(point): left for point, left in old.job.not_joined.items()}
    for point in sorted(was_left.keys() | new.job.not_joined.keys()):
        was = was_left.get(point)
        now = new.job.not_joined.get(point)
        newly_left = was is None and point in old.joined
        newly_joined = now is None and point in new.joined
        if newly_left or newly_joined:
            continue
        yield from _if_differs(
            ChangeKind.NOT_JOINED, (point,), "left out", _why_left_out(was), _why_left_out(now)
        )


def _why_left_out(left: NotJoined | None) -> dict[str, Any] | None:
    return {"why": left.why, "treat": left.treat} if left else None


def _layout_changes(old: Renamed, new: Renamed) -> Iterator[Change]:
    yield from _if_differs(ChangeKind.LENGTH, (), "the runs", _runs(old), _runs(new))
    yield from _if_differs(ChangeKind.PAIR, (), "the twists", _twists(old), _twists(new))


def _runs(named: Renamed) -> list[str]:
    runs = []
    for run in named.job.runs:
        ends = sorted((named.name(run.a), named.name(run.b)))
        runs.append(json.dumps([ends, run.mm, plain(run.keep_out)]))
    return sorted(runs)


def _twists(named: Renamed) -> list[str]:
    twists = []
    for twist in named.job.twists.values():
        circuits = sorted(named.called.get(each, each) for each in twist.circuits)
        drain = named.called.get(twist.drain or "", twist.drain)
        twists.append(json.dumps([circuits, drain, twist.mm, twist.untwisted_mm]))
    return sorted(twists)


def _notebook_changes(old: Renamed, new: Renamed) -> Iterator[Change]:
    """Entries that only one of the two has: answers and signatures weigh, the rest is told."""
    was = _entries_told(old)
    now = _entries_told(new)
    for entry in sorted((was - now).keys()):
        words = f"{entry.whom}: in the old notebooks only: {entry.text}"
        yield Change(entry.kind, entry.subject, entry.text, NOTHING, words)
    for entry in sorted((now - was).keys()):
        words = f"{entry.whom}: in the new notebooks only: {entry.text}"
        yield Change(entry.kind, entry.subject, NOTHING, entry.text, words)


class _EntryTold(NamedTuple):
    """The kind of change that an entry is, whom it concerns, and what it says."""

    kind: ChangeKind
    subject: Subject
    text: str

    @property
    def whom(self) -> str:
        """Whom it concerns, in words."""
        return " - ".join(self.subject)


def _entries_told(named: Renamed) -> Counter[_EntryTold]:
    return Counter(_as_entry_told(named, entry) for entry in named.job.entries)


def _as_entry_told(named: Renamed, entry: Entry) -> _EntryTold:
    kind = ENTRY_KINDS.get(entry.kind, ChangeKind.NOTE)
    points = (*entry.subject, *entry.red, *entry.black)
    if entry.about:
        points = (entry.about,)
    parts = []
    for name, value in sorted(plain(entry).items()):
        if name not in SUBJECT_KEYS and value not in (None, "", []):
            parts.append(f"{name} {value}")
    subject = tuple(named.address(Address.read(point)) for point in points) or (entry.kind,)
    return _EntryTold(kind, subject, f"{entry.kind}: {', '.join(parts)}")
