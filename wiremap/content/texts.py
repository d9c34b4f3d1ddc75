"""Every text of a sheet, whatever piece it stands in."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass


def texts(value: object) -> Iterator[str]:
    """The texts of a piece of plain data and of all that it is made of."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for item in value:
            yield from texts(item)
    elif is_dataclass(value):
        for field in fields(value):
            yield from texts(getattr(value, field.name))
