"""What the frozen records of this room share."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import TypeVar

K = TypeVar("K")
V = TypeVar("V")


def frozen(mapping: Mapping[K, V] | None = None) -> Mapping[K, V]:
    """A read-only view on a private copy."""
    return MappingProxyType(dict(mapping or {}))
