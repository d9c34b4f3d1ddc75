"""Ring-out readings: which of them speak of the harness as it stands, and whether each is as drawn."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from wiremap.evidence import (
    BEEP_SURE_OHMS,
    SILENT_SURE_OHMS,
    fits,
    is_short,
    is_silent,
    probe_print,
)
from wiremap.evidence.meter import PARTED_WORDS
from wiremap.mistakes.build import FORWARD, NOWHERE, THROUGH_OHMS, Build
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.expectation import Shows
from wiremap.model import Entry, State, split
from wiremap.ringout.plan import Plan

DIODE_RANGE = "diode range"  # the state of a reading that was taken in it
NO_PART_OHMS = 1e9  # nothing that is drawn reads so much
REPEAT_OHMS, REPEAT_SHARE = 0.5, 0.05  # two figures within either are one reading (common practice)


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """One reading that counts: the last of its kind at these points, and how often it was seen so.

    `agrees` is None where it proves nothing either way (unsure, silence where ohms were asked for, or good where it
    was not good before).
    """

    entry: Entry
    times: int
    diode_range: bool
    state: State  # what was so for this reading alone
    agrees: bool | None = None  # whether it is as drawn
    before: Entry | None = None  # what was wrong here, until it has read well twice in a row

    @property
    def red(self) -> tuple[str, ...]:
        """The points under the red probe."""
        return self.entry.red

    @property
    def black(self) -> tuple[str, ...]:
        """The points under the black probe."""
        return self.entry.black

    @property
    def points(self) -> tuple[str, ...]:
        """Every point under a probe."""
        return (*self.red, *self.black)

    @property
    def is_alone(self) -> bool:
        """Whether it stands between two points, no comb."""
        return len(self.red) == len(self.black) == 1

    @property
    def unit(self) -> Shows:
        """What was read: a beep or silence, ohms, or a diode's drop."""
        if self.diode_range:
            return Shows.DIODE
        if self.entry.ohms is None or is_silent(self.entry):
            return Shows.BEEP
        return Shows.OHMS

    @property
    def told(self) -> str:
        """The reading in words."""
        state = f" ({self.state})" if self.state else ""
        return f"{'+'.join(self.red)} to {'+'.join(self.black)}{state}: {seen(self.entry)}"


@dataclass(frozen=True, slots=True)
class Stale:
    """A reading that no longer counts, and what was changed."""

    entry: Entry
    why: str


def seen(entry: Entry) -> str:
    """What the display did."""
    if entry.ohms is not None:
        return "open" if str(entry.ohms) == "open" else f"{entry.ohms} ohm"
    if entry.seen:
        return entry.seen
    return "nothing noted" if entry.volts is None else f"{entry.volts:g} V"


def taken(
    drawn: Drawn, plan: Plan | None, entries: Iterable[Entry]
) -> tuple[tuple[Taken, ...], tuple[Stale, ...]]:
    """The readings that count, in the order they were first taken, and the stale ones."""
    log = _Log(drawn, plan)
    for entry in entries:
        if entry.kind == "probe" and entry.red and entry.black:
            log.note(entry)
    return tuple(log.judged(t) for t in log.last.values()), tuple(log.stale)


