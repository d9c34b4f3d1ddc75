"""Two tables of one connector told apart by what they mean."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

from wiremap.model import CHASSIS, Cavity, Face, Link, LookedAt, Pinout
from wiremap.rules.faces import better_fit, told_of
from wiremap.share.canonical import plain, plain_pinout
from wiremap.share.changes import Change, change, differing, wires
from wiremap.trade.functions import FUNCTIONS

LEGS = {
    "can-high": "can",
    "can-low": "can",
    "j1850-plus": "j1850",
    "j1850-minus": "j1850",
    "interlock-out": "loop",
    "interlock-back": "loop",
}
CAVITY_KINDS = {
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
PINOUT_KINDS = {
    "segments": "inside",
    "bridges": "inside",
    "switches": "inside",
    "leaflet": "leaflet",
    "title": "name",
    "source": "note",
    "id": "name",
    "revision": "note",
}
Identity = tuple[str, str, object]


def pinouts(old: Pinout, new: Pinout, end: str) -> Iterator[Change]:
    """Every difference of two tables; addresses carry the name of the `end` if there is one."""
    if plain_pinout(old) == plain_pinout(new):
        return
    yield from _misread(old, new, end)
    moved = _moved(old, new)
    lead = f"{end}." if end else ""
    for name, other in sorted(moved.items()):
        subject = (f"{lead}{name}", f"{lead}{other}")
        words = f"{lead}{name}: {_called(old.cavities[name])} moved to cavity {other}"
        yield Change("moved", subject, name, other, words)
    matched = {**moved, **_stayed(old, new, moved)}
    for name, other in sorted(matched.items()):
        yield from _cavities(f"{lead}{other}", old.cavities[name], new.cavities[other])
    for name in _lone(old, matched.keys(), new):
        cavity, point = old.cavities[name], f"{lead}{name}"
        words = f"{point}: {_called(cavity)} stands nowhere any more"
        yield Change("cavity", (point,), cavity.function, "nothing", words)
    for name in _lone(new, set(matched.values()), old):
        cavity, point = new.cavities[name], f"{lead}{name}"
        yield Change(
            "cavity", (point,), "nothing", cavity.function, f"{point}: {_called(cavity)} is new"
        )
    yield from _shell(old, new, end)


def _stayed(old: Pinout, new: Pinout, moved: Mapping[str, str]) -> dict[str, str]:
    """Cavities of one name on both papers that no moved signal has left or taken."""
    taken = {*moved, *moved.values()}
    return {name: name for name in old.cavities if name in new.cavities and name not in taken}


def _lone(pinout: Pinout, matched: Any, other: Pinout) -> list[str]:
    """Cavities without a partner; one that is unused on both papers is none."""
    found = []
    for name in sorted(pinout.cavities.keys() - matched):
        if not pinout.cavities[name].unused or name not in other.cavities:
            found.append(name)
    return found


def _name(cavity: Cavity) -> str:
    """The signal's name; a question mark says that none is known."""
    return "" if cavity.signal == "?" else cavity.signal


def _called(cavity: Cavity) -> str:
    return cavity.signal or cavity.function


def _identity(cavity: Cavity) -> Identity:
    return cavity.signal.casefold(), cavity.function, cavity.reading.qualifiers


def _moved(old: Pinout, new: Pinout) -> dict[str, str]:
    """Signals that stand on another cavity now: those that are one of a kind on both papers."""
    there = _alone(new)
    found = {}
    for identity, name in _alone(old).items():
        if there.get(identity, name) != name:
            found[name] = there[identity]
    return found


def _alone(pinout: Pinout) -> dict[Identity, str]:
    """The cavity of each signal that stands once on a paper."""
    counted = Counter(map(_identity, pinout.cavities.values()))
    found = {}
    for name, cavity in pinout.cavities.items():
        identity = _identity(cavity)
        if counted[identity] == 1 and cavity.signal and not cavity.unused:
            found[identity] = name
    return found


