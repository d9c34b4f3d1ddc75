"""The walk through a ring-out: what to ask next, how to show it, what a typed answer means.

Talks to nobody itself.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from wiremap.diagnose.explain import Ask, lines, told_by_hand
from wiremap.diagnose.judge import Judge, Judgement, Verdict, expected
from wiremap.diagnose.places import AT_JOINT, is_at_joint, words_at
from wiremap.entries.notebook import numbered
from wiremap.entries.numbers import read_seen
from wiremap.evidence import refusal
from wiremap.evidence.stamping import stamped
from wiremap.files.dump import mark_of
from wiremap.graph import Harness
from wiremap.mistakes.build import NOWHERE
from wiremap.mistakes.expectation import Shows
from wiremap.mistakes.face import draw
from wiremap.mistakes.mistake import Mistake, words
from wiremap.model import Address, Entry, EntryKind, Seen, Span, State, Stop
from wiremap.ringout.bench import bench_questions
from wiremap.ringout.plan import Plan, replanned
from wiremap.ringout.probe import Probe, ProbeKind, setting
from wiremap.ringout.readings import DIODE_RANGE
from wiremap.survey.question import Question

KEYS = (
    "b beep, s silent, o open (OL), n not sure, a number of ohms, d diode, no diode, "
    "m mended (and its contacts), u undo, ? why, h this list, q keep and stop; Enter is no answer"
)
KEPT, BACK, WHY, HELP = "q", "u", "?", "h"
_WORDS = {
    "quit": KEPT,
    "exit": KEPT,
    "stop": KEPT,
    "keep": KEPT,
    "undo": BACK,
    "back": BACK,
    "why": WHY,
    "help": HELP,
    "keys": HELP,
}
NO_DIODE = ("no diode", "nodiode", "no drop")
SWEPT = "told by its name in a sweep"


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """What to do now: a probe to take, or something to mend.
    `why` says what it tells, `probe` is the planned one, if it is one; `unit` what has to be read.
    `mend` holds the mistakes of which one must be mended; then there is nothing to probe.
    """

    red: tuple[str, ...] = ()
    black: tuple[str, ...] = ()
    expect: str = ""
    why: str
    probe: Probe | None = None
    telling: bool = False
    state: State = NOWHERE
    unit: Shows = Shows.BEEP
    mend: tuple[Mistake, ...] = ()
    certain: bool = True  # of the mistakes to mend: all of them are there

    @property
    def sweep(self) -> bool:
        """Whether one probe goes over several points, so that the one that beeps may be named.

        Not where a clip is tried: it beeps through all that hang together, or has fallen.
        """
        tries_clip = self.probe is not None and self.probe.kind == ProbeKind.CLIP
        return len(self.red) == 1 and len(self.black) > 1 and not tries_clip


def planned_turn(probe: Probe) -> Turn:
    """A planned reading as what to do now."""
    return Turn(
        red=probe.red,
        black=probe.black,
        expect=expected(probe),
        why="; ".join(filter(None, (*probe.proves, probe.why))),
        probe=probe,
        state=probe.state,
        unit=probe.expect,
    )


def meant(typed: str) -> str:
    """What a typed line asks of the walk (`q`, `u`, `?` or `h`, spelled out or not).

    Empty if it is an answer.
    """
    word = typed.strip().casefold()
    return _WORDS.get(word, word if word in (KEPT, BACK, WHY, HELP) else "")


@dataclass(frozen=True, slots=True)
class _Given:
    """One answer of this walk: the turn it answered, and the entries it came to."""

    turn: Turn
    entries: tuple[Entry, ...]


class Walk:
    """Leads through a plan one probe at a time.

    Every answer becomes entries that the caller saves at once.
    `turn` says what to do now, `answer` takes what was typed, `undo` takes the last answer back,
    `judged` is the verdict so far.  `question` is what nobody has said of the bench yet, `settle`
    takes the answer and makes the plan anew: best asked before the first turn.
    """

    def __init__(self, harness: Harness, plan: Plan, entries: Iterable[Entry] = ()) -> None:
        self.harness = harness
        self._follow(plan)
        counted = (EntryKind.PROBE, EntryKind.MENDED)
        given = list(entries)
        self.entries: list[Entry] = [e for e in given if e.kind in counted]
        self._answers = [e for e in given if e.kind == EntryKind.ANSWER]
        self._shrunk = any(e.stop == Stop.SLEEVES for e in given)
        self.skipped: set[int] = set()
        self.skipped_second: set[int] = set()
        self._given: list[_Given] = []

    def _follow(self, plan: Plan) -> None:
        """Go by this plan from now on."""
        self.plan = plan
        self._judge = Judge(self.harness, plan)
        self.drawn = self._judge.drawn
        self._judged: Judgement | None = None

    # -- the bench --------------------------------------------------------------------------------

    def question(self) -> Question | None:
        """What nobody has said of the bench; None once all is said, or a reading was taken."""
        found = bench_questions(self.harness.job, [*self._answers, *self.entries])
        return next(iter(found), None)

    def settle(self, question: Question, text: str, by: str, date: str) -> tuple[Entry, ...]:
        """The answer as an entry, and the plan made by it; nothing if it is no answer.

        Raises TooLarge as `plan` does.
        """
        said = " ".join(text.split())
        if not said or refusal(self.harness.job, question.about, said) is not None:
            return ()
        entry = Entry(kind=EntryKind.ANSWER, about=question.about, answer=said, by=by, date=date)
        self._answers.append(entry)
        self._follow(replanned(self.harness, self.plan, self._answers))
        return (entry,)

    # -- the verdict ------------------------------------------------------------------------------

    def judged(self) -> Judgement:
        """The verdict over all that has been read so far."""
        if self._judged is None:
            self._judged = self._judge.over(self.entries)
        return self._judged

    # -- what to do now ---------------------------------------------------------------------------

    def turn(self) -> Turn | None:
        """The telling probe if something disagrees, what to mend, else the next of the plan.

        None at the end.
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
            why = "mend it, then its circuits are read again"
            return Turn(why=why, mend=certain, telling=True)
        fits = judged.diagnosis.fits
        if not fits:
            return None
        mistakes = tuple(dict.fromkeys(m for e in fits for m in e.mistakes))
        why = f"no reading tells these apart: {told_by_hand(fits)}"
        return Turn(why=why, mend=mistakes, certain=False, telling=True)

    def _planned(self, ask: Ask) -> Probe | None:
        for p in (*self.plan.probes, *self.plan.second):
            if (p.red, p.black, p.state) == (ask.red, ask.black, ask.state):
                return p
        return None

    # -- answers ----------------------------------------------------------------------------------

    def answer(self, turn: Turn, text: str, by: str, date: str) -> tuple[Entry, ...]:
        """The entries that an answer comes to, kept; none if it cannot be read."""
        made = self._read(turn, text.strip())
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
        """The entry among all others.

        One that says what another says is numbered, so that either can be struck out.
        """
        entry = numbered(entry, self.entries)
        entry = stamped(self.harness, entry)
        self.entries.append(entry)
        return entry

    def _read(self, turn: Turn, text: str) -> list[Entry]:
        mended = re.fullmatch(r"(?i)m(?:ended)?\b[\s:]*(.*)", text)
        if mended:
            return self._mended(turn, mended[1])
        if turn.mend:
            return []
        named = self._named(turn, text)
        if named:
            return self._swept(turn, named)
        seen = self._seen(turn, text)
        return [] if seen is None else [self._entry(turn, turn.red, turn.black, seen)]

    def _seen(self, turn: Turn, text: str) -> Seen | Span | None:
        if text.casefold() in NO_DIODE:
            return Seen.SILENT if turn.unit == Shows.DIODE else None
        seen = read_seen(text)
        return None if seen == Seen.BEEP and turn.unit == Shows.OHMS else seen

    def _entry(
        self, turn: Turn, red: Sequence[str], black: Sequence[str], seen: Seen | Span
    ) -> Entry:
        state = DIODE_RANGE if turn.unit == Shows.DIODE else None
        entry = Entry(
            kind=EntryKind.PROBE,
            red=tuple(map(Address.read, red)),
            black=tuple(map(Address.read, black)),
            state=str(turn.state) or state,
        )
        return replace(entry, seen=seen) if isinstance(seen, Seen) else replace(entry, ohms=seen)

    def _named(self, turn: Turn, text: str) -> tuple[str, ...]:
        """The contacts of a sweep that a typed line names."""
        if not turn.sweep:
            return ()
        small = {a.casefold(): a for a in turn.black}
        typed = [small.get(word.casefold()) for word in re.split(r"[\s,+]+", text)]
        return tuple(a for a in typed if a) if all(typed) else ()

    def _swept(self, turn: Turn, named: tuple[str, ...]) -> list[Entry]:
        """What a sweep came to: these beeped, the others did not."""
        entries = [self._entry(turn, turn.red, (a,), Seen.BEEP) for a in named]
        others = tuple(a for a in turn.black if a not in named)
        if others:
            entries.append(self._entry(turn, turn.red, others, Seen.SILENT))
        return [replace(e, how=SWEPT) for e in entries]

    def _mended(self, turn: Turn, text: str) -> list[Entry]:
        points = [p for p in re.split(r"[\s,+]+", text) if p]
        if not points and turn.mend and turn.certain:
            points = [a for m in turn.mend for a in self.places(m)]
        small = {a.casefold(): a for a in self.harness.points}
        known = [small.get(p.casefold()) for p in points]
        if not known or not all(known):
            return []
        where = tuple(dict.fromkeys(Address.read(a) for a in known if a))
        what = words(turn.mend) if turn.mend and turn.certain else ""
        return [Entry(kind=EntryKind.MENDED, points=where, what=what)]

    def places(self, mistake: Mistake) -> Sequence[str]:
        """The contacts at which a mistake is mended."""
        joined = [self.drawn.reached.get(n, ())[:1] for n in mistake.joins(self.drawn)]
        return (*mistake.touches(self.drawn), *(a for points in joined for a in points))

    def refused(self, turn: Turn, text: str) -> str:
        """Why a typed answer is none."""
        typed = text.strip()
        if turn.mend:
            named = " and its contacts" if not turn.certain else ""
            return f"nothing is read here: type m{named} once it is mended, or q"
        if typed and turn.unit == Shows.OHMS and read_seen(text) == Seen.BEEP:
            wanted = f" ({turn.expect} expected)" if turn.expect else ""
            return (
                f"a beep is not enough here, another path would beep too: type the ohms on the "
                f"display{wanted}"
            )
        if typed:
            return f"`{typed}` is no answer here: {KEYS}"
        if turn.unit == Shows.OHMS:
            wanted = f" ({turn.expect} expected)" if turn.expect else ""
            return (
                f"a figure is wanted here: type the ohms on the display{wanted}, o if it shows none"
            )
        return f"Enter is no answer: type what the meter does ({KEYS})"

    def undo(self) -> tuple[Entry, ...]:
        """Take the last answer back, also one of an earlier walk.

        The entries that strike it out.
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
                kind=EntryKind.STRUCK_OUT, by=e.by, date=e.date, mark=mark_of(e), why="taken back"
            )
            for e in gone
        )

    # -- in words ---------------------------------------------------------------------------------

    def show(self, turn: Turn) -> list[str]:
        """The probe in words with a drawing of each face; what to mend."""
        if turn.mend:
            told = dict.fromkeys(m.words() for m in turn.mend)
            return [f"{'certain' if turn.certain else 'one of these'}: {x}" for x in told]
        lines = []
        sides = [("red", turn.red)]
        if turn.probe is not None and turn.probe.together:
            lines.append(f"black: {turn.probe.together}: {', '.join(turn.black)}")
        else:
            sides.append(("black", turn.black))
        for colour, points in sides:
            for address in points[:3]:
                lines += self._point(colour, address)
            if len(points) > 3:
                lines.append(f"{colour}: and {', '.join(points[3:])}")
        set_up = setting(turn.state) if turn.probe is None else turn.probe.setting
        lines += [set_up] if set_up else []
        figure = (
            ["read the ohms: a beep alone does not tell"]
            if turn.telling and turn.unit == "ohms"
            else []
        )
        return [
            *lines,
            *figure,
            f"expected: {turn.expect}" if turn.expect else f"this tells: {turn.why}",
        ]

    def _point(self, colour: str, address: str) -> list[str]:
        point = self.harness.points[address]
        cavity, end = point.cavity, point.end
        words = words_at(self.harness, address)
        if cavity is None or end is None:
            return [f"{colour}: {', '.join((address, *words))}"]
        named = ", ".join((f"{end.name} cavity {cavity.name}", *words))
        if is_at_joint(self.harness, self.plan.kind, address):
            return [f"{colour}: {named}, {AT_JOINT}"]
        face = end.connector.face
        if face is None:
            return [f"{colour}: {named} (no face is drawn: read the moulded digit)"]
        return [
            f"{colour}: {named}, {place_words(face.padded(), cavity.name, face.view)}",
            *(f"    {x}" for x in draw(face, cavity.name)),
        ]

    def said(self) -> list[str]:
        """What the diagnosis says now, empty while all agrees."""
        judged = self.judged()
        fits = [e for e in judged.diagnosis.explanations[3:] if not e.unexplained]
        more = len(fits)
        return [f"this disagrees: {t.told}" for t in judged.disagree[-1:]] + lines(
            judged.explanations[:3], more
        )


def place_words(rows: tuple[tuple[str | None, ...], ...], name: str, view: str) -> str:
    """Where a cavity sits: row from the top, place from the left, on the stated side."""
    for r, row in enumerate(rows, 1):
        if name in row:
            return f"row {r}, place {row.index(name) + 1} from the left, {view} side"
    return f"not on the drawn face ({view} side)"
