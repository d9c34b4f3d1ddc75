"""One difference between two revisions, and how it is told."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from wiremap.model import Span
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
)


@dataclass(frozen=True, slots=True)
class Change:
    """One difference: its kind, whom it concerns, what stood and what stands."""

    kind: str
    subject: tuple[str, ...]
    old: str
    new: str
    message: str


def ordered(changes: Iterator[Change]) -> list[Change]:
    return sorted(
        dict.fromkeys(changes), key=lambda c: (KINDS.index(c.kind), c.subject, c.old, c.new)
    )


def shown(value: Any) -> str:
    """A value as a person reads it, without what is not stated."""
    return _worded(value) or "nothing"


def _worded(value: Any) -> str:
    if isinstance(value, Span):
        return str(value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return "open" if math.isinf(value) else f"{value:g}"
    if isinstance(value, Mapping):
        return ", ".join(f"{k} {said}" for k, v in sorted(value.items()) if (said := _worded(v)))
    if isinstance(value, (tuple, list)):
        return "; ".join(said for v in value if (said := _worded(v)))
    if dataclasses.is_dataclass(value):
        return _worded(
            {
                f.name: getattr(value, f.name)
                for f in dataclasses.fields(value)
                if f.name not in FORM
            }
        )
    return "" if value is None else str(value)


def change(kind: str, subject: tuple[str, ...], what: str, old: Any, new: Any) -> Change:
    one, two = shown(old), shown(new)
    return Change(
        kind,
        subject,
        one,
        two,
        f"{' - '.join(subject)}: {what} was {one}, is {two}"
        if subject
        else f"{what} was {one}, is {two}",
    )


def wires(who: tuple[str, ...], a: Any, b: Any) -> Iterator[Change]:
    if plain(a) == plain(b):
        return
    one, two = (a.csa_mm2 if a else None), (b.csa_mm2 if b else None)
    if one != two:
        kind = "wire" if one is None or two is None else "wire-down" if two < one else "wire-up"
        yield change(kind, who, "the wire's size in mm2", one, two)
    colours = [w.colour.canonical if w and w.colour else None for w in (a, b)]
    if colours[0] != colours[1]:
        yield change("colour", who, "the colour", *colours)
    rest = [
        {k: v for k, v in (plain(w) or {}).items() if k not in ("csa_mm2", "colour")}
        for w in (a, b)
    ]
    if rest[0] != rest[1] and a is not None and b is not None:
        for key in rest[0]:
            if rest[0][key] != rest[1][key]:
                yield change("wire", who, f"the wire's {key}", rest[0][key], rest[1][key])
