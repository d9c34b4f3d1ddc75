"""A tie: what joins two points with ohms, where metal would join them with none."""

from __future__ import annotations

from dataclasses import dataclass

from wiremap.model import Span


@dataclass(frozen=True, slots=True)
class Tie:
    """A connection with ohms between two points; a diode conducts from `a` to `b`.

    `name` is that of a part, empty for others; `outside`: behind the machine's loom; `poor`: a bad
    joint within what is drawn as one metal.
    """

    a: str
    b: str
    ohms: Span
    name: str = ""
    diode: bool = False
    outside: bool = False
    poor: bool = False
