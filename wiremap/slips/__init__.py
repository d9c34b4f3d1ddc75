"""What one slip of the hand would do: every plausible single mistake, told in a sentence and graded.

A slip is a change of the job's joints.  Only the metals that it touches are worked out again and judged by the same
building blocks as the rules on metal, buses and chains; what the job as drawn does already is not counted.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from types import MappingProxyType
from typing import Any

from wiremap.evidence import face_neighbours
from wiremap.graph import Harness
from wiremap.model import End
from wiremap.rules import View
from wiremap.rules.bus import halves
from wiremap.rules.faces import grid_of, misreadings
from wiremap.slips.outcome import GRADES, NOTHING, Effect, effects
from wiremap.slips.rewire import Change, Rewire
from wiremap.trade.colours import confusable

KINDS = (
    "legs-crossed",
    "like-coloured",
    "exchanged",
    "mirrored",
    "rotated",
    "shifted",
    "rows-swapped",
    "by-columns",
    "snake",
    "open",
    "touching",
)
WHOLE_FACE = frozenset(KINDS[3:9])

__all__ = ["GRADES", "KINDS", "Group", "Slip", "SlipReport", "slips"]


@dataclass(frozen=True, slots=True)
class Slip:
    """One mistake: its kind, whom it concerns, what comes of it, how bad; `points` are those that the outcome speaks of."""

    kind: str
    subject: tuple[str, ...]
    outcome: str
    grade: str
    cause: str
    points: tuple[str, ...] = ()


LIKE: Mapping[str, str] = MappingProxyType(
    {
        "over-voltage": "too many volts",
        "sources-joined": "too many volts",
        "supply-on-signal": "too many volts",
        "no supply": "something stays dead",
        "no ground": "something stays dead",
        "no load": "something stays dead",
        "no wake": "something stays dead",
        "dead signal": "something stays dead",
        "tied to ground": "something stays dead",
        "half a ground": "a weak bus or ground",
        "no shield": "a weak bus or ground",
        "return-off-star": "a weak bus or ground",
        "terminators": "a weak bus or ground",
        "wrong lamp": "wrong reading",
    }
)


@dataclass(frozen=True, slots=True)
class Group:
    """Slips that come to the same kind of thing."""

    grade: str
    cause: str
    slips: tuple[Slip, ...]


@dataclass(frozen=True, slots=True)
class SlipReport:
    """Every slip, the worst first, and each point with the number of harmful slips that it takes part in."""

    slips: tuple[Slip, ...]
    points: tuple[tuple[str, int], ...]

    def groups(self) -> tuple[Group, ...]:
        """Like slips together, the worst and most frequent first."""
        found: dict[tuple[str, str], list[Slip]] = defaultdict(list)
        for slip in self.slips:
            found[slip.grade, LIKE.get(slip.cause, slip.cause)].append(slip)
        made = [Group(grade, cause, tuple(members)) for (grade, cause), members in found.items()]
        return tuple(sorted(made, key=lambda g: (GRADES.index(g.grade), -len(g.slips), g.cause)))

    @property
    def harm_points(self) -> frozenset[str]:
        """Points that take part in at least one harmful slip: what the sheet marks and the ring-out takes first."""
        return frozenset(point for point, n in self.points if n)

    def as_dict(self) -> dict[str, Any]:
        """The report as plain data."""
        return {
            "slips": [
                {"kind": s.kind, "subject": list(s.subject), "outcome": s.outcome, "grade": s.grade}
                for s in self.slips
            ],
            "points": [{"point": point, "harm": n} for point, n in self.points],
        }


def slips(harness: Harness) -> SlipReport:
    """Every plausible single slip of a job and what it would do."""
    base = View(harness)
    rewire = Rewire(harness)
    found = []
    for kind, subject, change in _changes(base):
        nets = rewire.after(change)
        told = effects(base, nets) if nets else []
        worst = told[0] if told else NOTHING
        found.append(_slip(kind, subject, worst, told))
    found.sort(key=lambda s: (GRADES.index(s.grade), KINDS.index(s.kind), s.subject))
    return SlipReport(tuple(found), _ranked(found))


def _slip(kind: str, subject: tuple[str, ...], worst: Effect, told: list[Effect]) -> Slip:
    also = len({e.points for e in told if e.grade == 0}) - 1
    more = (
        f", and {also} more like it or worse to follow"
        if worst.grade == 0 and also > 1 and kind in WHOLE_FACE
        else ""
    )
    harm = {p for e in told if e.grade == 0 for p in e.points}
    named = harm | (set(subject) if worst.grade == 0 and kind not in WHOLE_FACE else set())
    return Slip(
        kind, subject, worst.sentence + more, GRADES[worst.grade], worst.cause, tuple(sorted(named))
    )


def _ranked(found: list[Slip]) -> tuple[tuple[str, int], ...]:
    harm: Counter[str] = Counter()
    for slip in found:
        if slip.grade == "harm":
            harm.update(p for p in slip.points if "." in p)
    return tuple(sorted(harm.items(), key=lambda x: (-x[1], x[0])))


Planned = tuple[str, tuple[str, ...], Change]


def _changes(view: View) -> Iterator[Planned]:
    yield from _exchanges(view)
    for end in view.job.ends.values():
        if end.kind != "tap" and not end.mated:
            yield from _faces(view, end)
    yield from _opens(view)
    yield from _touches(view)


def _exchanges(view: View) -> Iterator[Planned]:
    """Two wires of one connector exchanged: the legs of a pair, two of like colour, two neighbours; each two once."""
    seen: set[frozenset[str]] = set()
    for kind, one, two in (*_pair_legs(view), *_like_coloured(view), *_neighbours(view)):
        both = frozenset((one, two))
        joined = view.harness.circuits_at(one) or view.harness.circuits_at(two)
        if both not in seen and joined:
            seen.add(both)
            yield kind, (one, two), Change(moved={one: two, two: one})


def _pair_legs(view: View) -> Iterator[tuple[str, str, str]]:
    for pair in view.fixed(halves).pairs:
        if not pair.high.is_tap:
            yield "legs-crossed", pair.high.address, pair.low.address


def _worked_ends(view: View) -> Iterator[End]:
    return (e for e in view.job.ends.values() if e.kind != "tap" and not e.mated)


def _like_coloured(view: View) -> Iterator[tuple[str, str, str]]:
    for end in _worked_ends(view):
        coloured = [
            (f"{end.name}.{c.name}", c.wire.colour)
            for c in end.pinout.cavities.values()
            if end.has_tail
            and c.wire
            and c.wire.colour
            and view.harness.circuits_at(f"{end.name}.{c.name}")
        ]
        for i, (one, first) in enumerate(coloured):
            for two, second in coloured[i + 1 :]:
                if confusable(first, second):
                    yield "like-coloured", one, two


def _neighbours(view: View) -> Iterator[tuple[str, str, str]]:
    for end in _worked_ends(view):
        for one, two in face_neighbours(end.pinout):
            if one in end.pinout.cavities and two in end.pinout.cavities:
                yield "exchanged", f"{end.name}.{one}", f"{end.name}.{two}"


def _faces(view: View, end: End) -> Iterator[Planned]:
    names = tuple(end.pinout.cavities)
    for m in misreadings(grid_of(end.pinout.connector.face, names)):
        moved = {
            f"{end.name}.{a}": f"{end.name}.{b}"
            for a, b in m.taken_for.items()
            if a != b and a in end.pinout.cavities and b in end.pinout.cavities
        }
        if moved:
            yield m.kind, (end.name,), Change(moved, _left_behind(view, end, moved))


def _left_behind(view: View, end: End, moved: dict[str, str]) -> tuple[tuple[str, str], ...]:
    """Wires whose own contact is taken by another while they go nowhere: the last one of a count one off."""
    lost = [a for a in set(moved.values()) - set(moved) if view.harness.circuits_at(a)]
    return tuple((c, a) for a in sorted(lost) for c in view.harness.circuits_at(a))


def _opens(view: View) -> Iterator[Planned]:
    for circuit in view.job.circuits:
        present = [a for a in circuit.join if a in view.points]
        legs = present if len(present) > 2 else present[:1]
        for address in legs:
            yield "open", (circuit.id, address), Change(loose=((circuit.id, address),))


def _touches(view: View) -> Iterator[Planned]:
    seen: set[frozenset[tuple[str, ...]]] = set()
    metals = view.harness.metals
    pairs = [
        (f"{end.name}.{one}", f"{end.name}.{two}")
        for end in _worked_ends(view)
        for one, two in face_neighbours(end.pinout)
    ]
    for one, two in (*pairs, *_beside(view)):
        if one not in view.points or two not in view.points:
            continue
        nets = frozenset((metals.of(one).points, metals.of(two).points))
        bare = not (view.harness.circuits_at(one) or view.harness.circuits_at(two))
        if len(nets) == 2 and nets not in seen and not bare:
            seen.add(nets)
            yield "touching", (one, two), Change(touching=((one, two),))


def _beside(view: View) -> Iterator[tuple[str, str]]:
    """Joints that lie next to each other along the run."""
    spliced = [j for j in view.harness.joints.values() if j.points]
    for one, two in pairwise(spliced):
        yield one.points[0], two.points[0]
