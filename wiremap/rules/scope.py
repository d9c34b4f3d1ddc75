"""What no workshop adapter touches: restraint circuits (voltage class B is told by the contact)."""

from __future__ import annotations

from collections.abc import Sequence

from wiremap.model import Cavity
from wiremap.rules.view import View
from wiremap.trade.dangers import DangerKind, acting_in


def is_restraint(cavity: Cavity) -> bool:
    """Whether any claim about a contact, or a word of its signal, says restraint."""
    named = [danger.kind for danger in acting_in(cavity.signal)]
    return "restraint" in claimed(cavity) or DangerKind.RESTRAINT in named


def claimed(cavity: Cavity) -> set[str]:
    """Every function that any source gives a contact."""
    return {cavity.function, *(claim.reading.function for claim in cavity.also)}


def joined_with(view: View, addresses: Sequence[str]) -> str:
    """The contacts of other connectors that carry the same, in words: their papers may not say."""
    others: dict[str, None] = {}
    for address in addresses:
        for signal in view.beside(address):
            if signal.address not in addresses and signal.address in view.points:
                others[signal.address] = None
    return f", joined with {', '.join(map(view.name, others))}" if others else ""
