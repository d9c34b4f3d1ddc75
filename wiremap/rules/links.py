"""Coding contacts as a job sets them: what each is linked with, and what that selects."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from wiremap.evidence import undecided
from wiremap.evidence.confirmed import LEFT_ALONE, PARTNER
from wiremap.graph import Point
from wiremap.model import Entry
from wiremap.rules.view import View

OPEN = "open"


@dataclass(frozen=True, slots=True, kw_only=True)
class Coding:
    """A unit's coding contact as the job sets it."""

    point: Point
    codes: Mapping[str, str]  # linked cavity or `open` -> what it selects
    links: tuple[str, ...]  # what it is linked with: cavities of `codes`, `open`, or other points
    selects: str | None  # what that means; None where `codes` does not tell
    answer: Entry | None  # by name; one that puts the question off counts as none
    is_confirmed: bool

    @property
    def is_settled(self) -> bool:
        """Whether a named person has chosen, or there is no choice."""
        if self.answer is not None and self.wanted:
            return True
        return self.is_confirmed or (len(self.codes) == 1 and self.selects is not None)

    @property
    def wanted(self) -> str:
        """What a named answer wants it to select; empty where none decides."""
        if self.answer is None or undecided(self.answer.answer):
            return ""
        return self.answer.answer

    @property
    def is_otherwise(self) -> bool:
        """Whether it is set otherwise than answered, or confirmed on what its codes do not name."""
        if not self.codes:
            return False
        if self.wanted:
            names = [self.selects or "", *self.links]
            return self.wanted.strip().casefold() not in [name.casefold() for name in names]
        return self.is_confirmed and self.selects is None


def codings(view: View) -> list[Coding]:
    """Every coding contact of units and modules."""
    contacts = []
    for point in view.points.values():
        end = point.end
        if end is None or end.is_machine or point.is_tap:
            continue
        if point.function == "coding":
            contacts.append(_coding(view, point))
    return contacts


def _coding(view: View, point: Point) -> Coding:
    assert point.cavity is not None
    codes = point.cavity.codes
    links = _links(view, point)
    answer = view.answers.get(point.address) or _left_alone(view, point)
    if answer is not None and not answer.by.strip():
        answer = None
    return Coding(
        point=point,
        codes=codes,
        links=links,
        selects=codes.get(links[0]) if len(links) == 1 else None,
        answer=answer,
        is_confirmed=view.is_joined(point.address) and view.is_confirmed(point.address),
    )


def _left_alone(view: View, point: Point) -> Entry | None:
    """Who has said of a contact that nothing is joined to it, where its paper gives no choice."""
    if point.cavity is None or point.cavity.codes or view.is_joined(point.address):
        return None
    entry = view.answers.get(f"{point.address}{PARTNER}")
    return entry if entry is not None and entry.answer.strip() == LEFT_ALONE else None


def _links(view: View, point: Point) -> tuple[str, ...]:
    assert point.cavity is not None
    others = [a for a in view.net_of(point.address).points if a != point.address]
    named = [c for c in point.cavity.codes if c != OPEN and f"{point.owner}.{c}" in others]
    return tuple(named or others or [OPEN])
