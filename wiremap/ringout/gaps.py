"""What a ring-out does not prove, said outright."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, product
from typing import Any

from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.mistake import CALLED, Kind, Mistake
from wiremap.ringout.coverage import Coverage
from wiremap.ringout.probe import Probe
from wiremap.rules import held

HIDDEN = "hidden"
Pairs = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Gap:
    """One thing that stays unproven, whom it concerns and why.

    `pairs` lists untested pairs of nets; of a hidden mistake the subject begins with its kind.
    """

    kind: str  # one-contact, unreached, untested-pairs, twist, hidden, held, crimp
    subject: tuple[str, ...]
    why: str
    pairs: Pairs = ()

    def as_dict(self) -> dict[str, Any]:
        """The gap as plain data."""
        out: dict[str, Any] = {"kind": self.kind, "subject": list(self.subject), "why": self.why}
        if self.pairs:
            out["pairs"] = [list(p) for p in self.pairs]
        return out


def gaps(drawn: Drawn, probes: Sequence[Probe], coverage: Coverage) -> Iterator[Gap]:
    """Single contacts, points out of reach, untested pairs, twists, hidden mistakes, crimps."""
    alone = "a contact by itself cannot beep: its silence may be a probe that did not touch"
    for points in drawn.reached.values():
        if len(points) == 1:
            yield Gap("one-contact", points, alone)
    lost = tuple(a for a in drawn.points if a not in drawn.reach)
    if lost:
        why = (
            "no probe gets there, nor shows what it touches: "
            "only what was read there before the cut speaks of it"
        )
        yield Gap("unreached", lost, why)
    untested = _untested(drawn, probes)
    if untested:
        why = f"{len(untested)} pairs of circuits were not probed against each other by this method"
        yield Gap("untested-pairs", (), why, untested)
    twist = "one wire from each of two pairs beeps perfectly: look that these share one twist"
    for pair in drawn.harness.job.twists.values():
        yield Gap("twist", pair.circuits, twist)
    for mistake in _hidden(drawn, coverage, untested):
        why = f"none of these readings would show {CALLED[mistake.kind]}"
        yield Gap(HIDDEN, (mistake.kind, *mistake.subject), why)
    yield from _held(drawn)
    if probes:
        why = "a beep proves no crimp: load supply and ground and read the drop in millivolts"
        yield Gap("crimp", (), why)


def _held(drawn: Drawn) -> Iterator[Gap]:
    """What the check stops at and nobody has signed, one gap a rule."""
    points: dict[str, list[str]] = {}
    for address, finding in held(drawn.harness).items():
        points.setdefault(finding.rule, []).append(address)
    for rule, addresses in points.items():
        why = f"the check stops here ({rule}): a reading shows what was built, not that it is right"
        yield Gap("held", tuple(addresses), why)


def _hidden(drawn: Drawn, coverage: Coverage, untested: Pairs) -> Iterator[Mistake]:
    """The mistakes that the plan would not show, without the touches of what is told already."""
    apart = {frozenset(p) for p in untested}
    lost = {drawn.net_of[a] for a in drawn.points} - drawn.reached.keys()
    unreached = {drawn.names[n] for n in lost}
    for mistake in coverage.hidden:
        told = frozenset(mistake.subject) in apart or unreached.intersection(mistake.subject)
        if mistake.kind != Kind.BRIDGE or not told:
            yield mistake


def summed(gaps: Iterable[Gap]) -> list[str]:
    """Gaps in as few lines as can be: those with one reason together, each subject once."""
    reasons: dict[str, dict[str, None]] = {}
    for gap in gaps:
        subjects = reasons.setdefault(gap.why, {})
        named = gap.subject[1:] if gap.kind == HIDDEN else gap.subject
        if named:
            subjects[" and ".join(named)] = None
    return [f"{', '.join(told)}: {why}" if told else why for why, told in reasons.items()]


def _untested(drawn: Drawn, probes: Sequence[Probe]) -> Pairs:
    """The pairs of nets that no probe stands between."""
    tested = {frozenset(p) for group in drawn.meeting for p in combinations(group, 2)}
    for probe in probes:
        if not probe.is_through:
            reds = {drawn.net_of[a] for a in probe.red}
            blacks = {drawn.net_of[a] for a in probe.black}
            tested.update(frozenset(pair) for pair in product(reds, blacks))
    return tuple(
        (drawn.names[i], drawn.names[j])
        for i, j in combinations(drawn.reached, 2)
        if frozenset((i, j)) not in tested
    )
