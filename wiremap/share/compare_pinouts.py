"""Two tables of one connector told apart by what they mean."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

from wiremap.model import CHASSIS, Cavity, Face, Link, LookedAt, Pinout
from wiremap.propose.groups import LOOP_ROLES, PAIR_ROLES
from wiremap.rules.faces import better_fit, statements_of
from wiremap.share.canonical import plain, plain_pinout
from wiremap.share.changes import (
    NOTHING,
    Change,
    ChangeKind,
    field_changes,
    value_change,
    wire_changes,
)
from wiremap.trade.functions import FUNCTIONS

# functions that are one leg of a pair or loop, with what it is a leg of
LEGS = {
    **{function: kind for function, (kind, _) in PAIR_ROLES.items()},
    **dict.fromkeys(LOOP_ROLES, "loop"),
}
CAVITY_KINDS = {
    "chain": ChangeKind.CHAIN,
    "codes": ChangeKind.CODING,
    "pair": ChangeKind.PAIR,
    "kbit_s": ChangeKind.RATE,
    "flow": ChangeKind.FLOW,
    "need": ChangeKind.NEED,
    "amps": ChangeKind.AMPS,
    "peak_amps": ChangeKind.AMPS,
    "asleep_amps": ChangeKind.AMPS,
    "volts_ac": ChangeKind.VOLTS,
    "serves": ChangeKind.GROUND_KIND,
    "leaflet": ChangeKind.LEAFLET,
    "basis": ChangeKind.BASIS,
    "accepts": ChangeKind.CONTACT,
    "as_found": ChangeKind.CONTACT,
    "also": ChangeKind.CLAIM,
    "ohms": ChangeKind.INSIDE,
    "caution": ChangeKind.NOTE,
    "source": ChangeKind.NOTE,
    "mark": ChangeKind.NAME,
}
PINOUT_KINDS = {
    "segments": ChangeKind.INSIDE,
    "bridges": ChangeKind.INSIDE,
    "switches": ChangeKind.INSIDE,
    "leaflet": ChangeKind.LEAFLET,
    "title": ChangeKind.NAME,
    "source": ChangeKind.NOTE,
    "id": ChangeKind.NAME,
    "revision": ChangeKind.NOTE,
}
Identity = tuple[str, str, object]


def pinout_changes(old: Pinout, new: Pinout, end: str) -> Iterator[Change]:
    """Every difference of two tables; addresses carry the name of the `end` if there is one."""
    if plain_pinout(old) == plain_pinout(new):
        return
    yield from _misread(old, new, end)
    moved = _moved(old, new)
    lead = f"{end}." if end else ""
    for name, other in sorted(moved.items()):
        subject = (f"{lead}{name}", f"{lead}{other}")
        words = f"{lead}{name}: {_called(old.cavities[name])} moved to cavity {other}"
        yield Change(ChangeKind.MOVED, subject, name, other, words)
    matched = {**moved, **_stayed(old, new, moved)}
    for name, other in sorted(matched.items()):
        yield from _cavity_changes(f"{lead}{other}", old.cavities[name], new.cavities[other])
    for name in _cavities_of_one(old, matched.keys(), new):
        cavity, point = old.cavities[name], f"{lead}{name}"
        words = f"{point}: {_called(cavity)} stands nowhere any more"
        yield Change(ChangeKind.CAVITY, (point,), cavity.function, NOTHING, words)
    for name in _cavities_of_one(new, set(matched.values()), old):
        cavity, point = new.cavities[name], f"{lead}{name}"
        yield Change(
            ChangeKind.CAVITY,
            (point,),
            NOTHING,
            cavity.function,
            f"{point}: {_called(cavity)} is new",
        )
    yield from _connector_changes(old, new, end)


def _stayed(old: Pinout, new: Pinout, moved: Mapping[str, str]) -> dict[str, str]:
    """Cavities of one name on both papers that no moved signal has left or taken."""
    taken = {*moved, *moved.values()}
    return {name: name for name in old.cavities if name in new.cavities and name not in taken}


def _cavities_of_one(pinout: Pinout, matched: Any, other: Pinout) -> list[str]:
    """Cavities of one paper that match none of the other; those unused on both are left out."""
    names = []
    for name in sorted(pinout.cavities.keys() - matched):
        if not pinout.cavities[name].unused or name not in other.cavities:
            names.append(name)
    return names


def _known_name(cavity: Cavity) -> str:
    """The signal's name; a question mark says that none is known."""
    return "" if cavity.signal == "?" else cavity.signal


def _called(cavity: Cavity) -> str:
    return cavity.signal or cavity.function


def _identity(cavity: Cavity) -> Identity:
    return cavity.signal.casefold(), cavity.function, cavity.reading.qualifiers


def _moved(old: Pinout, new: Pinout) -> dict[str, str]:
    """Signals that stand on another cavity now: those that are one of a kind on both papers."""
    now_at = _cavity_of_unique(new)
    moved = {}
    for identity, name in _cavity_of_unique(old).items():
        if now_at.get(identity, name) != name:
            moved[name] = now_at[identity]
    return moved


