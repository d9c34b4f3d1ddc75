"""Short digests of what entries rest on: they tell whether it has changed since."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import replace

from wiremap.model import Cavity, Wire


def fingerprint(addresses: Iterable[str]) -> str:
    """First 12 hex digits of SHA-256 over the sorted addresses, one a line."""
    return _short_digest("\n".join(sorted(addresses)))


def cavity_fingerprint(cavity: Cavity) -> str:
    """The fingerprint of what an entry about one cavity rests on: function, volts, wire colour.

    The size of the wire says nothing of which contact it is, nor does the spelling of its colour.
    """
    colour = cavity.wire.colour if cavity.wire else None
    return _cavity_digest(cavity, colour.canonical if colour else "")


def cavity_fingerprints(cavity: Cavity) -> frozenset[str]:
    """Every fingerprint under which an entry speaks of the cavity as it stands.

    Volts or a wire that were stated after the entry was written do not make it void; and its
    fingerprint may hold the wire's colour in any spelling, with the wire's size or without.
    """
    without_volts = cavity if cavity.volts is None else replace(cavity, volts=None)
    spellings = _wire_spellings(cavity.wire)
    return frozenset(
        _cavity_digest(each, wire) for each in (cavity, without_volts) for wire in spellings
    )


def _wire_spellings(wire: Wire | None) -> frozenset[str]:
    if wire is None:
        return frozenset({""})
    colour = wire.colour
    if colour is None:
        return frozenset({"", wire.written})
    return frozenset({"", wire.written, colour.written, colour.canonical, colour.word, colour.iec})


def _cavity_digest(cavity: Cavity, wire: str) -> str:
    return _short_digest(f"{cavity.function}\n{cavity.volts or ''}\n{wire}")


def _short_digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:12]
