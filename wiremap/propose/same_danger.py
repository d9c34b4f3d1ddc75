"""What the dangers that two wordings name tell of whether they are one signal.

A word that names danger says more surely what a contact is for than a guess at its function: a
seat switch belongs to a seat switch, however the two papers word it.
"""

from __future__ import annotations

from collections.abc import Mapping, Set
from dataclasses import dataclass

from wiremap.model import Cavity
from wiremap.trade.dangers import Danger, DangerKind, acting_in


@dataclass(frozen=True, slots=True)
class DangersOfTwo:
    """The dangers that the wordings of two contacts name, lamps that only tell of one apart."""

    old: Mapping[DangerKind, Danger]
    new: Mapping[DangerKind, Danger]

    @property
    def shared(self) -> str:
        """What both name, in words; empty if nothing."""
        return _told(self.old, self.old.keys() & self.new.keys())

    @property
    def apart(self) -> str:
        """Why they may be two signals: a danger that one of them does not name; empty if none."""
        if self.shared or not (self.old or self.new):
            return ""
        parts = []
        for side, named in (("old", self.old), ("new", self.new)):
            if named:
                parts.append(f"only the {side} paper names {_told(named, named.keys())}")
        return "; ".join(parts)


def dangers_of_two(old: Cavity, new: Cavity) -> DangersOfTwo:
    """The dangers of two contacts, side by side."""
    return DangersOfTwo(_named(old), _named(new))


def _named(cavity: Cavity) -> Mapping[DangerKind, Danger]:
    return {danger.kind: danger for danger in acting_in(cavity.signal)}


def _told(named: Mapping[DangerKind, Danger], kinds: Set[DangerKind]) -> str:
    return ", ".join(danger.meaning for kind, danger in named.items() if kind in kinds)
