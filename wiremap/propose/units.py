"""Contacts that belong together: pairs of a bus, the two ends of a loop, or one alone."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from wiremap.model import Cavity

PAIR_ROLES = {
    "can-high": ("can", "high"),
    "can-low": ("can", "low"),
    "j1850-plus": ("j1850", "plus"),
    "j1850-minus": ("j1850", "minus"),
}
LOOP_ROLES = {"interlock-out": "out", "interlock-back": "back"}


@dataclass(frozen=True, slots=True)
class Unit:
    """A pair or loop: its kind (can, j1850, loop), its name on its own paper, and its contacts by role."""

    id: str
    kind: str
    name: str
    members: tuple[tuple[str, str], ...]  # (role, address), sorted

    @property
    def addresses(self) -> tuple[str, ...]:
        """Its contacts."""
        return tuple(address for _, address in self.members)


def units(contacts: Mapping[str, Cavity]) -> list[Unit]:
    """The pairs and loops among a side's contacts, declared ones first, the others told from their functions.

    Contacts without a name for their pair belong together only where that leaves no doubt: one of each role, or one of each
    role among those that say the same (`in`, `out`, `2`) beside it.
    """
    groups: dict[tuple[str, str, str], dict[str, list[str]]] = defaultdict(
        lambda: defaultdict(list)
    )
    for address, cavity in contacts.items():
        end = address.partition(".")[0]
        if cavity.function in PAIR_ROLES:
            kind, role = PAIR_ROLES[cavity.function]
            groups[end, kind, cavity.pair or cavity.reading.qualifier("bus") or ""][role].append(
                address
            )
        elif cavity.function in LOOP_ROLES:
            groups[end, "loop", cavity.chain or ""][LOOP_ROLES[cavity.function]].append(address)
    found = []
    for (end, kind, name), roles in sorted(groups.items()):
        for beside, members in _parted(roles, contacts):
            called = f"{name} {beside}".strip()
            found.append(Unit(f"{end}:{kind}:{called}", kind, called, members))
    return found


def _parted(
    roles: Mapping[str, list[str]], contacts: Mapping[str, Cavity]
) -> Iterator[tuple[str, tuple[tuple[str, str], ...]]]:
    """The whole units among the contacts of one group, and what their wordings say beside the role."""
    if len(roles) != 2:
        return
    if all(len(at) == 1 for at in roles.values()):
        yield "", tuple((role, at[0]) for role, at in sorted(roles.items()))
        return
    parts: dict[str, dict[str, list[str]]] = defaultdict(lambda: defaultdict(list))
    for role, addresses in roles.items():
        for address in addresses:
            parts[_beside(contacts[address])][role].append(address)
    for beside, own in sorted(parts.items()):
        if beside and len(own) == 2 and all(len(at) == 1 for at in own.values()):
            yield beside, tuple((role, at[0]) for role, at in sorted(own.items()))


def _beside(cavity: Cavity) -> str:
    said = [
        value
        for kind, value in cavity.reading.qualifiers
        if kind not in ("polarity", "bus", "rate")
    ]
    return " ".join(sorted({*said, *cavity.reading.unexplained}))
