"""A file's meaning without its form: what stays the same when only layout, order or spelling of colours changes."""

from __future__ import annotations

import dataclasses
import hashlib
import json
import math
from collections.abc import Mapping
from typing import Any

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
        "struck",
    }
)
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
)  # left out where nothing is stated, so that earlier papers keep their sums


def plain(value: Any) -> Any:
    """A model value as sorted plain data, with everything left out that is only form."""
    if isinstance(value, Wire):
        return {
            "csa_mm2": value.csa_mm2,
            "colour": value.colour.canonical if value.colour else None,
            "bare": value.bare,
            "tinned": value.tinned,
            "doubtful": value.doubtful,
            "wall": value.wall,
            "outside_mm": value.outside_mm,
        }
    if isinstance(value, Colour):
        return value.canonical
    if isinstance(value, Meaning):
        return value.function
    if isinstance(value, Span):
        return [plain(value.low), plain(value.high)]
    if isinstance(value, float):
        return "open" if math.isinf(value) else round(value, 9)
    if dataclasses.is_dataclass(value):
        return {
            f.name: plain(getattr(value, f.name))
            for f in dataclasses.fields(value)
            if f.name not in FORM and (f.name not in LATER or getattr(value, f.name))
        }
    if isinstance(value, Mapping):
        return {str(k): plain(v) for k, v in sorted(value.items(), key=lambda kv: str(kv[0]))}
    if isinstance(value, (tuple, list)):
        return [plain(v) for v in value]
    return value


def plain_pinout(pinout: Pinout) -> dict[str, Any]:
    """A pinout as sorted plain data; links have no order."""
    data: dict[str, Any] = plain(pinout)
    for cavity in data["cavities"].values():
        cavity["need"] = cavity["need"] or "may"
    for name in ("inside", "behind"):
        links = [
            {**link, **dict(zip("ab", sorted((link["a"], link["b"])), strict=True))}
            for link in data[name]
        ]
        data[name] = sorted(links, key=lambda link: json.dumps(link, sort_keys=True))
    data["bridges"] = sorted(sorted(bridge) for bridge in data["bridges"])
    return data


def plain_job(job: Job) -> dict[str, Any]:
    """A job as sorted plain data: circuits and their points have no order."""
    data: dict[str, Any] = plain(job)
    data["ends"] = {
        name: {**plain(end), "pinout": plain_pinout(end.pinout)}
        for name, end in sorted(job.ends.items())
    }
    for circuit in data["circuits"]:
        circuit["join"] = sorted(circuit["join"])
    data["circuits"].sort(key=lambda c: (c["join"], c["id"]))
    data["confirmed"].sort(key=lambda c: json.dumps(c, sort_keys=True))
    return data


def content_hash(data: Mapping[str, Any]) -> str:
    """SHA-256 over plain data, as 64 hex digits."""
    return hashlib.sha256(
        json.dumps(data, sort_keys=True, separators=(",", ":"), ensure_ascii=True).encode()
    ).hexdigest()
