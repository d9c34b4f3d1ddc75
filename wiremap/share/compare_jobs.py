"""Two jobs told apart by what they mean; names of ends and circuits, and the order of both, count for nothing."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable, Iterator, Mapping

from wiremap.model import Address, Circuit, End, Entry, Extra, Job
from wiremap.share.canonical import plain, plain_job, plain_pinout
from wiremap.share.changes import Change, change, wires
from wiremap.share.compare_pinouts import pinouts


def jobs(a: Job, b: Job) -> Iterator[Change]:
    """Every difference of two jobs."""
    names = match_ends(a, b)
    for name in sorted(a.ends.keys() - names.keys()):
        yield change("end", (name,), "the end", a.ends[name].kind, None)
    for name in sorted(b.ends.keys() - set(names.values())):
        yield change("end", (name,), "the end", None, b.ends[name].kind)
    extras = _match_extras(a, b)
    for name in sorted(a.extras.keys() - extras.keys()):
        yield change(
            "extra",
            (name,),
            a.extras[name].kind,
            a.extras[name].detail or a.extras[name].ohms or "there",
            None,
        )
    for name in sorted(b.extras.keys() - set(extras.values())):
        yield change(
            "extra",
            (name,),
            b.extras[name].kind,
            None,
            b.extras[name].detail or b.extras[name].ohms or "there",
        )
    for x, y in sorted(names.items()):
        yield from _ends(a.ends[x], b.ends[y], y)
    for x, y in sorted(extras.items()):
        yield from _extra(a.extras[x], b.extras[y])
    called = {**names, **extras}
    yield from _circuits(a, b, called)
    yield from _left(a, b, called)
    if plain(a.supply) != plain(b.supply):
        yield change("supply", (), "the supply", a.supply, b.supply)
    if plain(a.surroundings) != plain(b.surroundings):
        yield change("supply", (), "the surroundings", a.surroundings, b.surroundings)
    data = plain_job(a), plain_job(b)
    for key, kind in (
        ("withdrawn", "withdrawn"),
        ("title", "name"),
        ("id", "name"),
        ("revision", "note"),
    ):
        if data[0][key] != data[1][key]:
            yield change(kind, (), key, data[0][key], data[1][key])
    yield from _layout(a, b, called)
    yield from _notebooks(a, b, called)


def match_ends(a: Job, b: Job) -> dict[str, str]:
    """Which end of `a` is which of `b`: the same connector whatever its name, then the same name, then the same title."""
    plain_a = {n: plain_pinout(e.pinout) for n, e in a.ends.items()}
    plain_b = {n: plain_pinout(e.pinout) for n, e in b.ends.items()}
    found: dict[str, str] = {}

    def role(end: End) -> tuple[str, str]:
        return end.kind, end.side

    likenesses: tuple[Callable[[str, str], bool], ...] = (
        lambda x, y: x == y and plain_a[x] == plain_b[y],
        lambda x, y: plain_a[x] == plain_b[y] and role(a.ends[x]) == role(b.ends[y]),
        lambda x, y: plain_a[x] == plain_b[y],
        lambda x, y: (
            a.ends[x].pinout.title == b.ends[y].pinout.title and role(a.ends[x]) == role(b.ends[y])
        ),
        lambda x, y: x == y,
    )
    for alike in likenesses:
        for x in sorted(a.ends.keys() - found.keys()):
            fit = [y for y in sorted(b.ends.keys() - set(found.values())) if alike(x, y)]
            if fit:
                found[x] = x if x in fit else fit[0]
    return found


def _match_extras(a: Job, b: Job) -> dict[str, str]:
    found = {n: n for n in a.extras if n in b.extras and a.extras[n].kind == b.extras[n].kind}
    for name, extra in a.extras.items():
        free = [m for m in b.extras if m not in found.values() and b.extras[m].kind == extra.kind]
        if name not in found and len(free) == 1:
            found[name] = free[0]
    return found


def _ends(a: End, b: End, name: str) -> Iterator[Change]:
    who = (name,)
    yield from pinouts(a.pinout, b.pinout, name)
    for key, kind in (
        ("kind", "end"),
        ("side", "end"),
        ("mated", "end"),
        ("tail_mm", "length"),
        ("switches", "coding"),
    ):
        if plain(getattr(a, key)) != plain(getattr(b, key)):
            yield change(kind, who, key, getattr(a, key), getattr(b, key))
    for cavity in sorted(a.fed.keys() | b.fed.keys()):
        one, two = a.fed.get(cavity), b.fed.get(cavity)
        if plain(one) == plain(two):
            continue
        amps = [f.fuse_amps if f else None for f in (one, two)]
        if amps[0] != amps[1]:
            yield change(_fuse(*amps), (f"{name}.{cavity}",), "the fuse before it, in A", *amps)
        rest = [{k: v for k, v in (plain(f) or {}).items() if k != "fuse_amps"} for f in (one, two)]
        if rest[0] != rest[1]:
            yield change("supply", (f"{name}.{cavity}",), "how it is fed", *rest)


def _fuse(one: float | None, two: float | None) -> str:
    return "fuse-down" if one is not None and two is not None and two < one else "fuse-up"


def _extra(a: Extra, b: Extra) -> Iterator[Change]:
    if a.kind == "fuse" and (a.amps, a.size_wanted) != (b.amps, b.size_wanted):
        yield change(
            _fuse(a.amps, b.amps), (b.name,), "the fuse in A", a.amps or "size", b.amps or "size"
        )
    for key in ("detail", "ohms", "watts", "at_mm") + (() if a.kind == "fuse" else ("amps",)):
        if getattr(a, key) != getattr(b, key):
            yield change("extra", (b.name,), key, getattr(a, key), getattr(b, key))


def _renamed(address: Address, names: Mapping[str, str]) -> Address:
    return Address(names.get(address.end, address.end), address.cavity)


def _circuits(a: Job, b: Job, names: Mapping[str, str]) -> Iterator[Change]:
    """Which points became one metal and which no longer are; then what differs of circuits that join the same points."""
    old = {frozenset(_renamed(p, names) for p in c.join): c for c in a.circuits}
    new = {frozenset(c.join): c for c in b.circuits}
    groups_old = {p: points for points in old for p in points}
    groups_new = {p: points for points in new for p in points}
    for points in sorted(new.keys() - old.keys(), key=sorted):
        parts = {tuple(sorted(groups_old.get(p, frozenset((p,))) & points)) for p in points}
        if len(parts) > 1:
            yield Change(
                "joined",
                tuple(sorted(points)),
                " | ".join("+".join(p) for p in sorted(parts)),
                "+".join(sorted(points)),
                f"{' - '.join(sorted(points))} are joined now",
            )
    for points in sorted(old.keys() - new.keys(), key=sorted):
        parts = {tuple(sorted(groups_new.get(p, frozenset((p,))) & points)) for p in points}
        if len(parts) > 1:
            yield Change(
                "parted",
                tuple(sorted(points)),
                "+".join(sorted(points)),
                " | ".join("+".join(p) for p in sorted(parts)),
                f"{' - '.join(sorted(points))} are no longer joined",
            )
    for points in sorted(old.keys() & new.keys(), key=sorted):
        yield from _circuit(old[points], new[points], names, a, b)


def _circuit(
    a: Circuit, b: Circuit, names: Mapping[str, str], job_a: Job, job_b: Job
) -> Iterator[Change]:
    who = (b.id,)
    yield from wires(who, a.wire, b.wire)
    for key, kind in (
        ("joint", "wire"),
        ("length_mm", "length"),
        ("at_mm", "length"),
        ("supported", "wire"),
    ):
        if getattr(a, key) != getattr(b, key):
            yield change(kind, who, key, getattr(a, key), getattr(b, key))
    legs = [
        {_renamed(p, names) if job is job_a else p: plain(leg) for p, leg in c.legs.items()}
        for c, job in ((a, job_a), (b, job_b))
    ]
    if legs[0] != legs[1]:
        yield change("wire", who, "the legs", *legs)
    settled = [
        sorted((c.by, c.date) for c in job.confirmed if c.circuit == circuit.id)
        for circuit, job in ((a, job_a), (b, job_b))
    ]
    if settled[0] != settled[1] or a.grade != b.grade:
        yield change(
            "settled",
            who,
            "grade and settlement",
            [a.grade or "none", *map(str, settled[0])],
            [b.grade or "none", *map(str, settled[1])],
        )


def _left(a: Job, b: Job, names: Mapping[str, str]) -> Iterator[Change]:
    old = {_renamed(p, names): n for p, n in a.not_joined.items()}
    joined_old = {_renamed(p, names) for c in a.circuits for p in c.join}
    joined_new = {p for c in b.circuits for p in c.join}
    for point in sorted(old.keys() | b.not_joined.keys()):
        one, two = old.get(point), b.not_joined.get(point)
        if (one is None and point in joined_old) or (two is None and point in joined_new):
            continue  # told already as joined or parted
        pair = [None if n is None else {"why": n.why, "treat": n.treat} for n in (one, two)]
        if pair[0] != pair[1]:
            yield change("not-joined", (point,), "left out", *pair)


def _layout(a: Job, b: Job, names: Mapping[str, str]) -> Iterator[Change]:
    ids = {c.id: "+".join(sorted(_renamed(p, names) for p in c.join)) for c in a.circuits}
    new_ids = {c.id: "+".join(sorted(c.join)) for c in b.circuits}
    runs = [
        sorted(
            json.dumps(
                [
                    sorted(names.get(n, n) if job is a else n for n in (r.a, r.b)),
                    r.mm,
                    plain(r.keep_out),
                ]
            )
            for r in job.runs
        )
        for job in (a, b)
    ]
    if runs[0] != runs[1]:
        yield change("length", (), "the runs", *runs)
    twists = [
        sorted(
            json.dumps(
                [
                    sorted(named.get(c, c) for c in t.circuits),
                    named.get(t.drain or "", t.drain),
                    t.mm,
                    t.untwisted_mm,
                ]
            )
            for t in job.twists.values()
        )
        for job, named in ((a, ids), (b, new_ids))
    ]
    if twists[0] != twists[1]:
        yield change("pair", (), "the twists", *twists)


def _notebooks(a: Job, b: Job, names: Mapping[str, str]) -> Iterator[Change]:
    """Entries that only one of the two has: answers and signatures weigh, readings and build reports are told."""

    def told(job: Job, called: Mapping[str, str]) -> Counter[tuple[str, tuple[str, ...], str]]:
        return Counter(_entry(e, called) for notebook in job.notebooks for e in notebook.entries)

    old, new = told(a, names), told(b, {})
    for kind, subject, text in sorted((old - new).keys()):
        yield Change(
            kind,
            subject,
            text,
            "nothing",
            f"{' - '.join(subject)}: in the old notebooks only: {text}",
        )
    for kind, subject, text in sorted((new - old).keys()):
        yield Change(
            kind,
            subject,
            "nothing",
            text,
            f"{' - '.join(subject)}: in the new notebooks only: {text}",
        )


def _entry(entry: Entry, names: Mapping[str, str]) -> tuple[str, tuple[str, ...], str]:
    kind = entry.kind if entry.kind in ("answer", "accept") else "note"
    points = (entry.about,) if entry.about else (*entry.subject, *entry.red, *entry.black)
    data = {
        k: v
        for k, v in plain(entry).items()
        if v not in (None, "", []) and k not in ("about", "subject", "red", "black")
    }
    said = ", ".join(f"{k} {v}" for k, v in sorted(data.items()) if k != "kind")
    return (
        kind,
        tuple(_renamed(Address.read(p), names) for p in points) or (entry.kind,),
        f"{entry.kind}: {said}",
    )
