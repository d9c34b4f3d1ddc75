"""The fingerprints by which entries speak of a cavity: function, volts, colour of its wire."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from itertools import chain, product
from typing import NamedTuple

from wiremap.graph import cavity_fingerprints
from wiremap.model import Cavity, Span, Wire
from wiremap.naming import Meaning


class Look(NamedTuple):
    """What a cavity's fingerprint rests on."""

    function: str
    volts: Span | None
    wire: Wire | None


def fingerprints(cavity: Cavity) -> frozenset[str]:
    """The fingerprints a cavity had under any of the claims that are still kept on it."""
    readings = [cavity.reading, *(claim.reading for claim in cavity.also)]
    prints = (cavity_fingerprints(replace(cavity, reading=reading)) for reading in readings)
    return frozenset(chain.from_iterable(prints))


def look_of(cavity: Cavity) -> Look:
    """What the fingerprint of a cavity rests on."""
    return Look(cavity.function, cavity.volts, cavity.wire)


def all_prints(now: Cavity, looks: Iterable[Look]) -> frozenset[str]:
    """Fingerprints of a cavity under every function, volts and wire that any look has."""
    looks = tuple(looks)
    functions = {look.function for look in looks}
    volts = {look.volts for look in looks}
    wires = {look.wire for look in looks}
    made = (
        cavity_fingerprints(replace(now, reading=Meaning(f), volts=v, wire=w))
        for f, v, w in product(functions, volts, wires)
    )
    return frozenset(chain.from_iterable(made))