class _Log:
    """Readings as they come in: of each kind at the same points the last one, and what it followed."""

    def __init__(self, drawn: Drawn, plan: Plan | None) -> None:
        self.drawn = drawn
        probes = plan.probes if plan else ()
        self.in_diode_range = {(p.red, p.black) for p in probes if p.diode_range}
        self.figures = {_sides(p.red, p.black, p.state) for p in probes if p.expect == Shows.OHMS}
        self.last: dict[object, Taken] = {}
        self.stale: list[Stale] = []

    def note(self, entry: Entry) -> None:
        """Take one more reading in."""
        why = self._stale(entry)
        if why:
            self.stale.append(Stale(entry, why))
            return
        now = self._taken(entry)
        sides = (frozenset(now.red), frozenset(now.black))
        way = sides if now.diode_range else frozenset(sides)  # a diode's reading has a direction
        key = (way, now.state, now.diode_range)
        self.last[key] = _after(self.last.get(key), now)

    def _taken(self, entry: Entry) -> Taken:
        ranged = entry.state == DIODE_RANGE or entry.seen == "diode"
        ranged = ranged or (entry.red, entry.black) in self.in_diode_range
        return Taken(entry=entry, times=1, diode_range=ranged, state=self._state(entry))

    def _stale(self, entry: Entry) -> str:
        points, drawn = (*entry.red, *entry.black), self.drawn
        lost = [a for a in points if a not in drawn.harness.points]
        if lost:
            return f"{', '.join(lost)} is no point of the job any more"
        if entry.of is not None and entry.of != probe_print(drawn.harness, points):
            nets = sorted({drawn.names[drawn.net_of[a]] for a in points})
            return f"the metal of {' or '.join(nets)} was changed after this reading"
        return ""

    def _state(self, entry: Entry) -> State:
        """A fuse that was in, or the net that was parted outside: the one named, else that of a probe."""
        words = (entry.state or "").split()
        extra = self.drawn.harness.job.extras.get(words[0]) if words else None
        if extra is not None and extra.kind == "fuse":
            return State(fuse=extra.name)
        if PARTED_WORDS.isdisjoint(w.casefold() for w in words):
            return NOWHERE
        name = (entry.state or "").rpartition(" ")[0]
        parting = self.drawn.parting
        named = State(parted=name)
        if named in parting:
            return named
        nets = {self.drawn.net_of[a] for a in (*entry.red, *entry.black)}
        return next((state for state, net in parting.items() if net in nets), NOWHERE)

    def judged(self, t: Taken) -> Taken:
        """With whether it is as drawn; one good reading after a wrong one proves nothing yet."""
        sound = self.drawn.sound
        if not consistent(sound, t):
            return replace(t, agrees=False, before=None)
        before = replace(t, entry=t.before) if t.before is not None and t.times < 2 else None
        if before is not None and not consistent(sound, before):
            return replace(t, agrees=None)
        return replace(t, agrees=None if self._vague(t) else True, before=None)

    def _vague(self, t: Taken) -> bool:
        """Whether a reading proves nothing.

        A beep does not where the plan asks for ohms, as another path would beep too.
        """
        if t.entry.seen == "unsure":
            return True
        if t.entry.ohms is not None or t.diode_range:
            return False
        span = self.drawn.sound.ohms(t.red, t.black, t.state)
        if t.entry.seen == "silent":
            return span.high < NO_PART_OHMS
        figure = _sides(t.red, t.black, t.state) in self.figures
        return t.entry.seen == "beep" and (figure or span.low > THROUGH_OHMS)


def _sides(red: tuple[str, ...], black: tuple[str, ...], state: State) -> object:
    return frozenset((red, black)), state


def _after(last: Taken | None, now: Taken) -> Taken:
    """A reading with what it followed at the same points; what is not sure begins anew."""
    if last is None or "unsure" in (last.entry.seen, now.entry.seen):
        return now
    if _alike(last.entry, now.entry):
        return replace(now, times=last.times + 1, before=last.before)
    return replace(now, before=last.entry)


def _alike(a: Entry, b: Entry) -> bool:
    if (is_silent(a) and is_silent(b)) or (is_short(a) and is_short(b)):
        return True
    if a.ohms is None or b.ohms is None:
        return a.seen == b.seen and a.ohms is b.ohms
    apart = abs(a.ohms.low - b.ohms.low)
    return a.ohms == b.ohms or apart <= max(REPEAT_OHMS, REPEAT_SHARE * abs(b.ohms.low))


def consistent(build: Build, t: Taken) -> bool:
    """Whether this reading may have come from this build."""
    span = build.ohms(t.red, t.black, t.state)
    if not t.diode_range or t.entry.ohms is not None:
        return fits(t.entry, span)
    forward = build.diode(t.red, t.black) == FORWARD
    if t.entry.seen == "diode":
        return forward and span.high > BEEP_SURE_OHMS
    if t.entry.seen == "silent":
        return not forward and span.high > BEEP_SURE_OHMS
    return t.entry.seen != "beep" or span.low < SILENT_SURE_OHMS


def owner(point: str) -> str:
    """The end or extra of a point."""
    return split(point)[0]
