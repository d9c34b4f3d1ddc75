"""The walk through a ring-out: what comes next, and which entries an answer makes.

It neither asks nor prints: command line and page do.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from wiremap.diagnose.explain import Ask, deed_by_hand, explanation_lines
from wiremap.diagnose.judge import Judge, Judgement, Verdict
from wiremap.diagnose.turn import Turn, planned_turn
from wiremap.diagnose.turn_words import turn_words
from wiremap.diagnose.typed import Typed, refused
from wiremap.entries.notebook import numbered
from wiremap.evidence import refusal
from wiremap.evidence.stamping import stamped
from wiremap.files.dump import mark_of
from wiremap.graph import Harness
from wiremap.mistakes.expectation import Shows
from wiremap.mistakes.mistake import Mistake
from wiremap.model import Entry, EntryKind, Seen, Stop
from wiremap.ringout.bench import bench_questions
from wiremap.ringout.plan import Plan, replanned
from wiremap.ringout.probe import Probe
from wiremap.survey.question import Question

SHOWN = 3  # explanations that are told between two readings


@dataclass(frozen=True, slots=True)
class _Given:
    """One answer of this walk: the turn it answered, and the entries it came to."""

    turn: Turn
    entries: tuple[Entry, ...]


class Walk:
    """Leads through a plan one probe at a time; the caller saves the entries of each answer.

    `turn` says what to do now, `answer` takes what was typed, `undo` takes the last answer back,
    `judged` is the verdict so far.  `question` is what nobody has said of the bench yet, `settle`
    takes the answer and makes the plan anew: best asked before the first turn.  A `judge` of the
    same plan that judged before remembers what it worked out.
    """

    def __init__(
        self,
        harness: Harness,
        plan: Plan,
        entries: Iterable[Entry] = (),
        *,
        judge: Judge | None = None,
    ) -> None:
        self.harness = harness
        self._follow(judge or Judge(harness, plan))
        counted = (EntryKind.PROBE, EntryKind.MENDED)
        given = list(entries)
        self.entries: list[Entry] = [e for e in given if e.kind in counted]
        self._answers = [e for e in given if e.kind == EntryKind.ANSWER]
        self._shrunk = any(e.stop == Stop.SLEEVES for e in given)
        self.skipped: set[int] = set()
        self.skipped_second: set[int] = set()
        self._given: list[_Given] = []

    def _follow(self, judge: Judge) -> None:
        """Go by the plan of this judge from now on."""
        self.plan = judge.plan
        self._judge = judge
        self._typed = Typed(judge.drawn)
        self._judged: Judgement | None = None

    # -- the bench --------------------------------------------------------------------------------

    def question(self) -> Question | None:
        """What nobody has said of the bench; None once all is said, or a reading was taken."""
        return next(iter(self.questions()), None)

    def questions(self) -> tuple[Question, ...]:
        """All that nobody has said of the bench, before a reading was taken."""
        return bench_questions(self.harness.job, [*self._answers, *self.entries])

    def settle(self, question: Question, text: str, by: str, date: str) -> tuple[Entry, ...]:
        """The answer as an entry, and the plan made by it; nothing if it is no answer.

        Raises TooLarge as `plan` does.
        """
        said = " ".join(text.split())
        if not said or refusal(self.harness.job, question.about, said) is not None:
            return ()
        entry = Entry(kind=EntryKind.ANSWER, about=question.about, answer=said, by=by, date=date)
        self._answers.append(entry)
        plan = replanned(self.harness, self.plan, self._answers)
        self._follow(Judge(self.harness, plan))
        return (entry,)

    # -- the verdict ------------------------------------------------------------------------------

    def judged(self) -> Judgement:
        """The verdict over all that has been read so far."""
        if self._judged is None:
            self._judged = self._judge.over(self.entries)
        return self._judged

    # -- what to do now ---------------------------------------------------------------------------

    def turn(self) -> Turn | None:
        """The telling probe if something disagrees, what to mend, else the next of the plan; None
        at the end.
        """
        judged = self.judged()
        if judged.diagnosis.ask is not None:
            return self._asked(judged.diagnosis.ask, telling=True)
        if judged.disagree:
            return self._to_mend(judged)
        if judged.verdict == Verdict.PASS and self._shrunk:
            return self._second(judged)
        if judged.next is None:
            return None
        left = next((p for p in judged.left if p.n not in self.skipped), None)
        if left is None:
            return None
        if left is judged.left[0] and self._planned(judged.next) is None:
            return self._asked(judged.next, telling=False)
        return planned_turn(left)

    def _second(self, judged: Judgement) -> Turn | None:
        """The next reading of the second ring-out, once the stop at the sleeves was passed."""
        waiting = [p for p in judged.second.left if p.n not in self.skipped_second]
        return planned_turn(waiting[0]) if waiting else None

    def _asked(self, ask: Ask, *, telling: bool) -> Turn:
        return Turn(
            red=ask.red,
            black=ask.black,
            expect="a diode's drop or none" if ask.expect == Shows.DIODE else "",
            why=ask.why,
            probe=self._planned(ask),
            telling=telling,
            state=ask.state,
            unit=ask.expect,
        )

    def _to_mend(self, judged: Judgement) -> Turn | None:
        certain = judged.diagnosis.certain
        if certain:
            why = "mend it, then its beeps are read again, and what else it makes stale"
            return Turn(why=why, mend=certain, telling=True)
        fits = judged.diagnosis.fits
        if not fits:
            return None
        mistakes = tuple(dict.fromkeys(m for e in fits for m in e.mistakes))
        why = f"no reading tells these apart: {deed_by_hand(fits)}"
        return Turn(why=why, mend=mistakes, certain=False, telling=True)

    def _planned(self, ask: Ask) -> Probe | None:
        for probe in (*self.plan.probes, *self.plan.second):
            if (probe.red, probe.black, probe.state) == (ask.red, ask.black, ask.state):
                return probe
        return None

    # -- answers ----------------------------------------------------------------------------------

    def answer(self, turn: Turn, text: str, by: str, date: str) -> tuple[Entry, ...]:
        """The entries that an answer comes to, kept; none if it cannot be read."""
        made = self._typed.read(turn, text.strip())
        entries = tuple(self._kept(replace(e, by=by, date=date)) for e in made)
        if entries:
            self._given.append(_Given(turn, entries))
            self._judged = None
            if turn.probe is not None and entries[0].seen == Seen.UNSURE:
                self._skips(turn.probe).add(turn.probe.n)
        return entries

    def _skips(self, probe: Probe) -> set[int]:
        """The numbers of skipped probes, of the first or the second ring-out."""
        return self.skipped_second if probe.state.shrunk else self.skipped

    def _kept(self, entry: Entry) -> Entry:
        """The entry, kept with all others; numbered if another says just the same, so that either
        can be struck out.
        """
        entry = numbered(entry, self.entries)
        entry = stamped(self.harness, entry)
        self.entries.append(entry)
        return entry

    def refused(self, turn: Turn, text: str) -> str:
        """Why a typed answer is none."""
        return refused(turn, text)

    def places(self, mistake: Mistake) -> Sequence[str]:
        """The contacts at which a mistake is mended."""
        return self._typed.places(mistake)

    def undo(self) -> tuple[Entry, ...]:
        """Take the last answer back, also one of an earlier walk; gives the entries that strike it
        out.
        """
        if self._given:
            given = self._given.pop()
            gone = given.entries
            if given.turn.probe is not None:
                self._skips(given.turn.probe).discard(given.turn.probe.n)
        else:
            gone = tuple(self.entries[-1:])
        if gone:
            del self.entries[-len(gone) :]
            self._judged = None
        return tuple(
            Entry(
                kind=EntryKind.STRUCK_OUT,
                by=entry.by,
                date=entry.date,
                mark=mark_of(entry),
                why="taken back",
            )
            for entry in gone
        )

    # -- in words ---------------------------------------------------------------------------------

    def show(self, turn: Turn) -> list[str]:
        """The probe in words with a drawing of each face; or what to mend."""
        return turn_words(self.harness, self.plan.kind, turn)

    def said(self) -> list[str]:
        """What the diagnosis says now, empty while all agrees."""
        judged = self.judged()
        more = sum(not e.unexplained for e in judged.diagnosis.explanations[SHOWN:])
        lines = [f"this disagrees: {t.told}" for t in judged.disagree[-1:]]
        return lines + explanation_lines(judged.explanations[:SHOWN], more)
