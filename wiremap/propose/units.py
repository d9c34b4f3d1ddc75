"""Contacts that belong together: pairs of a bus, the two ends of a loop, or one alone."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from wiremap.model import Cavity

PAIR_ROLES = {"can-high": ("can", "high"), "can-low": ("can", "low"), "j1850-plus": ("j1850", "plus"),
              "j1850-minus": ("j1850", "minus")}
LOOP_ROLES = {"interlock-out": "out", "interlock-back": "back"}


@dataclass(frozen=True, slots=True)
class Unit:
    """A pair or loop: its kind (can, j1850, loop), its name on its own paper, and its contacts by role."""

    id: str
    kind: str
    name: str
    members: tuple[tuple[str, str], ...]      # (role, address), sorted

    @property
    def addresses(self) -> tuple[str, ...]:
        """Its contacts."""
        return tuple(address for _, address in self.members)


def units(contacts: Mapping[str, Cavity]) -> list[Unit]:
    """The pairs and loops among a side's contacts, declared ones first, the others told from their functions.

    Contacts without a name for their pair belong together only where that leaves no doubt: one of each role.
    """
    groups: dict[tuple[str, str, str], dict[str, list[str]]] = defaultdict(lambda: defaultdict(list))
    for address, cavity in contacts.items():
        end = address.partition(".")[0]
        if cavity.function in PAIR_ROLES:
            kind, role = PAIR_ROLES[cavity.function]
            name = cavity.pair or cavity.reading.qualifier("bus") or ""
            groups[end, kind, name][role].append(address)
        elif cavity.function in LOOP_ROLES:
            groups[end, "loop", cavity.chain or ""][LOOP_ROLES[cavity.function]].append(address)
    return [Unit(f"{end}:{kind}:{name}", kind, name, tuple((role, at[0]) for role, at in sorted(roles.items())))
            for (end, kind, name), roles in sorted(groups.items()) if len(roles) == 2 and all(len(at) == 1 for at in roles.values())]

