"""What a diagnosis says: explanations in words, readings to take again, the next probe."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from wiremap.evidence import is_short
from wiremap.graph.walks import Joined
from wiremap.mistakes.build import NOWHERE, Build
from wiremap.mistakes.expectation import Shows
from wiremap.mistakes.mistake import Kind, Mistake, words
from wiremap.model import State
from wiremap.ringout.readings import Taken


@dataclass(frozen=True, slots=True)
class Explanation:
    """Mistakes that together fit the readings, what they leave unexplained, and how likely they are (lower is likelier)."""

    mistakes: tuple[Mistake, ...]
    unexplained: tuple[Taken, ...]
    cost: float
    build: Build

    def as_dict(self) -> dict[str, Any]:
        """The explanation as plain data."""
        return {
            "faults": [{"kind": f.kind, "subject": list(f.subject)} for f in self.mistakes],
            "unexplained": [t.told for t in self.unexplained],
            "words": words(self.mistakes),
        }


@dataclass(frozen=True, slots=True)
class Ask:
    """A probe to take next, and why; `expect` says what to read: beep or silence, ohms, or a diode's drop.

    `state` as that of a `Probe`: a fuse that is in, a net that is parted outside, for this reading alone.
    """

    red: tuple[str, ...]
    black: tuple[str, ...]
    why: str
    again: bool = False
    expect: Shows = Shows.BEEP
    state: State = NOWHERE

    @property
    def told(self) -> str:
        """The probe in words: where, in which state, what to read if a beep or silence is not enough, and why."""
        how = ", ".join(
            x
            for x in (
                str(self.state),
                {"ohms": "in ohms", "diode": "in diode range"}.get(self.expect, ""),
            )
            if x
        )
        return (
            f"probe {'+'.join(self.red)} to {'+'.join(self.black)}{how and f', {how}'}: {self.why}"
        )

    def as_dict(self) -> dict[str, Any]:
        """The probe as plain data."""
        out = {
            "red": list(self.red),
            "black": list(self.black),
            "why": self.why,
            "again": self.again,
            "expect": self.expect,
        }
        return out | ({"state": str(self.state)} if self.state else {})


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """Explanations best first, readings to be taken again, the next telling probe, and the map if nothing fits."""

    explanations: tuple[Explanation, ...]
    suspect: tuple[Taken, ...]
    ask: Ask | None
    as_built: tuple[tuple[str, ...], ...] = ()
    more: int = 0  # explanations that fit too, less likely than those told


def lines(explanations: Sequence[Explanation], more: int = 0) -> list[str]:
    """Explanations in words, best first: what one wire may have gone into stands in one line, what is not told is counted."""
    told: dict[object, tuple[str, list[str], str]] = {}
    for e in explanations:
        left = (
            "; not explained: " + "; ".join(t.told for t in e.unexplained) if e.unexplained else ""
        )
        *others, last = e.mistakes
        if last.kind == Kind.MISPLACED:
            begun = [m.words() for m in others]
            start = " and ".join(dict.fromkeys((*begun, f"the wire of {last.subject[0]} is in")))
            told.setdefault((start, left), (start, [], left))[1].append(last.subject[1])
        else:
            told[id(e)] = (words(e.mistakes), [], left)
    out = [
        " ".join(filter(None, (f"these readings fit if {start}", " or ".join(into)))) + left
        for start, into, left in told.values()
    ]
    return (
        [*out, f"{more} more fit too, less likely ones: the next reading parts them"]
        if more
        else out
    )


def as_built(readings: Sequence[Taken]) -> tuple[tuple[str, ...], ...]:
    """The groups of points that have beeped together, as a plain map."""
    joined: Joined[str] = Joined()
    beeped = [
        (t.red[0], t.black[0])
        for t in readings
        if is_short(t.entry) and len(t.red) == len(t.black) == 1
    ]
    for a, b in beeped:
        joined.join(a, b)
    groups: dict[str, list[str]] = {}
    for a in dict.fromkeys(p for pair in beeped for p in pair):
        groups.setdefault(joined.root(a), []).append(a)
    return tuple(sorted(tuple(sorted(g)) for g in groups.values()))
