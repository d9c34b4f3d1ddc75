"""The verdict over a ring-out.

Per net, then as a whole, with the mistake named where readings disagree.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from wiremap.diagnose.diagnosis import diagnose
from wiremap.diagnose.explain import Ask, Diagnosis
from wiremap.diagnose.judgement import (
    Again,
    Beyond,
    Judgement,
    NetVerdict,
    Verdict,
    expected,
)
from wiremap.diagnose.proof import Proof
from wiremap.entries.probe_lines import batch
from wiremap.evidence.stamping import no_such_points
from wiremap.graph import Harness
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.expectation import Shows
from wiremap.model import Entry
from wiremap.ringout.plan import Method, Plan, plan
from wiremap.ringout.probe import Probe, ProbeKind
from wiremap.ringout.readings import NEVER, History, Stale, Taken

__all__ = ["Judge", "Judgement", "NetVerdict", "Verdict", "expected", "judge", "judge_ringout"]


def judge(
    harness: Harness,
    entries: Iterable[Entry],
    method: str = Method.NEAR,
    kind: str | None = None,
    planned: Plan | None = None,
) -> Judgement:
    """Judge ring-out readings of a settled job against its plan and explain what disagrees.
    `pass` needs every probe of the plan to be proven, `fail` a disagreement that more than one
    reading speaks for; a single stray reading leaves it `incomplete` and is asked again.
    """
    return Judge(harness, planned or plan(harness, method, kind)).over(entries)


def judge_ringout(harness: Harness, readings: str | Iterable[Entry], planned: Plan) -> Judgement:
    """Judge the readings of a plan, in their order.

    Batch lines as they are typed, or notebook entries.

    Raises ValueError for lines that cannot be read.
    """
    if not isinstance(readings, str):
        return Judge(harness, planned).over(readings)
    entries, findings = batch(readings)
    unread = [f.message for f in (*findings, *no_such_points(harness, entries)) if f.fault]
    if unread:
        raise ValueError("; ".join(unread))
    return Judge(harness, planned).over(entries)


class Judge:
    """Judges one ring-out again and again, as its readings come in."""

    def __init__(self, harness: Harness, planned: Plan) -> None:
        self.harness, self.plan = harness, planned
        self.drawn = Drawn(harness, planned.kind, planned.beeper)
        self._explained: dict[tuple[Entry, ...], frozenset[int]] = {}

    def over(self, entries: Iterable[Entry]) -> Judgement:
        """The verdict over these entries, in their order."""
        history = History(self.drawn, self.plan, entries, self._nets_explained)
        readings = [t for t in history.readings if self._is_reached(t)]
        diagnosis = diagnose(self.drawn, readings)
        disagree = tuple(t for t in readings if t.agrees is False)
        wavering = tuple(t for t in readings if t.wavers)
        proof = Proof(self.drawn, history)
        left = tuple(p for p in self.plan.probes if not proof.is_proven(p))
        ask = diagnosis.ask
        if ask is None and not disagree and left:
            ask = self._next_of(left, proof, history)
        return Judgement(
            verdict=self._verdict(disagree, diagnosis, bool(left or wavering)),
            nets=tuple(self._nets(left, disagree, history.stale)),
            diagnosis=diagnosis,
            next=ask,
            left=left,
            disagree=disagree,
            stale=tuple(history.stale),
            plan=self.plan,
            beyond=tuple(self._beyond(history.readings)),
            wavering=wavering,
            again=tuple(self._again(left, history)),
        )

    def _is_reached(self, t: Taken) -> bool:
        return self.drawn.reach_set.issuperset(t.points)

    def _beyond(self, readings: Iterable[Taken]) -> Iterator[Beyond]:
        for t in readings:
            lost = [a for a in t.points if a not in self.drawn.reach_set]
            if lost:
                yield Beyond(t, ", ".join(lost))

    def _nets_explained(self, readings: Sequence[Taken]) -> frozenset[int]:
        """The nets of every mistake in every set that fits these readings."""
        key = tuple(t.entry for t in readings)
        if key not in self._explained:
            found = diagnose(self.drawn, [t for t in readings if self._is_reached(t)])
            nets = [m.nets(self.drawn) for e in found.fits for m in e.mistakes]
            self._explained[key] = frozenset().union(*nets)
        return self._explained[key]

    def _verdict(self, disagree: Sequence[Taken], diagnosis: Diagnosis, open_: object) -> Verdict:
        if disagree:
            lone = _rests_on_one(disagree, diagnosis)
            return Verdict.INCOMPLETE if lone else Verdict.FAIL
        if open_ or not self.plan.probes:
            return Verdict.INCOMPLETE
        return Verdict.PASS

    # -- what is left -----------------------------------------------------------------------------

    def _next_of(self, left: Sequence[Probe], proof: Proof, history: History) -> Ask:
        """The first probe that is left; what a net reopened is owed of combs is read at once."""
        first = left[0]
        if len(first.points) > 2 and first.kind == ProbeKind.APART:
            comb = self._against_the_rest(left, proof, history)
            if comb is not None:
                return comb
        unit = Shows.BEEP if first.expect == Shows.SILENT else first.expect
        why = f"expected: {expected(first)}"
        return Ask(red=first.red, black=first.black, why=why, expect=unit, state=first.state)

    def _against_the_rest(
        self, left: Sequence[Probe], proof: Proof, history: History
    ) -> Ask | None:
        """A net that was read before and must be again, against all others clipped together."""
        silent = [p for p in left if p.kind == ProbeKind.APART and p.expect == Shows.SILENT]
        pairs = {pair for p in silent for pair in proof.open_pairs(p)}
        owed: dict[int, list[int]] = {}
        for i, j in map(sorted, pairs):
            owed.setdefault(i, []).append(j)
            owed.setdefault(j, []).append(i)
        again = [n for n in owed if history.since(n) != NEVER and len(owed[n]) > 1]
        if not again:
            return None
        net = max(again, key=lambda n: (len(owed[n]), -n))
        reached = self.drawn.reached
        others = tuple(reached[n][0] for n in sorted(owed[net]))
        why = f"{self.drawn.names[net]} again, the others clipped together: all must stay silent"
        return Ask(red=reached[net][:1], black=others, why=why)

    def _again(self, left: Sequence[Probe], history: History) -> Iterator[Again]:
        """For each repair what it made stale and is not read again yet."""
        net_of = self.drawn.net_of
        for repair in history.repairs:
            touched = [p for p in left if any(net_of[a] in repair.nets for a in p.points)]
            if touched:
                yield Again(repair, tuple(p.n for p in touched))

    def _nets(
        self, left: Sequence[Probe], disagree: Sequence[Taken], stale: Sequence[Stale]
    ) -> Iterator[NetVerdict]:
        net_of = self.drawn.net_of
        open_at: dict[int, list[str]] = {}
        for p in left:
            for n in {net_of[a] for a in p.points}:
                open_at.setdefault(n, []).append(f"probe {p.n} not yet as expected")
        bad: dict[int, list[str]] = {}
        for t in disagree:
            for n in self._blamed(t):
                bad.setdefault(n, []).append(t.told)
        old: dict[int, dict[str, None]] = {}
        for s in stale:
            for a in (*s.entry.red, *s.entry.black):
                if a in net_of:
                    old.setdefault(net_of[a], {})[s.why] = None
        for n, points in self.drawn.reached.items():
            if len(points) > 1:
                yield NetVerdict(
                    net=self.drawn.names[n],
                    points=points,
                    verdict=_net_verdict(fails=n in bad, waits=n in open_at),
                    why=tuple(bad.get(n) or open_at.get(n) or ()),
                    stale=tuple(old.get(n, ())),
                )

    def _blamed(self, t: Taken) -> list[int]:
        """The nets that a wrong reading fails.

        Of a comb over several nobody knows yet which it was.
        """
        reds, blacks = ({self.drawn.net_of[a] for a in side} for side in (t.red, t.black))
        return sorted(reds | blacks) if len(reds) == len(blacks) == 1 else []


def _net_verdict(*, fails: bool, waits: bool) -> Verdict:
    if fails:
        return Verdict.FAIL
    return Verdict.INCOMPLETE if waits else Verdict.PASS


def _rests_on_one(disagree: Sequence[Taken], diagnosis: Diagnosis) -> bool:
    """Whether every disagreement rests on a single reading that has not been repeated."""
    if len(disagree) == 1 and disagree[0].times < 2:
        return True
    return all(t in diagnosis.suspect for t in disagree)
