"""Two jobs told apart by what they mean; names of ends and circuits count for nothing."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

from wiremap.model import Address, Circuit, End, Entry, Extra, Fed, Job, NotJoined
from wiremap.share.canonical import plain, plain_pinout
from wiremap.share.changes import Change, Subject, change, differing, wires
from wiremap.share.compare_pinouts import pinouts

END_KINDS = {
    "kind": "end",
    "side": "end",
    "mated": "end",
    "tail_mm": "length",
    "switches": "coding",
}
CIRCUIT_KINDS = {"joint": "wire", "length_mm": "length", "at_mm": "length", "supported": "wire"}
EXTRA_KINDS = {"detail": "extra", "ohms": "extra", "watts": "extra", "at_mm": "extra"}
OF_SUBJECT = ("kind", "about", "subject", "red", "black")  # keys of an entry told as its subject
JOB_KINDS = {"withdrawn": "withdrawn", "title": "name", "id": "name", "revision": "note"}
LIKENESSES = 5  # degrees in which two ends may be alike: as many as `alike` tells
Points = frozenset[str]


def jobs(old: Job, new: Job) -> Iterator[Change]:
    """Every difference of two jobs."""
    ends = match_ends(old, new)
    extras = _match_extras(old, new)
    names = {**ends, **extras}
    yield from _lone_ends(old, new, ends)
    yield from _lone_extras(old, new, extras)
    for was, now in sorted(ends.items()):
        yield from _ends(old.ends[was], new.ends[now], now)
    for was, now in sorted(extras.items()):
        yield from _extra(old.extras[was], new.extras[now])
    before = Renamed(old, names)
    after = Renamed(new, {})
    yield from _circuits(before, after)
    yield from _left(before, after)
    if plain(old.supply) != plain(new.supply):
        yield change("supply", (), "the supply", old.supply, new.supply)
    if plain(old.surroundings) != plain(new.surroundings):
        yield change("supply", (), "the surroundings", old.surroundings, new.surroundings)
    yield from differing(JOB_KINDS, (), old, new)
    yield from _layout(before, after)
    yield from _notebooks(before, after)


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
    """Which end of the old job is which of the new.

    The same connector whatever its name, then the same title, then the same name.
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

    found: dict[str, str] = {}
    for strength in range(LIKENESSES):
        for one in sorted(old.ends.keys() - found.keys()):
            free = sorted(new.ends.keys() - set(found.values()))
            fit = [two for two in free if alike(one, two)[strength]]
            if fit:
                found[one] = one if one in fit else fit[0]
    return found


def _match_extras(old: Job, new: Job) -> dict[str, str]:
    """Which extra is which: the same name and kind, or the only one of its kind left."""
    found = {}
    for name, extra in old.extras.items():
        alike = new.extras.get(name)
        if alike is not None and alike.kind == extra.kind:
            found[name] = name
    for name, extra in old.extras.items():
        if name in found:
            continue
        taken = found.values()
        free = [each.name for each in new.extras.values() if each.kind == extra.kind]
        free = [each for each in free if each not in taken]
        if len(free) == 1:
            found[name] = free[0]
    return found


def _lone_ends(old: Job, new: Job, ends: Mapping[str, str]) -> Iterator[Change]:
    for name in sorted(old.ends.keys() - ends.keys()):
        yield change("end", (name,), "the end", old.ends[name].kind, None)
    for name in sorted(new.ends.keys() - set(ends.values())):
        yield change("end", (name,), "the end", None, new.ends[name].kind)


def _lone_extras(old: Job, new: Job, extras: Mapping[str, str]) -> Iterator[Change]:
    for name in sorted(old.extras.keys() - extras.keys()):
        extra = old.extras[name]
        yield change("extra", (name,), extra.kind, _what(extra), None)
    for name in sorted(new.extras.keys() - set(extras.values())):
        extra = new.extras[name]
        yield change("extra", (name,), extra.kind, None, _what(extra))


def _what(extra: Extra) -> Any:
    return extra.detail or extra.ohms or "there"


def _ends(old: End, new: End, name: str) -> Iterator[Change]:
    yield from pinouts(old.pinout, new.pinout, name)
    yield from differing(END_KINDS, (name,), old, new)
    for cavity in sorted(old.fed.keys() | new.fed.keys()):
        yield from _feed(f"{name}.{cavity}", old.fed.get(cavity), new.fed.get(cavity))


def _feed(point: str, old: Fed | None, new: Fed | None) -> Iterator[Change]:
    was = plain(old) or {}
    now = plain(new) or {}
    amps_was = was.pop("fuse_amps", None)
    amps_now = now.pop("fuse_amps", None)
    if amps_was != amps_now:
        kind = _fuse_change(amps_was, amps_now)
        yield change(kind, (point,), "the fuse before it, in A", amps_was, amps_now)
    yield from _changed("supply", (point,), "how it is fed", was, now)


def _fuse_change(old: float | None, new: float | None) -> str:
    """The kind of change of a fuse: a smaller one is told apart."""
    smaller = old is not None and new is not None and new < old
    return "fuse-down" if smaller else "fuse-up"


def _extra(old: Extra, new: Extra) -> Iterator[Change]:
    kinds = EXTRA_KINDS
    if old.kind != "fuse":
        kinds = {**EXTRA_KINDS, "amps": "extra"}
    elif (old.amps, old.size_wanted) != (new.amps, new.size_wanted):
        kind = _fuse_change(old.amps, new.amps)
        yield change(kind, (new.name,), "the fuse in A", old.amps or "size", new.amps or "size")
    yield from differing(kinds, (new.name,), old, new)


