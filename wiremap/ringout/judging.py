"""Whether one ring-out reading speaks of the harness as it stands, and whether it is as drawn."""

from __future__ import annotations

from dataclasses import replace

from wiremap.evidence import probe_print
from wiremap.evidence.meter import PARTED_WORDS
from wiremap.mistakes.build import AS_USUAL, FORWARD, THROUGH_OHMS, Build
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.expectation import Shows
from wiremap.model import SHRUNK, Entry, Seen, State
from wiremap.ringout.plan import Plan
from wiremap.ringout.taken import DIODE_RANGE, Taken

NO_PART_OHMS = 1e9  # nothing that is drawn reads so much


class Judging:
    """Holds one entry after another against the drawing and what the plan asks."""

    def __init__(self, drawn: Drawn, plan: Plan | None) -> None:
        self.drawn = drawn
        self._held = plan.held if plan and plan.held else None
        probes = plan.probes if plan else ()
        self._in_diode_range = {(p.red, p.black) for p in probes if p.diode_range}
        second = plan.second if plan else ()
        figures = [p for p in (*probes, *second) if p.expect == Shows.OHMS]
        self._figures = {_sides(p.red, p.black, p.state) for p in figures}  # read in ohms
        self._judgements: dict[object, tuple[bool | None, bool]] = {}  # by what was read

    def stale(self, entry: Entry) -> str:
        """Why an entry no longer speaks of the harness; empty if it does."""
        points, drawn = (*entry.red, *entry.black), self.drawn
        lost = [a for a in points if a not in drawn.harness.points]
        if lost:
            return f"{', '.join(lost)} is no point of the job any more"
        if entry.of is not None and entry.of != probe_print(drawn.harness, points):
            nets = sorted({drawn.names[drawn.net_of[a]] for a in points})
            return f"{' or '.join(nets)} was changed after this reading"
        return ""

    def _state(self, entry: Entry) -> State:
        """The state that an entry tells: a fuse that was in, or a net that was parted outside.

        The net is the one that the words name, else the one under a probe that can be parted.
        """
        words = (entry.state or "").split()
        if words and words[-1] == SHRUNK:
            before = replace(entry, state=" ".join(words[:-1]))
            return replace(self._state(before), shrunk=True)
        extra = self.drawn.harness.job.extras.get(words[0]) if words else None
        if extra is not None and extra.is_fuse:
            return State(fuse=extra.name)
        if PARTED_WORDS.isdisjoint(w.casefold() for w in words):
            return AS_USUAL
        name = (entry.state or "").rpartition(" ")[0]
        parting = self.drawn.parting
        named = State(parted=name)
        if named in parting:
            return named
        nets = {self.drawn.net_of[a] for a in (*entry.red, *entry.black)}
        return next((state for state, net in parting.items() if net in nets), AS_USUAL)

    def judged(self, entry: Entry, at: int) -> Taken:
        """A reading with whether it is as drawn, or as it is without what is on hold."""
        ranged = entry.state == DIODE_RANGE or entry.seen == Seen.DIODE
        ranged = ranged or (entry.red, entry.black) in self._in_diode_range
        state = self._state(entry) if entry.state else AS_USUAL
        said = (entry.red, entry.black, state, ranged, entry.seen, entry.ohms)
        unsure = entry.seen == Seen.UNSURE
        if said not in self._judgements:
            bare = Taken(entry=entry, diode_range=ranged, state=state, unsure=unsure)
            self._judgements[said] = self._judgement(bare)
        agrees, on_hold = self._judgements[said]
        return Taken(
            entry=entry,
            at=at,
            diode_range=ranged,
            state=state,
            agrees=agrees,
            unsure=unsure,
            on_hold=on_hold,
        )

    def _judgement(self, taken: Taken) -> tuple[bool | None, bool]:
        """Whether a reading is as drawn (None: it proves nothing), and whether only without what is
        on hold.
        """
        if consistent(self.drawn.sound, taken):
            return None if self._is_vague(taken) else True, False
        on_hold = self._held is not None and consistent(self._held.build, taken)
        return None if on_hold else False, on_hold

    def _is_vague(self, taken: Taken) -> bool:
        """Whether a reading proves nothing.

        A beep or a silence does not where the plan asks for ohms, as another path may be there too.
        """
        if taken.unsure:
            return True
        if taken.entry.ohms is not None or taken.diode_range:
            return False
        span = self.drawn.sound.ohms(taken.red, taken.black, taken.state)
        figure = _sides(taken.red, taken.black, taken.state) in self._figures
        if taken.entry.seen == Seen.SILENT:
            return figure or span.high < NO_PART_OHMS
        return taken.entry.seen == Seen.BEEP and (figure or span.low > THROUGH_OHMS)


def consistent(build: Build, taken: Taken) -> bool:
    """Whether this reading may have come from this build."""
    span, beeper = build.ohms(taken.red, taken.black, taken.state), build.drawn.beeper
    if not taken.diode_range or taken.entry.ohms is not None:
        return beeper.fits(taken.entry, span)
    forward = build.diode(taken.red, taken.black) == FORWARD
    if taken.entry.seen == Seen.DIODE:
        return forward and span.high > beeper.sounds_ohms
    if taken.entry.seen == Seen.SILENT:
        return not forward and span.high > beeper.sounds_ohms
    return taken.entry.seen != Seen.BEEP or span.low < beeper.silent_ohms


def _sides(red: tuple[str, ...], black: tuple[str, ...], state: State) -> object:
    return frozenset((red, black)), state
