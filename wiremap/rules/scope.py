"""What no workshop adapter touches: restraint circuits (voltage class B is told by the contact)."""

from __future__ import annotations

from wiremap.model import Cavity


def is_restraint(cavity: Cavity) -> bool:
    """Whether any claim about a contact says restraint."""
    return "restraint" in claimed(cavity)


def claimed(cavity: Cavity) -> set[str]:
    """Every function that any source gives a contact."""
    return {cavity.function, *(claim.reading.function for claim in cavity.also)}
