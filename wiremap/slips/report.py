"""The slips of a job, graded and counted."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from wiremap.base import Finding
from wiremap.graph import Harness
from wiremap.rules import View
from wiremap.slips.alike import Outcomes
from wiremap.slips.effect import GRADES
from wiremap.slips.outcome import Outcome
from wiremap.slips.plausible import KINDS, WHOLE_FACE, Planned, SlipKind, plausible, too_many
from wiremap.slips.rewire import Rewire

DEAD, WEAK, VOLTS = "something stays dead", "a weak bus or ground", "too many volts"
# for causes that come to one kind of thing the name under which they are grouped
COMMON_CAUSE: Mapping[str, str] = MappingProxyType(
    {
        "over-voltage": VOLTS,
        "sources-joined": VOLTS,
        "supply-on-signal": VOLTS,
        "no supply": DEAD,
        "no ground": DEAD,
        "no load": DEAD,
        "no wake": DEAD,
        "dead signal": DEAD,
        "tied to ground": DEAD,
        "half a ground": WEAK,
        "no shield": WEAK,
        "return-off-star": WEAK,
        "terminators": WEAK,
        "wrong lamp": "wrong reading",
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """One mistake and what comes of it."""

    kind: SlipKind
    subject: tuple[str, ...]  # the contacts, circuit or end that it concerns
    outcome: str  # in a sentence
    grade: str  # one of GRADES
    cause: str
    points: tuple[str, ...]  # that come to harm by it


@dataclass(frozen=True, slots=True)
class LikeSlips:
    """Slips that come to the same kind of thing."""

    grade: str
    cause: str
    slips: tuple[Slip, ...]


@dataclass(frozen=True, slots=True)
class SlipReport:
    """Every slip, the worst first, and each point with how many harmful slips it is in.

    Both are empty where there are too many to tell: `refused` says so.
    """

    slips: tuple[Slip, ...]
    points: tuple[tuple[str, int], ...]
    refused: Finding | None = None

    def groups(self) -> tuple[LikeSlips, ...]:
        """Like slips together, the worst and most frequent first."""
        found: dict[tuple[str, str], list[Slip]] = defaultdict(list)
        for slip in self.slips:
            found[slip.grade, COMMON_CAUSE.get(slip.cause, slip.cause)].append(slip)
        groups = [
            LikeSlips(grade, cause, tuple(members)) for (grade, cause), members in found.items()
        ]
        groups.sort(key=lambda group: (GRADES.index(group.grade), -len(group.slips), group.cause))
        return tuple(groups)

    def as_dict(self) -> dict[str, Any]:
        """The report as plain data."""
        slips = [
            {"kind": s.kind, "subject": list(s.subject), "outcome": s.outcome, "grade": s.grade}
            for s in self.slips
        ]
        points = [{"point": point, "harm": count} for point, count in self.points]
        return {"slips": slips, "points": points}


def slips(harness: Harness) -> SlipReport:
    """Every plausible single slip of a job and what it would do."""
    base, rewire = View(harness), Rewire(harness)
    refused = too_many(base)
    if refused is not None:
        return SlipReport((), (), refused)
    outcomes = Outcomes(base, rewire)
    found = [_graded(planned, outcomes.of(planned)) for planned in plausible(base, rewire.drawn)]
    found.sort(key=lambda s: (GRADES.index(s.grade), KINDS.index(s.kind), s.subject))
    return SlipReport(tuple(found), _ranked(found))


def _graded(planned: Planned, outcome: Outcome) -> Slip:
    """A slip with what comes of it."""
    words = outcome.sentence
    points = set(outcome.points)
    if planned.kind not in WHOLE_FACE:
        points.update(planned.subject if outcome.harms else ())
    elif outcome.harms > 1:
        words += f", and {outcome.harms - 1} more like it or worse to follow"
    return Slip(
        kind=planned.kind,
        subject=planned.subject,
        outcome=words,
        grade=outcome.grade.words,
        cause=outcome.cause,
        points=tuple(sorted(points)),
    )


def _ranked(found: list[Slip]) -> tuple[tuple[str, int], ...]:
    """The contacts, not studs nor the chassis, with how many harmful slips each is in."""
    harm: Counter[str] = Counter()
    for slip in found:
        if slip.grade == "harm":
            harm.update(point for point in slip.points if "." in point)
    worst_first = sorted(harm, key=lambda point: (-harm[point], point))
    return tuple((point, harm[point]) for point in worst_first)
