"""The verdict over a ring-out: per net, then as a whole, with the mistake named where readings disagree."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from wiremap.diagnose.diagnosis import Ask, Diagnosis, Explanation, diagnose
from wiremap.diagnose.explain import lines as explained
from wiremap.evidence import is_short
from wiremap.graph import Harness
from wiremap.graph.walks import Joined
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.expectation import Shows
from wiremap.model import Entry
from wiremap.model.quantities import plain
from wiremap.ringout.gaps import summed
from wiremap.ringout.plan import Plan, plan
from wiremap.ringout.probe import Probe
from wiremap.ringout.readings import Stale, Taken, seen, taken

PROVISO = "wiring only: does not prove that the two units understand each other"


@dataclass(frozen=True, slots=True)
class NetVerdict:
    """What the readings say of one net: pass, fail or incomplete, and why."""

    net: str
    points: tuple[str, ...]
    verdict: str
    why: tuple[str, ...] = ()
    stale: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Judgement:
    """The whole verdict: pass, fail or incomplete; explanations, readings to repeat, the next probe."""

    verdict: str
    nets: tuple[NetVerdict, ...]
    diagnosis: Diagnosis
    next: Ask | None
    left: tuple[Probe, ...]
    disagree: tuple[Taken, ...]
    stale: tuple[Stale, ...]
    plan: Plan
    beyond: tuple[
        tuple[Taken, str], ...
    ] = ()  # readings that do not count, and the points that no probe gets to
    wavering: tuple[Taken, ...] = ()  # good readings at which a wrong one was noted before

    @property
    def explanations(self) -> tuple[Explanation, ...]:
        """Explanations, best first."""
        return self.diagnosis.explanations

    @property
    def counts(self) -> dict[str, int]:
        """How many nets pass, fail, wait for readings, or were read before their metal was changed; each net once."""
        waiting = [n for n in self.nets if n.verdict == "incomplete"]
        return {
            "nets": len(self.nets),
            "pass": sum(n.verdict == "pass" for n in self.nets),
            "fail": sum(n.verdict == "fail" for n in self.nets),
            "unfinished": sum(not n.stale for n in waiting),
            "stale": sum(bool(n.stale) for n in waiting),
        }

    @property
    def suspect(self) -> tuple[Taken, ...]:
        """Readings to be taken again before they are believed."""
        return self.diagnosis.suspect

    def as_dict(self) -> dict[str, Any]:
        """The verdict as plain data, in the documented shape."""
        ask = self.next
        return {
            "verdict": self.verdict,
            "counts": self.counts,
            "nets": [
                {
                    "net": n.net,
                    "points": list(n.points),
                    "verdict": n.verdict,
                    "why": list(n.why),
                    "stale": list(n.stale),
                }
                for n in self.nets
            ],
            "explanations": [e.as_dict() for e in self.explanations],
            "suspect": [
                {"red": list(t.red), "black": list(t.black), "seen": seen(t.entry)}
                for t in self.suspect
            ],
            "next": {} if ask is None else ask.as_dict(),
            "wavering": [
                {
                    "red": list(t.red),
                    "black": list(t.black),
                    "seen": seen(t.entry),
                    "before": seen(t.before),
                }
                for t in self.wavering
                if t.before is not None
            ],
            "as_built": [list(g) for g in self.diagnosis.as_built],
            "left": [p.n for p in self.left],
            "not_counted": [
                {"red": list(t.red), "black": list(t.black), "seen": seen(t.entry)}
                for t, _ in self.beyond
            ],
            "not_proven": [g.as_dict() for g in self.plan.not_proven],
            "proviso": PROVISO,
        }

    def told(self) -> list[str]:
        """The verdict in words, a line each."""
        n = self.counts
        lines = [
            f"{self.verdict}: of {n['nets']} nets {n['pass']} pass, {n['fail']} fail, {n['unfinished']} unfinished (readings still to "
            f"take), {n['stale']} stale (changed after they were read); {len(self.left)} of {len(self.plan.probes)} readings left"
        ]
        lines += [f"disagrees: {t.told}" for t in self.disagree]
        lines += [
            f"comes and goes: {t.told}, but {seen(t.before)} before"
            for t in self.wavering
            if t.before is not None
        ]
        lines += explained(self.explanations, self.diagnosis.more)
        if self.diagnosis.as_built:
            lines.append(
                "nothing that hands do fits; as built: "
                + "; ".join("-".join(g) for g in self.diagnosis.as_built)
            )
        lines += [
            f"stale: {'+'.join(s.entry.red)} to {'+'.join(s.entry.black)} of {s.entry.date or 'unknown date'}: {s.why}"
            for s in self.stale
        ]
        lines += [
            f"not counted: {t.told}: no probe of this ring-out gets to {lost}"
            for t, lost in self.beyond
        ]
        if self.next is not None:
            lines.append(f"next: {self.next.told}")
        elif any(not e.unexplained for e in self.explanations):
            lines.append(
                "mend it, or keep it with --as-built; then read what disagreed again, each until it is well twice in a row"
            )
        if self.verdict == "pass":
            lines += [f"not proven: {line}" for line in summed(self.plan.not_proven)]
        return [*lines, PROVISO]


def judge(
    harness: Harness,
    entries: Iterable[Entry],
    method: str = "near",
    kind: str | None = None,
    planned: Plan | None = None,
) -> Judgement:
    """Judge ring-out readings of a settled job against its plan and explain what disagrees.

    `pass` needs every probe of the plan to be as expected, `fail` a disagreement that more than one reading speaks
    for; a single stray reading leaves it `incomplete` and is asked again.
    """
    made = planned or plan(harness, method, kind)
    drawn = Drawn(harness, made.kind)
    readings, stale = taken(drawn, made, entries)
    lost = [", ".join(a for a in (*t.red, *t.black) if a not in drawn.reach_set) for t in readings]
    beyond = tuple((t, points) for t, points in zip(readings, lost, strict=True) if points)
    readings = tuple(t for t, points in zip(readings, lost, strict=True) if not points)
    diagnosis = diagnose(
        drawn, readings, frozenset(made.coverage.hidden) if _all_read(made, readings) else None
    )
    disagree = tuple(t for t in readings if t.agrees is False)
    wavering = tuple(t for t in readings if t.before is not None)
    proof = _Proof(drawn, readings)
    left = tuple(p for p in made.probes if not proof.proven(p))
    if disagree:
        verdict = "incomplete" if _unsupported(disagree, diagnosis) else "fail"
    else:
        verdict = "incomplete" if left or not made.probes or wavering else "pass"
    ask = diagnosis.ask
    if ask is None and not disagree and left:
        ask = Ask(
            left[0].red,
            left[0].black,
            f"expected: {expected(left[0])}",
            expect=_unit(left[0]),
            state=left[0].state,
        )
    return Judgement(
        verdict,
        tuple(_nets(drawn, made, left, disagree, stale)),
        diagnosis,
        ask,
        left,
        disagree,
        stale,
        made,
        beyond,
        wavering,
    )


def _all_read(made: Plan, readings: Iterable[Taken]) -> bool:
    """Whether every reading of the plan was taken, whatever it said."""
    read = {(frozenset((t.red, t.black)), t.state) for t in readings}
    return all((frozenset((p.red, p.black)), p.state) in read for p in made.probes)


def _unit(probe: Probe) -> Shows:
    return Shows.BEEP if probe.expect == Shows.SILENT else probe.expect


def expected(probe: Probe) -> str:
    """What a probe should show, in words."""
    if probe.expect != "ohms":
        return {"beep": "beep", "silent": "silence", "diode": "a diode's drop, red on its anode"}[
            probe.expect
        ]
    high = probe.high if probe.high is not None else float("inf")
    low = plain(probe.low or 0.0)
    return f"{low} ohm or more" if high == float("inf") else f"{low} to {plain(high)} ohm"


def _unsupported(disagree: Sequence[Taken], diagnosis: Diagnosis) -> bool:
    """Whether every disagreement rests on a single reading that has not been repeated."""
    suspects = {id(t) for t in diagnosis.suspect}
    return all(id(t) in suspects for t in disagree) or (
        len(disagree) == 1 and disagree[0].times < 2
    )


class _Proof:
    """What the readings prove: points that beep together, nets that are apart."""

    def __init__(self, drawn: Drawn, readings: Sequence[Taken]) -> None:
        self.drawn = drawn
        self.heard: Joined[str] = Joined()
        self.touched: set[str] = set()
        self.apart: set[tuple[int, int]] = set()
        self.exact = {(t.red, t.black, t.state) for t in readings if t.agrees} | {
            (t.black, t.red, t.state) for t in readings if t.agrees and not t.diode_range
        }
        good = [t for t in readings if t.agrees and not t.state]
        for t in good:
            one = (
                len(t.red) == len(t.black) == 1
                and drawn.net_of[t.red[0]] == drawn.net_of[t.black[0]]
            )
            if one and is_short(t.entry):
                self.heard.join(t.red[0], t.black[0])
                self.touched.update((t.red[0], t.black[0]))
        for t in good:
            for a in t.red:
                for b in t.black:
                    i, j = drawn.net_of[a], drawn.net_of[b]
                    if i != j and self._sure(a) and self._sure(b):
                        self.apart.add((min(i, j), max(i, j)))

    def _sure(self, a: str) -> bool:
        """A silent contact counts once it has beeped; one that stands alone never can and is told as unproven."""
        return a in self.touched or len(self.drawn.reached.get(self.drawn.net_of[a], ())) < 2

    def proven(self, p: Probe) -> bool:
        """Whether the readings prove what this probe asks."""
        if p.state or p.kind == "band" or p.expect in ("ohms", "diode"):
            return (p.red, p.black, p.state) in self.exact
        if p.expect == "beep":
            return self.heard.root(p.red[0]) == self.heard.root(p.black[0])
        group = self.drawn.net_of
        return all(
            (min(group[a], group[b]), max(group[a], group[b])) in self.apart
            for a in p.red
            for b in p.black
        )


def _nets(
    drawn: Drawn,
    made: Plan,
    left: Sequence[Probe],
    disagree: Sequence[Taken],
    stale: Sequence[Stale],
) -> Iterable[NetVerdict]:
    open_at: dict[int, list[str]] = {}
    for p in left:
        for n in {drawn.net_of[a] for a in (*p.red, *p.black)}:
            open_at.setdefault(n, []).append(f"probe {p.n} not yet as expected")
    bad: dict[int, list[str]] = {}
    for t in disagree:
        reds, blacks = ({drawn.net_of[a] for a in side} for side in (t.red, t.black))
        if (
            len(reds) == len(blacks) == 1
        ):  # of a comb over several nets nobody knows yet which it was
            for n in sorted(reds | blacks):
                bad.setdefault(n, []).append(t.told)
    old: dict[int, list[str]] = {}
    for s in stale:
        for n in {drawn.net_of[a] for a in (*s.entry.red, *s.entry.black) if a in drawn.net_of}:
            old.setdefault(n, []).append(s.why)
    for i, points in drawn.reached.items():
        if len(points) > 1:
            verdict = "fail" if i in bad else "incomplete" if i in open_at else "pass"
            yield NetVerdict(
                drawn.names[i],
                points,
                verdict,
                tuple(bad.get(i, open_at.get(i, ()))),
                tuple(dict.fromkeys(old.get(i, ()))),
            )
