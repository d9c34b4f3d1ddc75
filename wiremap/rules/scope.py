"""What no workshop adapter touches: restraint circuits (voltage class B is told by the contact)."""

from __future__ import annotations

from wiremap.model import Cavity
from wiremap.trade.dangers import DangerKind, dangers_in


def is_restraint(cavity: Cavity) -> bool:
    """Whether any claim about a contact, or a word of its signal, says restraint."""
    named = [danger.kind for danger in dangers_in(cavity.signal) if not danger.lamps_only]
    return "restraint" in claimed(cavity) or DangerKind.RESTRAINT in named


def claimed(cavity: Cavity) -> set[str]:
    """Every function that any source gives a contact."""
    return {cavity.function, *(claim.reading.function for claim in cavity.also)}