def _misread(old: Pinout, new: Pinout, end: str) -> Iterator[Change]:
    """A whole-face mistake that explains the differences better than single changes do."""
    if old.cavities.keys() != new.cavities.keys():
        return
    told, tells = _told(old), _told(new)
    fit = better_fit(old, told, tells)
    if fit is None:
        return
    words = (
        f"{end or 'the tables'}: read {fit.kind}, {fit.as_misread} statements agree instead of "
        f"{fit.as_written}: one of the two was read so"
    )
    subject = (end or old.title or old.path,)
    yield Change("misread-face", subject, "as drawn", fit.kind, words)


def _told(pinout: Pinout) -> dict[str, Any]:
    return {name: told_of(cavity) for name, cavity in pinout.cavities.items()}


def _cavities(point: str, old: Cavity, new: Cavity) -> Iterator[Change]:
    who = (point,)
    if old.function != new.function:
        kind = _function_kind(old.function, new.function)
        yield change(kind, who, "the function", old.function, new.function)
    if old.volts != new.volts:
        yield change("volts", who, "volts", old.volts, new.volts)
    yield from differing(CAVITY_KINDS, who, old, new)
    yield from wires(who, old.wire, new.wire)
    was, now = old.reading.qualifiers, new.reading.qualifiers
    if _name(old) != _name(new) or was != now:
        # another side, lamp, circuit or index is not the same signal
        kind = "name" if sorted(was) == sorted(now) else "signal"
        yield change(kind, who, "the signal", old.signal, new.signal)


def _function_kind(old: str, new: str) -> str:
    """How much a change of function weighs: another ground, another leg, or something else."""
    if FUNCTIONS[old].electrical == FUNCTIONS[new].electrical == "ground":
        return "ground-kind"
    if old in LEGS and LEGS[old] == LEGS.get(new):
        return "leg"
    return "function"


def _shell(old: Pinout, new: Pinout, end: str) -> Iterator[Change]:
    """What differs of the connector and of what lies behind it."""
    who = (end,) if end else ()
    if old.withdrawn != new.withdrawn:
        yield change("withdrawn", who, "withdrawn", old.withdrawn, new.withdrawn)
    was, now = _from_front(old), _from_front(new)
    if plain(was) != plain(now):
        what = "the face seen from the mating side"
        yield change("face", who, what, was and was.rows, now and now.rows)
    data_was, data_is = plain_pinout(old), plain_pinout(new)
    shell_was, shell_is = _shell_of(data_was), _shell_of(data_is)
    if shell_was != shell_is:
        yield change("connector", who, "the connector", shell_was, shell_is)
    for key in ("inside", "behind"):
        yield from _links(f"{end}." if end else "", key, getattr(old, key), getattr(new, key))
    for key, kind in PINOUT_KINDS.items():
        if data_was[key] != data_is[key]:
            yield change(kind, who, key, data_was[key], data_is[key])


def _from_front(pinout: Pinout) -> Face | None:
    """A connector's face as seen from the mating side."""
    face = pinout.connector.face
    return face.seen_from(LookedAt.MATING) if face else None


def _shell_of(data: Mapping[str, Any]) -> dict[str, Any]:
    shell = dict(data["connector"])
    shell.pop("face", None)
    shell.pop("accepts", None)
    return shell


def _links(lead: str, key: str, old: tuple[Link, ...], new: tuple[Link, ...]) -> Iterator[Change]:
    """Ohms between two points, one by one, whichever point is named first."""
    were, are = _ohms(old), _ohms(new)
    for spot in sorted(were.keys() | are.keys()):
        if were.get(spot) == are.get(spot):
            continue
        one, two, state = spot
        points = tuple(point if point == CHASSIS else lead + point for point in (one, two))
        when = f" ({state})" if state else ""
        what = f"the resistance {key}{when}"
        yield change("inside", points, what, were.get(spot), are.get(spot))


def _ohms(links: tuple[Link, ...]) -> dict[tuple[str, str, str], list[str]]:
    """The ohms between two points in a state."""
    found: dict[tuple[str, str, str], list[str]] = {}
    for link in links:
        one, two = sorted((link.a, link.b))
        found.setdefault((one, two, link.when or ""), []).append(str(link.ohms))
    for ohms in found.values():
        ohms.sort()
    return found
