"""Two tables of one connector told apart by what they mean."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from wiremap.model import CHASSIS, Cavity, Link, LookedAt, Pinout
from wiremap.rules.faces import better_fit, told_of
from wiremap.share.canonical import plain, plain_pinout
from wiremap.share.changes import Change, change, wires
from wiremap.trade.functions import FUNCTIONS

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


def pinouts(a: Pinout, b: Pinout, end: str) -> Iterator[Change]:
    """Every difference of two tables; addresses carry the name of the `end` if there is one."""
    lead = f"{end}." if end else ""
    yield from _misread(a, b, end)
    moved = _moved(a, b)
    for name, other in sorted(moved.items()):
        yield Change(
            "moved",
            (f"{lead}{name}", f"{lead}{other}"),
            name,
            other,
            f"{lead}{name}: {_called(a.cavities[name])} moved to cavity {other}",
        )
    come = set(moved.values())
    same = {n: n for n in a.cavities if n in b.cavities and n not in moved and n not in come}
    matched = {**moved, **same}
    for name, other in sorted(matched.items()):
        yield from _cavities(f"{lead}{other}", a.cavities[name], b.cavities[other])
    for name in sorted(a.cavities.keys() - matched.keys()):
        if not a.cavities[name].unused or name not in b.cavities:
            yield Change(
                "cavity",
                (f"{lead}{name}",),
                a.cavities[name].function,
                "nothing",
                f"{lead}{name}: {_called(a.cavities[name])} stands nowhere any more",
            )
    for name in sorted(b.cavities.keys() - set(matched.values())):
        if not b.cavities[name].unused or name not in a.cavities:
            yield Change(
                "cavity",
                (f"{lead}{name}",),
                "nothing",
                b.cavities[name].function,
                f"{lead}{name}: {_called(b.cavities[name])} is new",
            )
    yield from _shell(a, b, end)


def _name(cavity: Cavity) -> str:
    return (
        "" if cavity.signal == "?" else cavity.signal
    )  # a question mark says that no name is known


def _called(cavity: Cavity) -> str:
    return cavity.signal or cavity.function


def _identity(c: Cavity) -> tuple[object, ...]:
    return c.signal.casefold(), c.function, c.reading.qualifiers


def _moved(a: Pinout, b: Pinout) -> dict[str, str]:
    """Signals that stand on another cavity now, where that is beyond doubt: one of a kind on both papers."""

    def alone(p: Pinout) -> dict[tuple[object, ...], str]:
        counted = Counter(_identity(c) for c in p.cavities.values())
        return {
            _identity(c): n
            for n, c in p.cavities.items()
            if counted[_identity(c)] == 1 and c.signal and not c.unused
        }

    here, there = alone(a), alone(b)
    return {n: there[k] for k, n in here.items() if k in there and there[k] != n}


def _misread(a: Pinout, b: Pinout, end: str) -> Iterator[Change]:
    """A whole-face mistake that explains the differences better than single changes do."""
    if a.cavities.keys() != b.cavities.keys():
        return
    fit = better_fit(
        a,
        {n: told_of(c) for n, c in a.cavities.items()},
        {n: told_of(c) for n, c in b.cavities.items()},
    )
    if fit is not None:
        yield Change(
            "misread-face",
            (end or a.title or a.path,),
            "as drawn",
            fit.kind,
            f"{end or 'the tables'}: read {fit.kind}, {fit.as_misread} statements agree instead of {fit.as_written}: "
            "one of the two was read so",
        )


def _cavities(subject: str, a: Cavity, b: Cavity) -> Iterator[Change]:
    who = (subject,)
    if a.function != b.function:
        ground = FUNCTIONS[a.function].electrical == FUNCTIONS[b.function].electrical == "ground"
        leg = a.function in LEGS and LEGS[a.function] == LEGS.get(b.function)
        yield change(
            "ground-kind" if ground else "leg" if leg else "function",
            who,
            "the function",
            a.function,
            b.function,
        )
    if a.volts != b.volts:
        yield change("volts", who, "volts", a.volts, b.volts)
    for key, kind in PLAIN.items():
        one, two = getattr(a, key), getattr(b, key)
        if plain(one) != plain(two):
            yield change(kind, who, key, one, two)
    yield from wires(who, a.wire, b.wire)
    if _name(a) != _name(b) or a.reading.qualifiers != b.reading.qualifiers:
        other = sorted(a.reading.qualifiers) != sorted(
            b.reading.qualifiers
        )  # another side, lamp, circuit, index: not the same signal
        yield change("signal" if other else "name", who, "the signal", a.signal, b.signal)


def _shell(a: Pinout, b: Pinout, end: str) -> Iterator[Change]:
    who = (end,) if end else ()
    data = plain_pinout(a), plain_pinout(b)
    if a.withdrawn != b.withdrawn:
        yield change("withdrawn", who, "withdrawn", a.withdrawn, b.withdrawn)
    fa, fb = a.connector.face, b.connector.face
    if (fa is None) != (fb is None) or (
        fa and fb and (plain(fa.seen_from(LookedAt.MATING)) != plain(fb.seen_from(LookedAt.MATING)))
    ):
        yield change(
            "face",
            who,
            "the face seen from the mating side",
            fa and fa.seen_from(LookedAt.MATING).rows,
            fb and fb.seen_from(LookedAt.MATING).rows,
        )
    connectors = [
        {k: v for k, v in d["connector"].items() if k not in ("face", "accepts")} for d in data
    ]
    if connectors[0] != connectors[1]:
        yield change("connector", who, "the connector", *connectors)
    for key in ("inside", "behind"):
        yield from _links(f"{end}." if end else "", key, getattr(a, key), getattr(b, key))
    for key in ("segments", "bridges", "switches"):
        if data[0][key] != data[1][key]:
            yield change("inside", who, key, data[0][key], data[1][key])
    for key, kind in (
        ("leaflet", "leaflet"),
        ("title", "name"),
        ("source", "note"),
        ("id", "name"),
        ("revision", "note"),
    ):
        if data[0][key] != data[1][key]:
            yield change(kind, who, key, data[0][key], data[1][key])


def _links(lead: str, key: str, a: tuple[Link, ...], b: tuple[Link, ...]) -> Iterator[Change]:
    """Ohms between two points, one by one, whichever point is named first."""

    def told(links: tuple[Link, ...]) -> dict[tuple[str, str, str], list[str]]:
        found: dict[tuple[str, str, str], list[str]] = {}
        for link in links:
            one, two = sorted((link.a, link.b))
            found.setdefault((one, two, link.when or ""), []).append(str(link.ohms))
        return {spot: sorted(ohms) for spot, ohms in found.items()}

    old, new = told(a), told(b)
    for spot in sorted(old.keys() | new.keys()):
        if old.get(spot) != new.get(spot):
            points = tuple(p if p == CHASSIS else lead + p for p in spot[:2])
            yield change(
                "inside",
                points,
                f"the resistance {key}{f' ({spot[2]})' if spot[2] else ''}",
                old.get(spot),
                new.get(spot),
            )
