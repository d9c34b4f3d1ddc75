"""Two revisions told apart by what they mean, the dangerous differences first."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from wiremap.model import Cavity, Circuit, End, Extra, Job, Pinout, split
from wiremap.rules.faces import better_fit, told_of
from wiremap.share.canonical import plain, plain_job, plain_pinout
from wiremap.trade.functions import FUNCTIONS

KINDS = (
    "misread-face",
    "withdrawn",
    "cavity",
    "function",
    "ground-kind",
    "leg",
    "volts",
    "moved",
    "joined",
    "parted",
    "chain",
    "coding",
    "fuse-up",
    "fuse-down",
    "wire-down",
    "extra",
    "face",
    "pair",
    "rate",
    "inside",
    "flow",
    "need",
    "end",
    "not-joined",
    "wire-up",
    "supply",
    "length",
    "leaflet",
    "settled",
    "basis",
    "amps",
    "wire",
    "connector",
    "contact",
    "claim",
    "colour",
    "name",
    "note",
)
LEGS = {
    "can-high": "can",
    "can-low": "can",
    "j1850-plus": "j1850",
    "j1850-minus": "j1850",
    "interlock-out": "loop",
    "interlock-back": "loop",
}
PLAIN = {
    "chain": "chain",
    "codes": "coding",
    "pair": "pair",
    "kbit_s": "rate",
    "flow": "flow",
    "need": "need",
    "amps": "amps",
    "peak_amps": "amps",
    "asleep_amps": "amps",
    "volts_ac": "volts",
    "serves": "ground-kind",
    "leaflet": "leaflet",
    "basis": "basis",
    "accepts": "contact",
    "as_found": "contact",
    "also": "claim",
    "ohms": "inside",
    "caution": "note",
    "source": "note",
    "mark": "name",
}


@dataclass(frozen=True, slots=True)
class Change:
    """One difference: its kind, whom it concerns, what stood and what stands."""

    kind: str
    subject: tuple[str, ...]
    old: str
    new: str
    message: str


def compare_pinouts(a: Pinout, b: Pinout) -> list[Change]:
    """What differs between two tables of one connector."""
    return _ordered(_pinouts(a, b, ""))


def compare_jobs(a: Job, b: Job) -> list[Change]:
    """What differs between two jobs; the names of ends and circuits and the order of both count for nothing."""
    return _ordered(_jobs(a, b))


def _ordered(changes: Iterator[Change]) -> list[Change]:
    return sorted(dict.fromkeys(changes), key=lambda c: (KINDS.index(c.kind), c.subject, c.old, c.new))


def _show(value: Any) -> str:
    """A value as a person reads it."""
    data = plain(value)
    if data is None or data == "":
        return "nothing"
    if isinstance(data, list):
        return (
            " to ".join(map(str, data))
            if len(data) == 2 and all(isinstance(x, (int, float)) for x in data)
            else ", ".join(map(str, data)) or "nothing"
        )
    return (
        json.dumps(data, ensure_ascii=False, sort_keys=True)
        if isinstance(data, dict)
        else f"{data:g}"
        if isinstance(data, float)
        else str(data)
    )


def _change(kind: str, subject: tuple[str, ...], what: str, old: Any, new: Any) -> Change:
    one, two = _show(old), _show(new)
    return Change(
        kind,
        subject,
        one,
        two,
        f"{' - '.join(subject)}: {what} was {one}, is {two}" if subject else f"{what} was {one}, is {two}",
    )


# -- pinouts -------------------------------------------------------------------------------------------


def _pinouts(a: Pinout, b: Pinout, end: str) -> Iterator[Change]:
    lead = f"{end}." if end else ""
    yield from _misread(a, b, end)
    moved = _moved(a, b)
    for name, other in sorted(moved.items()):
        yield Change(
            "moved",
            (f"{lead}{name}", f"{lead}{other}"),
            name,
            other,
            f"{lead}{name}: {a.cavities[name].signal or a.cavities[name].function} moved to cavity {other}",
        )
    gone, come = set(moved), set(moved.values())
    for name in sorted(a.cavities.keys() | b.cavities.keys()):
        one, two = a.cavities.get(name), b.cavities.get(name)
        if one is None or two is None:
            if (one is not None and name in gone) or (two is not None and name in come):
                continue
            there = one or two
            assert there is not None
            yield _change(
                "cavity", (f"{lead}{name}",), "the cavity", *((there.function, None) if one else (None, there.function))
            )
        elif name in gone or name in come:
            moved_from = next((x for x, y in moved.items() if y == name), None)
            if moved_from is not None:
                yield from _cavities(f"{lead}{name}", a.cavities[moved_from], two)
            elif two.function != "unused":
                yield from _cavities(f"{lead}{name}", one, two)
        else:
            yield from _cavities(f"{lead}{name}", one, two)
    yield from _shell(a, b, end)


def _identity(c: Cavity) -> tuple[object, ...]:
    return c.signal.casefold(), c.function, c.reading.qualifiers


def _moved(a: Pinout, b: Pinout) -> dict[str, str]:
    """Signals that stand on another cavity now, where that is beyond doubt: one of a kind on both papers."""

    def alone(p: Pinout) -> dict[tuple[object, ...], str]:
        counted = Counter(_identity(c) for c in p.cavities.values())
        return {_identity(c): n for n, c in p.cavities.items() if counted[_identity(c)] == 1 and c.signal and not c.unused}

    here, there = alone(a), alone(b)
    return {n: there[k] for k, n in here.items() if k in there and there[k] != n}


def _misread(a: Pinout, b: Pinout, end: str) -> Iterator[Change]:
    """A whole-face mistake that explains the differences better than single changes do."""
    if a.cavities.keys() != b.cavities.keys():
        return
    fit = better_fit(a, {n: told_of(c) for n, c in a.cavities.items()}, {n: told_of(c) for n, c in b.cavities.items()})
    if fit is not None:
        yield Change(
            "misread-face",
            (end or a.title or a.path,),
            "as drawn",
            fit.kind,
            f"{end or 'the tables'}: read {fit.kind}, {fit.as_misread} statements agree instead of {fit.as_written}: one of the two was read so",
        )


def _cavities(subject: str, a: Cavity, b: Cavity) -> Iterator[Change]:
    who = (subject,)
    if a.function != b.function:
        ground = FUNCTIONS[a.function].electrical == FUNCTIONS[b.function].electrical == "ground"
        leg = a.function in LEGS and LEGS[a.function] == LEGS.get(b.function)
        yield _change("ground-kind" if ground else "leg" if leg else "function", who, "the function", a.function, b.function)
    if a.volts != b.volts:
        yield _change("volts", who, "volts", a.volts, b.volts)
    for key, kind in PLAIN.items():
        one, two = getattr(a, key), getattr(b, key)
        if plain(one) != plain(two):
            yield _change(kind, who, key, one, two)
    yield from _wires(who, a.wire, b.wire)
    if a.signal != b.signal:
        yield _change("name", who, "the signal's name", a.signal, b.signal)


def _wires(who: tuple[str, ...], a: Any, b: Any) -> Iterator[Change]:
    if plain(a) == plain(b):
        return
    one, two = (a.csa_mm2 if a else None), (b.csa_mm2 if b else None)
    if one != two:
        kind = "wire" if one is None or two is None else "wire-down" if two < one else "wire-up"
        yield _change(kind, who, "the wire's size in mm2", one, two)
    colours = [w.colour.canonical if w and w.colour else None for w in (a, b)]
    if colours[0] != colours[1]:
        yield _change("colour", who, "the colour", *colours)
    rest = [{k: v for k, v in (plain(w) or {}).items() if k not in ("csa_mm2", "colour")} for w in (a, b)]
    if rest[0] != rest[1] and a is not None and b is not None:
        for key in rest[0]:
            if rest[0][key] != rest[1][key]:
                yield _change("wire", who, f"the wire's {key}", rest[0][key], rest[1][key])


def _shell(a: Pinout, b: Pinout, end: str) -> Iterator[Change]:
    who = (end,) if end else ()
    data = plain_pinout(a), plain_pinout(b)
    if a.withdrawn != b.withdrawn:
        yield _change("withdrawn", who, "withdrawn", a.withdrawn, b.withdrawn)
    fa, fb = a.connector.face, b.connector.face
    if (fa is None) != (fb is None) or (fa and fb and (plain(fa.seen_from("mating")) != plain(fb.seen_from("mating")))):
        yield _change(
            "face",
            who,
            "the face seen from the mating side",
            fa and fa.seen_from("mating").rows,
            fb and fb.seen_from("mating").rows,
        )
    connectors = [{k: v for k, v in d["connector"].items() if k not in ("face", "accepts")} for d in data]
    if connectors[0] != connectors[1]:
        yield _change("connector", who, "the connector", *connectors)
    for key in ("inside", "behind", "segments", "bridges", "switches"):
        if data[0][key] != data[1][key]:
            yield _change("inside", who, key, data[0][key], data[1][key])
    for key, kind in (("leaflet", "leaflet"), ("title", "name"), ("source", "note"), ("id", "name"), ("revision", "note")):
        if data[0][key] != data[1][key]:
            yield _change(kind, who, key, data[0][key], data[1][key])


# -- jobs ----------------------------------------------------------------------------------------------


def _jobs(a: Job, b: Job) -> Iterator[Change]:
    ends = match_ends(a, b)
    names = dict(ends.items())
    for name in sorted(a.ends.keys() - names.keys()):
        yield _change("end", (name,), "the end", a.ends[name].kind, None)
    for name in sorted(b.ends.keys() - set(names.values())):
        yield _change("end", (name,), "the end", None, b.ends[name].kind)
    extras = _match_extras(a, b)
    for name in sorted(a.extras.keys() - extras.keys()):
        yield _change("extra", (name,), a.extras[name].kind, a.extras[name].detail or a.extras[name].ohms or "there", None)
    for name in sorted(b.extras.keys() - set(extras.values())):
        yield _change("extra", (name,), b.extras[name].kind, None, b.extras[name].detail or b.extras[name].ohms or "there")
    for x, y in sorted(names.items()):
        yield from _ends(a.ends[x], b.ends[y], y)
    for x, y in sorted(extras.items()):
        yield from _extra(a.extras[x], b.extras[y])
    called = {**names, **extras}
    yield from _circuits(a, b, called)
    yield from _left(a, b, called)
    if plain(a.supply) != plain(b.supply):
        yield _change("supply", (), "the supply", a.supply, b.supply)
    if plain(a.surroundings) != plain(b.surroundings):
        yield _change("supply", (), "the surroundings", a.surroundings, b.surroundings)
    data = plain_job(a), plain_job(b)
    for key, kind in (("withdrawn", "withdrawn"), ("title", "name"), ("id", "name"), ("revision", "note")):
        if data[0][key] != data[1][key]:
            yield _change(kind, (), key, data[0][key], data[1][key])
    yield from _layout(a, b, called)


def match_ends(a: Job, b: Job) -> dict[str, str]:
    """Which end of `a` is which of `b`: by name where the connector is of one kind, else by the connector itself."""
    found = {n: n for n in a.ends if n in b.ends}
    for name, end in a.ends.items():
        if name in found:
            continue
        free = [m for m in b.ends if m not in found.values()]
        fit = [m for m in free if plain_pinout(b.ends[m].pinout) == plain_pinout(end.pinout)] or [
            m
            for m in free
            if b.ends[m].pinout.title == end.pinout.title and (b.ends[m].kind, b.ends[m].side) == (end.kind, end.side)
        ]
        if fit:
            found[name] = sorted(fit)[0]
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
    yield from _pinouts(a.pinout, b.pinout, name)
    for key, kind in (("kind", "end"), ("side", "end"), ("mated", "end"), ("tail_mm", "length"), ("switches", "coding")):
        if plain(getattr(a, key)) != plain(getattr(b, key)):
            yield _change(kind, who, key, getattr(a, key), getattr(b, key))
    for cavity in sorted(a.fed.keys() | b.fed.keys()):
        one, two = a.fed.get(cavity), b.fed.get(cavity)
        if plain(one) == plain(two):
            continue
        amps = [f.fuse_amps if f else None for f in (one, two)]
        if amps[0] != amps[1]:
            yield _change(_fuse(*amps), (f"{name}.{cavity}",), "the fuse before it, in A", *amps)
        rest = [{k: v for k, v in (plain(f) or {}).items() if k != "fuse_amps"} for f in (one, two)]
        if rest[0] != rest[1]:
            yield _change("supply", (f"{name}.{cavity}",), "how it is fed", *rest)


def _fuse(one: float | None, two: float | None) -> str:
    return "fuse-down" if one is not None and two is not None and two < one else "fuse-up"


def _extra(a: Extra, b: Extra) -> Iterator[Change]:
    if a.kind == "fuse" and (a.amps, a.size_wanted) != (b.amps, b.size_wanted):
        yield _change(_fuse(a.amps, b.amps), (b.name,), "the fuse in A", a.amps or "size", b.amps or "size")
    for key in ("detail", "ohms", "watts", "at_mm") + (() if a.kind == "fuse" else ("amps",)):
        if getattr(a, key) != getattr(b, key):
            yield _change("extra", (b.name,), key, getattr(a, key), getattr(b, key))


def _renamed(address: str, names: Mapping[str, str]) -> str:
    owner, rest = split(address)
    return f"{names.get(owner, owner)}.{rest}" if rest else names.get(owner, owner)


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


def _circuit(a: Circuit, b: Circuit, names: Mapping[str, str], job_a: Job, job_b: Job) -> Iterator[Change]:
    who = (b.id,)
    yield from _wires(who, a.wire, b.wire)
    for key, kind in (("joint", "wire"), ("length_mm", "length"), ("at_mm", "length"), ("supported", "wire")):
        if getattr(a, key) != getattr(b, key):
            yield _change(kind, who, key, getattr(a, key), getattr(b, key))
    legs = [
        {_renamed(p, names) if job is job_a else p: plain(leg) for p, leg in c.legs.items()}
        for c, job in ((a, job_a), (b, job_b))
    ]
    if legs[0] != legs[1]:
        yield _change("wire", who, "the legs", *legs)
    settled = [
        sorted((c.by, c.date) for c in job.confirmed if c.circuit == circuit.id) for circuit, job in ((a, job_a), (b, job_b))
    ]
    if settled[0] != settled[1] or a.grade != b.grade:
        yield _change(
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
            yield _change("not-joined", (point,), "left out", *pair)


def _layout(a: Job, b: Job, names: Mapping[str, str]) -> Iterator[Change]:
    ids = {c.id: "+".join(sorted(_renamed(p, names) for p in c.join)) for c in a.circuits}
    new_ids = {c.id: "+".join(sorted(c.join)) for c in b.circuits}
    runs = [
        sorted(
            json.dumps([sorted(names.get(n, n) if job is a else n for n in (r.a, r.b)), r.mm, plain(r.keep_out)])
            for r in job.runs
        )
        for job in (a, b)
    ]
    if runs[0] != runs[1]:
        yield _change("length", (), "the runs", *runs)
    twists = [
        sorted(
            json.dumps([sorted(named.get(c, c) for c in t.circuits), named.get(t.drain or "", t.drain), t.mm, t.untwisted_mm])
            for t in job.twists.values()
        )
        for job, named in ((a, ids), (b, new_ids))
    ]
    if twists[0] != twists[1]:
        yield _change("pair", (), "the twists", *twists)
