"""One difference between two revisions, and how it is told."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from wiremap.model import Span, Wire
from wiremap.share.canonical import FORM, plain

Subject = tuple[str, ...]  # whom a change concerns: addresses, circuit ids or names of ends
NOTHING = "nothing"  # told for what only one revision has


class ChangeKind(StrEnum):
    """What a change is about, the dangerous ones first."""

    MISREAD_FACE = "misread-face"
    WITHDRAWN = "withdrawn"
    CAVITY = "cavity"
    FUNCTION = "function"
    SIGNAL = "signal"
    GROUND_KIND = "ground-kind"
    LEG = "leg"
    VOLTS = "volts"
    MOVED = "moved"
    JOINED = "joined"
    PARTED = "parted"
    CHAIN = "chain"
    CODING = "coding"
    FUSE_UP = "fuse-up"
    FUSE_DOWN = "fuse-down"
    WIRE_DOWN = "wire-down"
    EXTRA = "extra"
    FACE = "face"
    PAIR = "pair"
    RATE = "rate"
    INSIDE = "inside"
    FLOW = "flow"
    NEED = "need"
    END = "end"
    NOT_JOINED = "not-joined"
    WIRE_UP = "wire-up"
    SUPPLY = "supply"
    LENGTH = "length"
    LEAFLET = "leaflet"
    ANSWER = "answer"
    ACCEPT = "accept"
    SETTLED = "settled"
    BASIS = "basis"
    AMPS = "amps"
    WIRE = "wire"
    CONNECTOR = "connector"
    CONTACT = "contact"
    CLAIM = "claim"
    COLOUR = "colour"
    NAME = "name"
    NOTE = "note"


WEIGHT = {kind: weight for weight, kind in enumerate(ChangeKind)}


@dataclass(frozen=True, slots=True)
class Change:
    """One difference: its kind, whom it concerns, what stood and what stands, and a sentence."""

    kind: ChangeKind
    subject: Subject
    old: str
    new: str
    message: str


def ordered(changes: Iterable[Change]) -> list[Change]:
    """The changes, each once, the dangerous ones first."""
    return sorted(dict.fromkeys(changes), key=_weight)


def _weight(change: Change) -> tuple[int, Subject, str, str]:
    return WEIGHT[change.kind], change.subject, change.old, change.new


def value_change(kind: ChangeKind, subject: Subject, what: str, old: Any, new: Any) -> Change:
    """A value that was one thing and is another; `what` names it in the sentence."""
    was, now = shown(old), shown(new)
    words = f"{what} was {was}, is {now}"
    if was == NOTHING:
        words = f"{what} is new: {now}"
    elif now == NOTHING:
        words = f"{what} was {was}, is gone"
    if subject:
        words = f"{' - '.join(subject)}: {words}"
    return Change(kind, subject, was, now, words)


def field_changes(
    kinds: Mapping[str, ChangeKind], subject: Subject, old: Any, new: Any
) -> Iterator[Change]:
    """A change for every attribute whose meaning differs; `kinds` says of which kind it is."""
    for name, kind in kinds.items():
        was, now = getattr(old, name), getattr(new, name)
        if plain(was) != plain(now):
            yield value_change(kind, subject, name, was, now)


def shown(value: Any) -> str:
    """A value as a person reads it, without what is not stated."""
    return _worded(value) or NOTHING


def _worded(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return "open" if math.isinf(value) else f"{value:g}"
    if isinstance(value, Mapping):
        parts = {key: _worded(each) for key, each in sorted(value.items())}
        return ", ".join(f"{key} {said}" for key, said in parts.items() if said)
    if isinstance(value, tuple | list):
        return "; ".join(filter(None, map(_worded, value)))
    if dataclasses.is_dataclass(value) and not isinstance(value, Span):
        return _worded(_stated(value))
    return str(value)


def _stated(value: Any) -> dict[str, Any]:
    """The fields of a dataclass but those that say how or where it is written."""
    names = [field.name for field in dataclasses.fields(value) if field.name not in FORM]
    return {name: getattr(value, name) for name in names}


def wire_changes(subject: Subject, old: Wire | None, new: Wire | None) -> Iterator[Change]:
    """What differs between two wires, either of which may be missing."""
    was, now = plain(old) or {}, plain(new) or {}
    if was == now:
        return
    size_was, size_now = was.get("csa_mm2"), now.get("csa_mm2")
    if size_was != size_now:
        kind = _resized(size_was, size_now)
        yield value_change(kind, subject, "the wire's size in mm2", size_was, size_now)
    if was.get("colour") != now.get("colour"):
        yield value_change(
            ChangeKind.COLOUR, subject, "the colour", was.get("colour"), now.get("colour")
        )
    if not was or not now:
        return
    for name in was:
        if name not in ("csa_mm2", "colour") and was[name] != now[name]:
            yield value_change(ChangeKind.WIRE, subject, f"the wire's {name}", was[name], now[name])


def _resized(old: float | None, new: float | None) -> ChangeKind:
    if old is None or new is None:
        return ChangeKind.WIRE
    return ChangeKind.WIRE_DOWN if new < old else ChangeKind.WIRE_UP
