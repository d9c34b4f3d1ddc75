"""The walk through a ring-out: what to ask next, how to show it, what a typed answer means.  Talks to nobody itself."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from wiremap.diagnose.diagnosis import Ask
from wiremap.diagnose.explain import lines
from wiremap.diagnose.judge import Judgement, expected, judge
from wiremap.entries.numbers import read_seen
from wiremap.evidence.stamping import stamped
from wiremap.graph import Harness
from wiremap.mistakes.build import NOWHERE
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.expectation import Shows
from wiremap.mistakes.face import draw
from wiremap.model import Address, Entry, EntryKind, Seen, Span, State
from wiremap.ringout.plan import Plan
from wiremap.ringout.probe import Probe, setting
from wiremap.ringout.readings import DIODE_RANGE

KEYS = "b beep, s silent, o open (OL), n not sure, a number of ohms, d diode, Enter as expected, u undo, ? why, h this list, q keep and stop"
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
TAKEN_BACK = "taken back"


@dataclass(frozen=True, slots=True)
class Turn:
    """One probe to take now; `why` says what it tells, `probe` is the planned one, if it is one."""

    red: tuple[str, ...]
    black: tuple[str, ...]
    expect: str
    why: str
    probe: Probe | None
    telling: bool
    state: State = NOWHERE
    unit: Shows = Shows.BEEP  # what has to be read: a beep or silence, ohms, diode


def meant(typed: str) -> str:
    """What a typed line asks of the walk (`q`, `u`, `?` or `h`, spelled out or not); empty if it is an answer."""
    word = typed.strip().casefold()
    return _WORDS.get(word, word if word in (KEPT, BACK, WHY, HELP) else "")


class Walk:
    """Leads through a plan one probe at a time; every answer becomes an entry that the caller saves at once."""

    def __init__(self, harness: Harness, plan: Plan, entries: Iterable[Entry] = ()) -> None:
        self.harness, self.plan = harness, plan
        self.drawn = Drawn(harness, plan.kind)
        self.entries: list[Entry] = [e for e in entries if e.kind == "probe"]
        self.skipped: set[int] = set()
        self.given: list[
            tuple[Turn, Entry]
        ] = []  # what was answered in this walk and not taken back

    def judged(self) -> Judgement:
        """The verdict over all that has been read so far."""
        return judge(self.harness, self.entries, planned=self.plan)

    def turn(self) -> Turn | None:
        """The next probe: the telling one if something disagrees, else the next of the plan; None when all is said."""
        judged = self.judged()
        ask = judged.diagnosis.ask
        if ask is not None:
            expect = "diode" if ask.expect == "diode" else ""
            return Turn(
                ask.red, ask.black, expect, ask.why, self._planned(ask), True, ask.state, ask.expect
            )
        if judged.disagree:
            return None
        left = next((p for p in judged.left if p.n not in self.skipped), None)
        if left is None:
            return None
        return Turn(
            left.red,
            left.black,
            expected(left),
            "; ".join((*left.proves, *((left.why,) if left.why else ()))),
            left,
            False,
            left.state,
            left.expect,
        )

    def _planned(self, ask: Ask) -> Probe | None:
        return next(
            (
                p
                for p in self.plan.probes
                if (p.red, p.black, p.state) == (ask.red, ask.black, ask.state)
            ),
            None,
        )

    def answer(self, turn: Turn, text: str, by: str, date: str) -> Entry | None:
        """The entry that an answer comes to, kept; None if it cannot be read."""
        seen: Seen | Span | None = read_seen(text) if text.strip() else self._as_expected(turn)
        if seen is None or (seen == "beep" and self._wants_figure(turn)):
            return None
        state = DIODE_RANGE if turn.expect == "diode" else None
        state = str(turn.state) or state
        entry = Entry(
            kind=EntryKind.PROBE,
            by=by,
            date=date,
            red=tuple(map(Address.read, turn.red)),
            black=tuple(map(Address.read, turn.black)),
            state=state,
        )
        entry = replace(entry, seen=seen) if isinstance(seen, Seen) else replace(entry, ohms=seen)
        entry = stamped(self.harness, entry)
        self.entries.append(entry)
        self.given.append((turn, entry))
        if turn.probe is not None and entry.seen == "unsure":
            self.skipped.add(turn.probe.n)
        return entry

    def refused(self, turn: Turn, text: str) -> str:
        """Why a typed answer is none."""
        if text.strip() and self._wants_figure(turn) and read_seen(text) == "beep":
            wanted = f" ({turn.expect} expected)" if turn.expect else ""
            return f"a beep is not enough here, another path would beep too: type the ohms on the display{wanted}"
        if text.strip():
            return f"`{text.strip()}` is no answer here: {KEYS}"
        if turn.telling or turn.probe is None:
            return "nothing is expected here, both answers tell something: type what the meter does"
        return f"a figure is wanted here: type the ohms on the display ({turn.expect} expected), o if it shows none"

    def _as_expected(self, turn: Turn) -> Seen | None:
        """Enter stands for a beep or a silence; a value must be typed."""
        expect = turn.probe.expect if turn.probe is not None else ""
        return Seen(expect) if expect in ("beep", "silent", "diode") and not turn.telling else None

    @staticmethod
    def _wants_figure(turn: Turn) -> bool:
        return turn.unit == "ohms"

    def undo(self) -> Entry | None:
        """The entry that takes the last answer back: the same points, not sure; before this walk's first, that of an earlier one."""
        if self.given:
            turn, last = self.given.pop()
            if turn.probe is not None:
                self.skipped.discard(turn.probe.n)
        else:
            standing = self._standing()
            if not standing:
                return None
            last = standing[-1]
        entry = replace(last, seen=Seen.UNSURE, ohms=None, how=TAKEN_BACK, place=None)
        self.entries.append(entry)
        return entry

    def _standing(self) -> list[Entry]:
        """The readings that were not taken back, oldest first."""
        kept: list[Entry] = []
        for e in self.entries:
            if e.how != TAKEN_BACK:
                kept.append(e)
                continue
            back = [
                k
                for k, x in enumerate(kept)
                if (x.red, x.black, x.state) == (e.red, e.black, e.state)
            ]
            if back:
                del kept[back[-1]]
        return [e for e in kept if e.seen != "unsure"]

    def show(self, turn: Turn) -> list[str]:
        """The probe in words with a drawing of each face."""
        lines = []
        for colour, points in (("red", turn.red), ("black", turn.black)):
            for address in points[:3]:
                lines += self._point(colour, address)
            if len(points) > 3:
                lines.append(f"{colour}: and {', '.join(points[3:])}")
        lines += [setting(turn.state)] if turn.state else []
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
        if cavity is None or end is None:
            where = {
                "holder": "in the empty fuse holder",
                "joint": "at its joint, before the sleeve is shrunk",
                "far-end": "at its ring",
            }
            return [f"{colour}: {address}, {where.get(self.harness.reach(address), 'at its leg')}"]
        wire = (
            cavity.wire.colour.word
            if cavity.wire is not None and cavity.wire.colour is not None
            else ""
        )
        named = ", ".join(
            x
            for x in (f"{end.name} cavity {cavity.name}", cavity.signal, wire and f"wire {wire}")
            if x
        )
        if self.plan.kind == "splice-in" and self.harness.reach(address) == "joint":
            return [f"{colour}: {named}, at its joint, before the sleeve is shrunk"]
        face = end.pinout.connector.face
        if face is None:
            return [f"{colour}: {named} (no face is drawn: read the moulded digit)"]
        return [
            f"{colour}: {named}, {place_words(face.padded(), cavity.name, face.view)}",
            *(f"    {x}" for x in draw(face, cavity.name)),
        ]

    def said(self) -> list[str]:
        """What the diagnosis says now, empty while all agrees."""
        judged = self.judged()
        more = judged.diagnosis.more + sum(not e.unexplained for e in judged.explanations[3:])
        return [f"this disagrees: {t.told}" for t in judged.disagree[-1:]] + lines(
            judged.explanations[:3], more
        )


def place_words(rows: tuple[tuple[str | None, ...], ...], name: str, view: str) -> str:
    """Where a cavity sits: row from the top, place from the left, on the stated side."""
    for r, row in enumerate(rows, 1):
        if name in row:
            return f"row {r}, place {row.index(name) + 1} from the left, {view} side"
    return f"not on the drawn face ({view} side)"
