"""The verdict over a ring-out: per net, as a whole, and which mistake explains it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from wiremap.diagnose.diagnosis import diagnose
from wiremap.diagnose.explain import Diagnosis
from wiremap.diagnose.judgement import Again, Beyond, Judgement
from wiremap.diagnose.left import Left, ask_of, in_turn
from wiremap.diagnose.proof import Proof
from wiremap.diagnose.verdict import NetVerdict, SecondRingout, Verdict
from wiremap.entries.probe_lines import batch
from wiremap.evidence.stamping import no_such_points
from wiremap.graph import Harness
from wiremap.mistakes.drawn import drawn_of
from wiremap.model import Entry
from wiremap.ringout.plan import Plan, plan
from wiremap.ringout.probe import Probe, ProbeKind
from wiremap.ringout.readings import History
from wiremap.ringout.taken import Stale, Taken

ON_HOLD = "the check stops at this joint: no beep of it is asked for"

__all__ = ["Judge", "Judgement", "NetVerdict", "Verdict", "judge", "judge_ringout"]


def judge(
    harness: Harness,
    entries: Iterable[Entry],
    method: str | None = None,
    kind: str | None = None,
    planned: Plan | None = None,
) -> Judgement:
    """Judge ring-out readings of a settled job against its plan and explain what disagrees.
    `pass` needs every probe of the plan to be proven, `fail` a disagreement that more than one
    reading speaks for; a single stray reading leaves it `incomplete` and is asked again.
    """
    return Judge(harness, planned or plan(harness, method, kind)).over(entries)


def judge_ringout(harness: Harness, readings: str | Iterable[Entry], planned: Plan) -> Judgement:
    """Judge the readings of a plan, in their order: lines as they are typed, or notebook entries.

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
        self.drawn = drawn_of(harness, planned.kind, planned.beeper)
        self._explained: dict[tuple[Entry, ...], frozenset[int]] = {}
        bites = [p for p in planned.probes if p.kind == ProbeKind.CLIP]
        self._grips = {self.drawn.net_of[a]: a for p in bites for a in p.black}

    def over(self, entries: Iterable[Entry]) -> Judgement:
        """The verdict over these entries, in their order."""
        history = History(self.drawn, self.plan, entries, self._nets_explained)
        readings = [t for t in history.readings if self._counts(t)]
        diagnosis = diagnose(self.drawn, _of_now(readings))
        disagree = tuple(t for t in readings if t.agrees is False)
        wavering = tuple(t for t in readings if t.wavers)
        proof = Proof(self.drawn, history, self.plan.held.alone)
        waiting = [p for p in self.plan.probes if not proof.is_proven(p)]
        left = in_turn(waiting, history, proof)
        second = self._second(readings, proof)
        ask = diagnosis.ask
        if ask is None and not disagree and left:
            ask = Left(self.drawn, history, left, self._grips).next(proof)
        elif ask is None and not disagree and second.begun and second.left:
            ask = ask_of(second.left[0])
        is_open = bool(left or wavering or self.plan.held.nets)
        return Judgement(
            verdict=self._verdict(disagree, diagnosis, is_open=is_open),
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
            second=second,
        )

    def _second(self, readings: Sequence[Taken], proof: Proof) -> SecondRingout:
        """What was read after the sleeves were shrunk."""
        left = tuple(p for p in self.plan.second if not proof.is_proven(p))
        taken = [t for t in readings if t.state.shrunk]
        wrong = tuple(t for t in taken if t.agrees is False)
        return SecondRingout(probes=self.plan.second, left=left, wrong=wrong, begun=bool(taken))

    def _counts(self, taken: Taken) -> bool:
        """Whether a diagnosis may rest on a reading: not if it is right only without a joint on
        hold.
        """
        return self._is_reached(taken) and not taken.on_hold

    def _is_reached(self, taken: Taken) -> bool:
        return self.drawn.reach_set.issuperset(taken.points)

    def _beyond(self, readings: Iterable[Taken]) -> Iterator[Beyond]:
        for taken in readings:
            lost = [a for a in taken.points if a not in self.drawn.reach_set]
            if lost:
                yield Beyond(taken, ", ".join(lost))

    def _nets_explained(self, readings: Sequence[Taken]) -> frozenset[int]:
        """The nets of every mistake in every set that fits these readings."""
        key = tuple(t.entry for t in readings)
        if key not in self._explained:
            found = diagnose(self.drawn, [t for t in readings if self._counts(t)])
            nets = [m.nets(self.drawn) for e in found.fits for m in e.mistakes]
            self._explained[key] = frozenset().union(*nets)
        return self._explained[key]

    def _verdict(
        self, disagree: Sequence[Taken], diagnosis: Diagnosis, *, is_open: bool
    ) -> Verdict:
        if disagree:
            lone = _rests_on_one(disagree, diagnosis)
            return Verdict.INCOMPLETE if lone else Verdict.FAIL
        if is_open or not self.plan.probes:
            return Verdict.INCOMPLETE
        return Verdict.PASS

    # -- what is left -----------------------------------------------------------------------------

    def _again(self, left: Sequence[Probe], history: History) -> Iterator[Again]:
        """For each repair what it made stale and is not read again yet."""
        net_of = self.drawn.net_of
        for repair in history.repairs:
            touched = [p for p in left if any(net_of[a] in repair.nets for a in p.points)]
            if touched:
                yield Again(repair, tuple(sorted(p.n for p in touched)))

    def _nets(
        self, left: Sequence[Probe], disagree: Sequence[Taken], stale: Sequence[Stale]
    ) -> Iterator[NetVerdict]:
        net_of = self.drawn.net_of
        open_at = self._open_at(left)
        bad: dict[int, list[str]] = {}
        for taken in disagree:
            for net in self._blamed(taken):
                bad.setdefault(net, []).append(taken.told)
        old: dict[int, dict[str, None]] = {}
        for each in stale:
            for point in (*each.entry.red, *each.entry.black):
                if point in net_of:
                    old.setdefault(net_of[point], {})[each.why] = None
        for net, points in self.drawn.reached.items():
            if len(points) > 1:
                yield NetVerdict(
                    net=self.drawn.names[net],
                    points=points,
                    verdict=_net_verdict(fails=net in bad, waits=net in open_at),
                    why=tuple(bad.get(net) or open_at.get(net) or ()),
                    stale=tuple(old.get(net, ())),
                )

    def _open_at(self, left: Sequence[Probe]) -> dict[int, list[str]]:
        """Of each net that waits what it waits for: readings, or a joint that is on hold."""
        found: dict[int, list[str]] = {}
        for probe in left:
            for net in {self.drawn.net_of[a] for a in probe.points}:
                found.setdefault(net, []).append(f"probe {probe.n} not yet as expected")
        for net in self.plan.held.nets:
            found.setdefault(net, []).append(ON_HOLD)
        return found

    def _blamed(self, taken: Taken) -> list[int]:
        """The nets that a wrong reading fails; none for a comb, as nobody knows yet which."""
        reds, blacks = ({self.drawn.net_of[a] for a in side} for side in (taken.red, taken.black))
        return sorted(reds | blacks) if len(reds) == len(blacks) == 1 else []


def _of_now(readings: Sequence[Taken]) -> list[Taken]:
    """The readings that a diagnosis rests on.

    Once one is wrong after the sleeves were shrunk, only those since: before, it was not so.
    """
    shrunk = [t for t in readings if t.state.shrunk]
    if all(t.agrees is not False for t in shrunk):
        return list(readings)
    first = min(t.at for t in shrunk)
    return [t for t in readings if t.at >= first]


def _net_verdict(*, fails: bool, waits: bool) -> Verdict:
    if fails:
        return Verdict.FAIL
    return Verdict.INCOMPLETE if waits else Verdict.PASS


def _rests_on_one(disagree: Sequence[Taken], diagnosis: Diagnosis) -> bool:
    """Whether every disagreement rests on a single reading that has not been repeated."""
    if len(disagree) == 1 and disagree[0].times < 2:
        return True
    return all(t in diagnosis.suspect for t in disagree)