def _cavity_of_unique(pinout: Pinout) -> dict[Identity, str]:
    """The cavity of each signal that stands once on a paper."""
    counted = Counter(map(_identity, pinout.cavities.values()))
    cavity_of = {}
    for name, cavity in pinout.cavities.items():
        identity = _identity(cavity)
        if counted[identity] == 1 and cavity.signal and not cavity.unused:
            cavity_of[identity] = name
    return cavity_of


def _misread(old: Pinout, new: Pinout, end: str) -> Iterator[Change]:
    """A whole-face mistake that explains the differences better than single changes do."""
    if old.cavities.keys() != new.cavities.keys():
        return
    told, tells = _statements(old), _statements(new)
    fit = better_fit(old, told, tells)
    if fit is None:
        return
    words = (
        f"{end or 'the tables'}: read {fit.kind}, {fit.as_misread} statements agree instead of "
        f"{fit.as_written}: one of the two was read so"
    )
    subject = (end or old.title or old.path,)
    yield Change(ChangeKind.MISREAD_FACE, subject, "as drawn", fit.kind, words)


def _statements(pinout: Pinout) -> dict[str, Any]:
    return {name: statements_of(cavity) for name, cavity in pinout.cavities.items()}


def _cavity_changes(point: str, old: Cavity, new: Cavity) -> Iterator[Change]:
    who = (point,)
    if old.function != new.function:
        kind = _function_kind(old.function, new.function)
        yield value_change(kind, who, "the function", old.function, new.function)
    if old.volts != new.volts:
        yield value_change(ChangeKind.VOLTS, who, "volts", old.volts, new.volts)
    yield from field_changes(CAVITY_KINDS, who, old, new)
    yield from wire_changes(who, old.wire, new.wire)
    was, now = old.reading.qualifiers, new.reading.qualifiers
    if _known_name(old) != _known_name(new) or was != now:
        # another side, lamp, circuit or index is not the same signal
        kind = ChangeKind.NAME if sorted(was) == sorted(now) else ChangeKind.SIGNAL
        yield value_change(kind, who, "the signal", old.signal, new.signal)


def _function_kind(old: str, new: str) -> ChangeKind:
    """How much a change of function weighs: another ground, another leg, or something else."""
    if FUNCTIONS[old].electrical == FUNCTIONS[new].electrical == "ground":
        return ChangeKind.GROUND_KIND
    if old in LEGS and LEGS[old] == LEGS.get(new):
        return ChangeKind.LEG
    return ChangeKind.FUNCTION


def _connector_changes(old: Pinout, new: Pinout, end: str) -> Iterator[Change]:
    """What differs of the connector and of what lies behind it."""
    who = (end,) if end else ()
    if old.withdrawn != new.withdrawn:
        yield value_change(ChangeKind.WITHDRAWN, who, "withdrawn", old.withdrawn, new.withdrawn)
    was, now = _from_front(old), _from_front(new)
    if plain(was) != plain(now):
        what = "the face seen from the mating side"
        yield value_change(ChangeKind.FACE, who, what, was and was.rows, now and now.rows)
    data_was, data_is = plain_pinout(old), plain_pinout(new)
    shell_was, shell_is = _shell_data(data_was), _shell_data(data_is)
    if shell_was != shell_is:
        yield value_change(ChangeKind.CONNECTOR, who, "the connector", shell_was, shell_is)
    for key in ("inside", "behind"):
        yield from _link_changes(
            f"{end}." if end else "", key, getattr(old, key), getattr(new, key)
        )
    for key, kind in PINOUT_KINDS.items():
        if data_was[key] != data_is[key]:
            yield value_change(kind, who, key, data_was[key], data_is[key])


def _from_front(pinout: Pinout) -> Face | None:
    """A connector's face as seen from the mating side."""
    face = pinout.connector.face
    return face.seen_from(LookedAt.MATING) if face else None


def _shell_data(data: Mapping[str, Any]) -> dict[str, Any]:
    """The connector's data; its face and the sizes that its cavities take are compared apart."""
    shell = dict(data["connector"])
    shell.pop("face", None)
    shell.pop("accepts", None)
    return shell


def _link_changes(
    lead: str, key: str, old: tuple[Link, ...], new: tuple[Link, ...]
) -> Iterator[Change]:
    """Ohms between two points, one by one, whichever point is named first."""
    were, are = _ohms(old), _ohms(new)
    for spot in sorted(were.keys() | are.keys()):
        if were.get(spot) == are.get(spot):
            continue
        one, two, state = spot
        points = tuple(point if point == CHASSIS else lead + point for point in (one, two))
        when = f" ({state})" if state else ""
        what = f"the resistance {key}{when}"
        yield value_change(ChangeKind.INSIDE, points, what, were.get(spot), are.get(spot))


def _ohms(links: tuple[Link, ...]) -> dict[tuple[str, str, str], list[str]]:
    """The ohms between two points in a state."""
    ohms_between: dict[tuple[str, str, str], list[str]] = {}
    for link in links:
        one, two = sorted((link.a, link.b))
        ohms_between.setdefault((one, two, link.when or ""), []).append(str(link.ohms))
    for ohms in ohms_between.values():
        ohms.sort()
    return ohms_between
