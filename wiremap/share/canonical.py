"""A file's meaning without its form: the same whatever its layout, order or spelling of colours."""

from __future__ import annotations

import dataclasses
import hashlib
import json
import math
from collections.abc import Hashable, Mapping
from functools import cache
from typing import Any, cast

from wiremap.model import Job, Pinout, Span, Wire
from wiremap.naming import Meaning
from wiremap.trade.colours import Colour

FORM = frozenset(
    {
        "place",
        "places",
        "join_places",
        "path",
        "digest",
        "written",
        "because",
        "how",
        "of",
        "notebooks",
        "own_mark",
        "from_pack",
        "replaced",
        "struck",
        "waiting",
    }
)  # fields that say how or where a thing is written, not what it is
LATER = frozenset(
    {
        "limit_C",
        "clamp",
        "pwm_hz",
        "detects_open",
        "plating",
        "licensed",
        "what",
        "points",
        "stop",
        "second",
        "alone",
        "mark",
    }
)  # fields added after packs bore content hashes: left out where empty, so that those still hold
WIRE_FIELDS = ("csa_mm2", "colour", "bare", "tinned", "doubtful", "wall", "outside_mm")


def plain(value: Any) -> Any:
    """A model value as sorted plain data: numbers, texts, lists and dicts, without its `FORM`.

    Infinite ohms become the word `open`; other figures are rounded to nine decimals, so that a unit
    that was converted gives the figure that another paper states outright.
    """
    if value is None or isinstance(value, str | bool | int):
        return value
    if isinstance(value, float):
        return "open" if math.isinf(value) else round(value, 9)
    if isinstance(value, tuple | list):
        return [plain(each) for each in value]
    if isinstance(value, Mapping):
        named = sorted((str(key), each) for key, each in value.items())
        return {key: plain(each) for key, each in named}
    if isinstance(value, Wire):
        return _plain_wire(value)
    if isinstance(value, Colour):
        return value.canonical
    if isinstance(value, Meaning):
        return value.function
    if isinstance(value, Span):
        return [plain(value.low), plain(value.high)]
    if dataclasses.is_dataclass(value):
        return _plain_record(value)
    return value


def _plain_wire(wire: Wire) -> dict[str, Any]:
    """A wire without the letters or words that its paper gives its colour in."""
    fields = {name: getattr(wire, name) for name in WIRE_FIELDS}
    fields["colour"] = wire.colour.canonical if wire.colour else None
    return fields


def _plain_record(value: Any) -> dict[str, Any]:
    """A dataclass field by field."""
    fields = {}
    for name in _meaningful(cast(Hashable, type(value))):
        field = getattr(value, name)
        if field or name not in LATER:
            fields[name] = plain(field)
    return fields


@cache
def _meaningful(kind: Any) -> tuple[str, ...]:
    """The fields of a dataclass that carry meaning."""
    return tuple(each.name for each in dataclasses.fields(kind) if each.name not in FORM)


def plain_pinout(pinout: Pinout) -> dict[str, Any]:
    """A pinout as sorted plain data; links and their ends have no order."""
    data: dict[str, Any] = plain(pinout)
    for cavity in data["cavities"].values():
        cavity["need"] = cavity["need"] or "may"  # what a paper means that is silent on it
    for name in ("inside", "behind"):
        for link in data[name]:
            link["a"], link["b"] = sorted((link["a"], link["b"]))
        data[name].sort(key=_sortable)
    data["bridges"] = sorted(sorted(bridge) for bridge in data["bridges"])
    return data


def plain_job(job: Job) -> dict[str, Any]:
    """A job as sorted plain data: circuits and their points have no order."""
    data: dict[str, Any] = plain(job)
    for name, end in job.ends.items():
        data["ends"][name]["pinout"] = plain_pinout(end.pinout)
    for circuit in data["circuits"]:
        circuit["join"] = sorted(circuit["join"])
    data["circuits"].sort(key=lambda circuit: (circuit["join"], circuit["id"]))
    data["confirmed"].sort(key=_sortable)
    return data


def _sortable(data: Any) -> str:
    """Plain data as text, to sort by."""
    return json.dumps(data, sort_keys=True)


def content_hash(data: Mapping[str, Any]) -> str:
    """SHA-256 over plain data, as 64 hex digits."""
    text = json.dumps(data, sort_keys=True, separators=(",", ":"), ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()
