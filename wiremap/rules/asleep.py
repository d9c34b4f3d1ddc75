"""What units on a permanent supply are stated to draw asleep."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from wiremap.model import Side
from wiremap.rules.view import View
from wiremap.sizing.unjudged import About, NotJudged

UNSTATED = "nobody states what it draws asleep (`asleep_amps`)"


def asleep_by_unit(view: View) -> Mapping[str, Mapping[str, float | None]]:
    """Of each unit the joined contacts on a permanent supply, with the amps stated asleep."""
    return view.fixed(_asleep_by_unit)


def asleep_unstated(view: View) -> Iterator[NotJudged]:
    """Units on a permanent supply of which no paper states what they draw asleep."""
    for contacts in asleep_by_unit(view).values():
        if not any(amps is not None for amps in contacts.values()):
            yield NotJudged(subject=tuple(contacts), why=UNSTATED, about=About.OTHER)


def _asleep_by_unit(view: View) -> dict[str, dict[str, float | None]]:
    found: dict[str, dict[str, float | None]] = {}
    for point in view.joined():
        cavity, end = point.cavity, point.end
        if cavity is None or end is None or end.side == Side.MACHINE:
            continue
        if cavity.function == "permanent-supply":
            found.setdefault(end.name, {})[point.address] = cavity.asleep_amps
    return found
