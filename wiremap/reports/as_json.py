"""Results as JSON text whose first key names the command and the version of its shape."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from typing import Any

OPEN = "open"  # how an infinite resistance is written


def json_text(command: str, body: Mapping[str, Any]) -> str:
    """A command's result; ASCII only, so that every stream can carry it."""
    shape = {"wiremap": f"{command}/1", **plain(body)}
    return json.dumps(shape, indent=2, ensure_ascii=True, allow_nan=False)


def plain(value: Any) -> Any:
    """Data that JSON can hold: names as text, tuples as lists, no endless numbers."""
    if isinstance(value, Mapping):
        return {str(key): plain(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [plain(each) for each in value]
    if isinstance(value, float) and not math.isfinite(value):
        return OPEN if value > 0 else None
    return value
