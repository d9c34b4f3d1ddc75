"""Results as JSON text whose first key names the command and the version of its shape."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping
from typing import Any

OPEN = "open"  # how an infinite resistance is written


_ENCODER = json.JSONEncoder(indent=2, ensure_ascii=True, allow_nan=False)


def json_pieces(command: str, body: Mapping[str, Any]) -> Iterator[str]:
    """A command's result as pieces of text, ASCII only, so that every stream can carry it.

    A large result need not stand in memory twice.
    """
    return _ENCODER.iterencode({"wiremap": f"{command}/1", **plain(body)})


def plain(value: Any) -> Any:
    """Data that JSON can hold: names as text, tuples as lists, no endless numbers."""
    if isinstance(value, Mapping):
        return {str(key): plain(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [plain(each) for each in value]
    if isinstance(value, float) and not math.isfinite(value):
        return OPEN if value > 0 else None
    return value
