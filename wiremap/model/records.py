"""What the frozen records of this room share."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any, TypeVar

K = TypeVar("K")
V = TypeVar("V")
_NOTHING: Mapping[Any, Any] = MappingProxyType({})


def frozen(mapping: Mapping[K, V] | None = None) -> Mapping[K, V]:
    """A read-only view on a private copy; of an empty mapping always one object, to save memory."""
    return MappingProxyType(dict(mapping)) if mapping else _NOTHING
