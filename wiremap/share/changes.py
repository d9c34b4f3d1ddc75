"""One difference between two revisions, and how it is told."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from wiremap.model import Span, Wire
from wiremap.share.canonical import FORM, plain

KINDS = (
    "misread-face",
    "withdrawn",
    "cavity",
    "function",
    "signal",
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
    "answer",
    "accept",
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
)  # the dangerous ones first
WEIGHT = {kind: weight for weight, kind in enumerate(KINDS)}
Subject = tuple[str, ...]


NOTHING = "nothing"


@dataclass(frozen=True, slots=True)
class Change:
    """One difference: its kind, whom it concerns, what stood and what stands."""

    kind: str
    subject: Subject
    old: str
    new: str
    message: str


def ordered(changes: Iterable[Change]) -> list[Change]:
    """The changes, each once, the dangerous ones first."""
    return sorted(dict.fromkeys(changes), key=_weight)


def _weight(change: Change) -> tuple[int, Subject, str, str]:
    return WEIGHT[change.kind], change.subject, change.old, change.new


def change(kind: str, subject: Subject, what: str, old: Any, new: Any) -> Change:
    """A value that was one thing and is another."""
    was, now = shown(old), shown(new)
    words = f"{what} was {was}, is {now}"
    if was == NOTHING:
        words = f"{what} is new: {now}"
    elif now == NOTHING:
        words = f"{what} was {was}, is gone"
    if subject:
        words = f"{' - '.join(subject)}: {words}"
    return Change(kind, subject, was, now, words)


def differing(kinds: Mapping[str, str], subject: Subject, old: Any, new: Any) -> Iterator[Change]:
    """A change for every attribute whose meaning differs; `kinds` says of which kind it is."""
    for name, kind in kinds.items():
        was, now = getattr(old, name), getattr(new, name)
        if plain(was) != plain(now):
            yield change(kind, subject, name, was, now)


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
    """The fields of a dataclass but those that are only form."""
    names = [field.name for field in dataclasses.fields(value) if field.name not in FORM]
    return {name: getattr(value, name) for name in names}


def wires(subject: Subject, old: Wire | None, new: Wire | None) -> Iterator[Change]:
    """What differs between two wires, either of which may be missing."""
    was, now = plain(old) or {}, plain(new) or {}
    if was == now:
        return
    size_was, size_now = was.get("csa_mm2"), now.get("csa_mm2")
    if size_was != size_now:
        kind = _resized(size_was, size_now)
        yield change(kind, subject, "the wire's size in mm2", size_was, size_now)
    if was.get("colour") != now.get("colour"):
        yield change("colour", subject, "the colour", was.get("colour"), now.get("colour"))
    if not was or not now:
        return
    for name in was:
        if name not in ("csa_mm2", "colour") and was[name] != now[name]:
            yield change("wire", subject, f"the wire's {name}", was[name], now[name])


def _resized(old: float | None, new: float | None) -> str:
    if old is None or new is None:
        return "wire"
    return "wire-down" if new < old else "wire-up"
