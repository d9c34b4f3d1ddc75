"""What a verdict over a ring-out says: per net, then as a whole, as data and in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from wiremap.diagnose.explain import Ask, Diagnosis, Explanation, deed_by_hand, explanation_lines
from wiremap.diagnose.verdict import NetVerdict, SecondRingout, Verdict
from wiremap.mistakes.mistake import mending, words
from wiremap.ringout.gaps import GapKind, full_gap_lines, gap_lines
from wiremap.ringout.plan import Plan
from wiremap.ringout.probe import Probe
from wiremap.ringout.taken import Repair, Stale, Taken, seen

PROVISO = "wiring only: does not prove that the two units understand each other"
SHOWN = 8  # explanations that are told
UNDECIDED = (
    "undecided by any reading: a fault that comes and goes between readings, "
    "and what a repair did far from its place without being told"
)
BEFORE_SLEEVES = "pass before the sleeves are shrunk, not yet after"
AFTER = "then say what was mended, by its contacts, and read again what that makes stale"


@dataclass(frozen=True, slots=True)
class Beyond:
    """A reading that does not count, and those of its points that no probe gets to."""

    taken: Taken
    points: str


@dataclass(frozen=True, slots=True)
class Again:
    """What was mended, and which probes of the plan must be read again for it."""

    repair: Repair
    probes: tuple[int, ...]

    @property
    def told(self) -> str:
        """The repair in words."""
        points = ", ".join(self.repair.entry.points)
        numbers = ", ".join(str(n) for n in self.probes)
        return f"mended {points}: read these {len(self.probes)} again: {numbers}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """The whole verdict: explanations, readings to repeat, what is left, the next probe."""

    verdict: Verdict
    nets: tuple[NetVerdict, ...]
    diagnosis: Diagnosis
    next: Ask | None
    left: tuple[Probe, ...]
    disagree: tuple[Taken, ...]
    stale: tuple[Stale, ...]
    plan: Plan
    beyond: tuple[Beyond, ...]
    wavering: tuple[Taken, ...]  # good readings at which a wrong one was noted before
    again: tuple[Again, ...]
    second: SecondRingout

    @property
    def explanations(self) -> tuple[Explanation, ...]:
        """The explanations that are told, best first."""
        return self.diagnosis.explanations[:SHOWN]

    @property
    def suspect(self) -> tuple[Taken, ...]:
        """Readings to be taken again before they are believed."""
        return self.diagnosis.suspect

    @property
    def counts(self) -> dict[str, int]:
        """How many nets pass, fail, are unfinished, on hold, or stale; each net is in one count."""
        waiting = [n for n in self.nets if n.verdict == Verdict.INCOMPLETE]
        held = [n for n in waiting if not n.stale and self._is_held(n)]
        return {
            "nets": len(self.nets),
            "pass": sum(n.verdict == Verdict.PASS for n in self.nets),
            "fail": sum(n.verdict == Verdict.FAIL for n in self.nets),
            "unfinished": sum(not n.stale for n in waiting) - len(held),
            "held": len(held),
            "stale": sum(bool(n.stale) for n in waiting),
        }

    def _is_held(self, net: NetVerdict) -> bool:
        """Whether all that a net waits for is not read before a stop is lifted."""
        points = set(net.points)
        if not any(points.intersection(loose) for loose in self.plan.held.unread):
            return False
        return not any(points.intersection((*p.red, *p.black)) for p in self.left)

    def as_dict(self) -> dict[str, Any]:
        """The verdict as plain data, in the documented shape."""
        return {
            "verdict": self.verdict,
            "counts": self.counts,
            "nets": [n.as_dict() for n in self.nets],
            "explanations": [e.as_dict() for e in self.explanations],
            "certain": [
                {"kind": mistake.kind, "subject": list(mistake.subject), "words": mistake.words()}
                for mistake in self.diagnosis.certain
            ],
            "suspect": [t.as_dict() for t in self.suspect],
            "next": {} if self.next is None else self.next.as_dict(),
            "wavering": [
                {**taken.as_dict(), "before": seen(taken.before)}
                for taken in self.wavering
                if taken.before
            ],
            "as_built": [list(g) for g in self.diagnosis.as_built],
            "left": sorted(p.n for p in self.left),
            "again": [
                {"mended": list(again.repair.entry.points), "probes": list(again.probes)}
                for again in self.again
            ],
            "second": self.second.as_dict(),
            "not_counted": [b.taken.as_dict() for b in self.beyond],
            "conditions": self.plan.conditions,
            "not_proven": [g.as_dict() for g in self.plan.not_proven],
            "proviso": PROVISO,
        }

    def told(self) -> list[str]:
        """The verdict in words, a line each; the next probe, if one is asked for, comes last."""
        lines = [self.summary, *self.disagreeing(), *self.explained(), *self.not_counted()]
        lines += [self.assumed, PROVISO]
        if self.next is not None:
            lines.append(f"next: {self.next.told}")
        return lines

    @property
    def assumed(self) -> str:
        """What the verdict takes for granted of the bench."""
        return f"judged {self.plan.conditions}"

    def disagreeing(self) -> list[str]:
        """What was read otherwise than drawn, now or now and then."""
        lines = [f"disagrees: {t.told}" for t in self.disagree]
        lines += [_comes_and_goes(t) for t in self.wavering if t.before is not None]
        return lines

    def not_counted(self) -> list[str]:
        """What does not count and why, what is to be read again, what stays unproven."""
        lines = []
        for stale in self.stale:
            sides = f"{'+'.join(stale.entry.red)} to {'+'.join(stale.entry.black)}"
            lines.append(f"stale: {sides} of {stale.entry.date or 'unknown date'}: {stale.why}")
        for beyond in self.beyond:
            where = f"no probe of this ring-out gets to {beyond.points}"
            lines.append(f"not counted: {beyond.taken.told}: {where}")
        lines += [a.told for a in self.again]
        if self.second.probes and (self.second.begun or self.verdict == Verdict.PASS):
            lines.append(self.second.told)
        if self.verdict == Verdict.PASS:
            lines += [f"not proven: {line}" for line in full_gap_lines(self.plan.not_proven)]
            lines.append(UNDECIDED)
        elif not self.left:
            on_hold = [gap for gap in self.plan.not_proven if gap.kind == GapKind.HELD]
            lines += [f"not proven: {line}" for line in gap_lines(on_hold)]
        return lines

    @property
    def is_before_sleeves(self) -> bool:
        """Whether all is well so far, and what is read after the sleeves are shrunk is still to
        come.
        """
        return self.verdict == Verdict.PASS and self.second.verdict != Verdict.PASS

    @property
    def summary(self) -> str:
        """The verdict with its counts."""
        counts = self.counts
        told = BEFORE_SLEEVES if self.is_before_sleeves else str(self.verdict)
        held = (
            f"{counts['held']} on hold (read once their stops are lifted), "
            if counts["held"]
            else ""
        )
        return (
            f"{told}: of {counts['nets']} circuits {counts['pass']} pass, {counts['fail']} fail, "
            f"{counts['unfinished']} unfinished (readings still to take), {held}"
            f"{counts['stale']} stale (changed after they were read); "
            f"{len(self.left)} of {len(self.plan.probes)} readings left"
        )

    def explained(self) -> list[str]:
        """The mistakes that fit the readings, likeliest first, and what is to be mended."""
        diagnosis = self.diagnosis
        more = len(diagnosis.fits) - sum(not e.unexplained for e in self.explanations)
        lines = explanation_lines(self.explanations, more)
        if diagnosis.certain:
            to_mend = mending(diagnosis.certain) or "mend it"
            told = f"certain: {words(diagnosis.certain)}; {to_mend}"
            lines.append(f"{told}, or keep it with --as-built; {AFTER}")
        elif self.next is None and any(not e.unexplained for e in self.explanations):
            by_hand = deed_by_hand(diagnosis.fits)
            lines.append(f"no reading tells these apart: {by_hand}; {AFTER}")
        if diagnosis.as_built:
            groups = "; ".join("-".join(g) for g in diagnosis.as_built)
            lines.append(f"nothing that hands do fits; as built: {groups}")
        return lines


def _comes_and_goes(taken: Taken) -> str:
    assert taken.before is not None
    told = f"comes and goes: {taken.told}, but {seen(taken.before)} before"
    if taken.was_well:
        told += ": it counts for nothing until it is mended, or the wrong one struck out"
    return told
