"""What a diagnosis says: explanations in words, readings to take again, the next probe."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from wiremap.evidence import is_short
from wiremap.graph.walks import graph_of, groups
from wiremap.mistakes.build import AS_USUAL, Build
from wiremap.mistakes.expectation import Shows
from wiremap.mistakes.mistake import Mistake, mending, words
from wiremap.mistakes.move import MISPLACED
from wiremap.mistakes.values import leg_to_lift
from wiremap.model import State
from wiremap.ringout.taken import Taken

METER_RANGE = {Shows.OHMS: "in ohms", Shows.DIODE: "in diode range"}


@dataclass(frozen=True, slots=True)
class Explanation:
    """Mistakes that together fit the readings, what they leave unexplained, and their cost.

    The lower the cost, the likelier they are.
    """

    mistakes: tuple[Mistake, ...]
    unexplained: tuple[Taken, ...]
    cost: float
    build: Build

    def as_dict(self) -> dict[str, Any]:
        """The explanation as plain data."""
        return {
            "faults": [{"kind": m.kind, "subject": list(m.subject)} for m in self.mistakes],
            "unexplained": [t.told for t in self.unexplained],
            "words": words(self.mistakes),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """A probe to take next, and why.

    `expect` says what to read (a beep or silence, ohms, a diode's drop), `again` that it was read
    before, `state` what must be so for this reading alone.
    """

    red: tuple[str, ...]
    black: tuple[str, ...]
    why: str
    again: bool = False
    expect: Shows = Shows.BEEP
    state: State = AS_USUAL

    @property
    def told(self) -> str:
        """The probe in words: where, in which state, what to read, and why."""
        how = [x for x in (str(self.state), METER_RANGE.get(self.expect, "")) if x]
        where = ", ".join((f"{'+'.join(self.red)} to {'+'.join(self.black)}", *how))
        return f"probe {where}: {self.why}"

    def as_dict(self) -> dict[str, Any]:
        """The probe as plain data."""
        out: dict[str, Any] = {
            "red": list(self.red),
            "black": list(self.black),
            "why": self.why,
            "again": self.again,
            "expect": self.expect,
        }
        if self.state:
            out["state"] = str(self.state)
        return out


@dataclass(frozen=True, slots=True, kw_only=True)
class Diagnosis:
    """Explanations best first, readings to be taken again, the next telling probe.

    `certain` are the mistakes that every fitting set contains, `as_built` the map if nothing fits.
    """

    explanations: tuple[Explanation, ...] = ()
    suspect: tuple[Taken, ...] = ()
    ask: Ask | None
    certain: tuple[Mistake, ...] = ()
    as_built: tuple[tuple[str, ...], ...] = ()

    @property
    def fits(self) -> list[Explanation]:
        """The explanations that leave nothing unexplained."""
        return [e for e in self.explanations if not e.unexplained]


def first_half(points: tuple[str, ...]) -> tuple[str, ...]:
    """Half of some points, the larger where they are odd."""
    return points[: (len(points) + 1) // 2]


def deed_by_hand(explanations: Sequence[Explanation]) -> str:
    """What a hand can do where no reading tells explanations apart: lift a leg, else look."""
    mistakes = [mistake for each in explanations for mistake in each.mistakes]
    lift = leg_to_lift(explanations[0].build.drawn, mistakes) if explanations else ""
    return lift or "look, mend what is found"


def explanation_lines(explanations: Sequence[Explanation], more: int) -> list[str]:
    """Explanations in words, best first; `more` is how many that fit are not told.

    The places that one wire may have gone into stand in one line.
    """
    places: dict[tuple[str, str], list[str]] = {}
    for explanation in explanations:
        unread = "; ".join(t.told for t in explanation.unexplained)
        left = f"; not explained: {unread}" if unread else ""
        *others, last = explanation.mistakes
        if last.kind == MISPLACED:
            begun = (*(m.words() for m in others), f"the wire of {last.subject[0]} is in")
            start = " and ".join(dict.fromkeys(begun))
            places.setdefault((start, left), []).append(last.subject[1])
        else:
            to_mend = mending(explanation.mistakes)
            told = (
                f"{words(explanation.mistakes)} (to mend: {to_mend})"
                if to_mend
                else words(explanation.mistakes)
            )
            places.setdefault((told, left), [])
    out = []
    for (start, left), into in places.items():
        where = f" {' or '.join(into)}" if into else ""
        out.append(f"these readings fit if {start}{where}{left}")
    if more:
        out.append(f"{more} less likely ones fit so far too: the next reading tells them apart")
    return out


def beeped_groups(readings: Sequence[Taken]) -> tuple[tuple[str, ...], ...]:
    """The groups of points that have beeped together, as a plain map."""
    beeped = [(t.red[0], t.black[0]) for t in readings if t.is_alone and is_short(t.entry)]
    return tuple(sorted(tuple(sorted(g)) for g in groups(graph_of(beeped))))