def _circuits(old: Renamed, new: Renamed) -> Iterator[Change]:
    """Which points became one metal and which no longer are; then what differs of like circuits."""
    for points in _only_in(new, old):
        parts = _parts(points, old)
        if len(parts) > 1:
            words = f"{' - '.join(sorted(points))} are joined now"
            yield Change("joined", tuple(sorted(points)), " | ".join(parts), _spelt(points), words)
    for points in _only_in(old, new):
        parts = _parts(points, new)
        if len(parts) > 1:
            words = f"{' - '.join(sorted(points))} are no longer joined"
            yield Change("parted", tuple(sorted(points)), _spelt(points), " | ".join(parts), words)
    for points in sorted(old.circuits.keys() & new.circuits.keys(), key=sorted):
        yield from _circuit(old, new, points)


def _only_in(one: Renamed, other: Renamed) -> list[Points]:
    return sorted(one.circuits.keys() - other.circuits.keys(), key=sorted)


def _parts(points: Points, job: Renamed) -> list[str]:
    """Points as a job joins them: each group in one text."""
    groups = {job.joined.get(point, frozenset((point,))) & points for point in points}
    return [_spelt(group) for group in sorted(groups, key=sorted)]


def _spelt(points: Iterable[str]) -> str:
    """Points in one text, in one order."""
    return "+".join(sorted(points))


def _circuit(old: Renamed, new: Renamed, points: Points) -> Iterator[Change]:
    was = old.circuits[points]
    now = new.circuits[points]
    who = (now.id,)
    yield from wires(who, was.wire, now.wire)
    yield from differing(CIRCUIT_KINDS, who, was, now)
    legs = _legs(old, was), _legs(new, now)
    yield from _changed("wire", who, "the wire at each point", *legs)
    settled = _settled(old.job, was), _settled(new.job, now)
    yield from _changed("settled", who, "grade and settlement", *settled)


def _changed(kind: str, who: Subject, what: str, was: Any, now: Any) -> Iterator[Change]:
    """A change of this kind where two values differ."""
    if was != now:
        yield change(kind, who, what, was, now)


def _legs(job: Renamed, circuit: Circuit) -> dict[str, Any]:
    return {job.address(point): plain(leg) for point, leg in circuit.legs.items()}


def _settled(job: Job, circuit: Circuit) -> list[str]:
    """A circuit's grade, and who has settled it when."""
    found = sorted((each.by, each.date) for each in job.confirmed if each.circuit == circuit.id)
    return [circuit.grade or "none", *map(str, found)]


def _left(old: Renamed, new: Renamed) -> Iterator[Change]:
    """Points that are left out, but for those told already as joined or parted."""
    was_left = {old.address(point): left for point, left in old.job.not_joined.items()}
    for point in sorted(was_left.keys() | new.job.not_joined.keys()):
        was = was_left.get(point)
        now = new.job.not_joined.get(point)
        newly_left = was is None and point in old.joined
        newly_joined = now is None and point in new.joined
        if newly_left or newly_joined:
            continue
        yield from _changed("not-joined", (point,), "left out", _reason(was), _reason(now))


def _reason(left: NotJoined | None) -> dict[str, Any] | None:
    return {"why": left.why, "treat": left.treat} if left else None


def _layout(old: Renamed, new: Renamed) -> Iterator[Change]:
    yield from _changed("length", (), "the runs", _runs(old), _runs(new))
    yield from _changed("pair", (), "the twists", _twists(old), _twists(new))


def _runs(named: Renamed) -> list[str]:
    found = []
    for run in named.job.runs:
        ends = sorted((named.name(run.a), named.name(run.b)))
        found.append(json.dumps([ends, run.mm, plain(run.keep_out)]))
    return sorted(found)


def _twists(named: Renamed) -> list[str]:
    found = []
    for twist in named.job.twists.values():
        circuits = sorted(named.called.get(each, each) for each in twist.circuits)
        drain = named.called.get(twist.drain or "", twist.drain)
        found.append(json.dumps([circuits, drain, twist.mm, twist.untwisted_mm]))
    return sorted(found)


def _notebooks(old: Renamed, new: Renamed) -> Iterator[Change]:
    """Entries that only one of the two has: answers and signatures weigh, the rest is told."""
    was = _entries(old)
    now = _entries(new)
    for entry in sorted((was - now).keys()):
        words = f"{entry.whom}: in the old notebooks only: {entry.text}"
        yield Change(entry.kind, entry.subject, entry.text, "nothing", words)
    for entry in sorted((now - was).keys()):
        words = f"{entry.whom}: in the new notebooks only: {entry.text}"
        yield Change(entry.kind, entry.subject, "nothing", entry.text, words)


class _EntryTold(NamedTuple):
    """The kind of change that an entry is, whom it concerns, and what it says."""

    kind: str
    subject: Subject
    text: str

    @property
    def whom(self) -> str:
        return " - ".join(self.subject)


def _entries(named: Renamed) -> Counter[_EntryTold]:
    return Counter(_entry(named, entry) for entry in named.job.entries)


def _entry(named: Renamed, entry: Entry) -> _EntryTold:
    kind = entry.kind if entry.kind in ("answer", "accept") else "note"
    points = (*entry.subject, *entry.red, *entry.black)
    if entry.about:
        points = (entry.about,)
    parts = []
    for name, value in sorted(plain(entry).items()):
        if name not in OF_SUBJECT and value not in (None, "", []):
            parts.append(f"{name} {value}")
    subject = tuple(named.address(Address.read(point)) for point in points) or (entry.kind,)
    return _EntryTold(kind, subject, f"{entry.kind}: {', '.join(parts)}")
