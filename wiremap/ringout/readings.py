"""Ring-out readings: which of them speak of the harness as it stands, and whether each is as drawn.
Time counts, in the order of the file: what is mended makes stale what was read there before, a
reading that was wrong voids what was read at its nets before it, and a reading that goes right,
wrong, right without a repair counts for nothing.  See `History`.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from wiremap.evidence import is_short, is_silent, probe_print
from wiremap.evidence.meter import PARTED_WORDS
from wiremap.mistakes.build import FORWARD, NOWHERE, THROUGH_OHMS, Build
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.expectation import Shows
from wiremap.model import SHRUNK, Entry, EntryKind, Seen, State, split
from wiremap.model.quantities import read_ohms
from wiremap.ringout.plan import Plan

DIODE_RANGE = "diode range"  # the state of a reading that was taken in it
NO_PART_OHMS = 1e9  # nothing that is drawn reads so much
REPEAT_OHMS, REPEAT_SHARE = 0.5, 0.05  # two figures within either are one reading (common practice)
NEVER = -1  # before the first entry


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """One reading that counts: the last of its kind at these points, and how often it was seen so.
    `agrees` is None where it proves nothing either way (silence where ohms were asked for, or good
    where it was not good before).
    """

    entry: Entry
    at: int = NEVER  # its place among all entries
    times: int = 1
    diode_range: bool = False
    state: State = NOWHERE  # what was so for this reading alone
    agrees: bool | None = None  # whether it is as drawn
    before: Entry | None = None  # what was wrong here, until it has read well twice in a row
    was_well: bool = False  # it had read well before it was wrong
    unsure: bool = False  # or somebody was not sure of it
    on_hold: bool = False  # it is as it must be while a joint or part on hold is not there

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
    def is_quiet(self) -> bool:
        """Whether a wire off its crimp would have read so too."""
        return is_silent(self.entry) or self.entry.seen == Seen.SILENT

    @property
    def wavers(self) -> bool:
        """Whether it is good now and was wrong before: a wire that comes and goes does so too."""
        return self.before is not None and self.agrees is not False

    @property
    def unit(self) -> Shows:
        """What was read: a beep or silence, ohms, or a diode's drop."""
        if self.diode_range:
            return Shows.DIODE
        return Shows.BEEP if self.entry.ohms is None else Shows.OHMS

    @property
    def told(self) -> str:
        """The reading in words."""
        state = f" ({self.state})" if self.state else ""
        return f"{'+'.join(self.red)} to {'+'.join(self.black)}{state}: {seen(self.entry)}"

    def as_dict(self) -> dict[str, object]:
        """The reading as plain data."""
        return {"red": list(self.red), "black": list(self.black), "seen": seen(self.entry)}


@dataclass(frozen=True, slots=True)
class Stale:
    """A reading that no longer counts, and what was changed."""

    entry: Entry
    why: str


@dataclass(frozen=True, slots=True)
class Repair:
    """What was mended, where it stands among the entries, and every net that it touched."""

    entry: Entry
    at: int
    nets: frozenset[int]


Explained = Callable[[Sequence[Taken]], Collection[int]]
Key = tuple[object, State, bool]


def seen(entry: Entry) -> str:
    """What the display did."""
    if entry.ohms is not None:
        return read_ohms(entry.ohms)
    if entry.seen:
        return entry.seen
    return "nothing noted" if entry.volts is None else f"{entry.volts:g} V"


def taken(
    drawn: Drawn, plan: Plan | None, entries: Iterable[Entry]
) -> tuple[tuple[Taken, ...], tuple[Stale, ...]]:
    """The readings that count, in the order they were first taken, and the stale ones."""
    history = History(drawn, plan, entries)
    return history.readings, tuple(history.stale)


class History:
    """All entries of a ring-out in their order: what counts of them now.
    `repaired` and `wrong` hold for each net the place of the last repair that touched it and of the
    last wrong reading at it.  `explained` gives the nets that the mistakes which fit some readings
    concern: a repair touches them too.
    """

    def __init__(
        self,
        drawn: Drawn,
        plan: Plan | None,
        entries: Iterable[Entry],
        explained: Explained | None = None,
    ) -> None:
        self.drawn = drawn
        self._held = plan.held if plan and plan.held else None
        probes = plan.probes if plan else ()
        self._in_diode_range = {(p.red, p.black) for p in probes if p.diode_range}
        second = plan.second if plan else ()
        figures = [p for p in (*probes, *second) if p.expect == Shows.OHMS]
        self._figures = {_sides(p.red, p.black, p.state) for p in figures}
        self._last: dict[Key, Taken] = {}
        self._combs: list[Taken] = []  # that read wrong, nobody knows yet at which of their nets
        self._judgements: dict[object, tuple[bool | None, bool]] = {}  # by what was read
        self.stale: list[Stale] = []
        self.repairs: list[Repair] = []
        self.repaired: dict[int, int] = {}
        self.wrong: dict[int, int] = {}
        self.end = 0  # the place after the last entry
        for at, entry in enumerate(entries):
            self.end = at + 1
            if entry.kind == EntryKind.PROBE and entry.red and entry.black:
                self._read(entry, at)
            elif entry.kind == EntryKind.MENDED:
                self._mend(entry, at, explained)
        for comb in self._combs:
            self._void(comb)

    @property
    def readings(self) -> tuple[Taken, ...]:
        """The readings that count, in the order they were first taken."""
        return tuple(self._last.values())

    def since(self, net: int) -> int:
        """The place after which readings of a net prove something."""
        return max(self.repaired.get(net, NEVER), self.wrong.get(net, NEVER))

    def rests_on(self, red: Iterable[str], black: Iterable[str]) -> set[int]:
        """The nets that a reading speaks of.

        Those under its probes, and what joins them with ohms.
        """
        net_of, tied = self.drawn.net_of, self.drawn.tied
        reds, blacks = {net_of[a] for a in red}, {net_of[a] for a in black}
        nets = reds | blacks
        both_tied = not tied.keys().isdisjoint(reds) and not tied.keys().isdisjoint(blacks)
        if both_tied and len(nets) > 1:
            nets.update(m for n in tuple(nets) for m in tied.get(n, ()))
        return nets

    # -- one more entry ---------------------------------------------------------------------------

    def _read(self, entry: Entry, at: int) -> None:
        why = self._stale(entry)
        if why:
            self.stale.append(Stale(entry, why))
            return
        now = self._judged(entry, at)
        key = _key(now)
        after = _after(self._last.get(key), now)
        self._last[key] = after
        if after.at == at and after.agrees is False:
            if now.is_alone or self._on_one_metal(now):
                self._void(now)
            else:
                self._combs.append(now)

    def _on_one_metal(self, t: Taken) -> bool:
        """Whether a reading asks for a beep: a net has a point under each probe."""
        reds = {self.drawn.net_of[a] for a in t.red}
        return any(self.drawn.net_of[a] in reds for a in t.black)

    def _void(self, wrong: Taken) -> None:
        """A wrong reading voids what was read at its nets.

        A comb at those that nothing narrows down.
        """
        reds = {self.drawn.net_of[a] for a in wrong.red}
        blacks = {self.drawn.net_of[a] for a in wrong.black}
        nets = reds | blacks
        if reds & blacks:  # a clip that does not bite: its net alone was not in the comb
            nets = reds
        elif not wrong.is_alone:
            single = [t for t in self.readings if t.is_alone and t.agrees is False]
            pairs = [{self.drawn.net_of[a] for a in t.points} for t in single]
            met = [pair for pair in pairs if pair & reds and pair & blacks and pair <= nets]
            nets = set().union(*met) or nets
        for n in nets:
            self.wrong[n] = max(self.wrong.get(n, NEVER), wrong.at)

    def _mend(self, entry: Entry, at: int, explained: Explained | None) -> None:
        nets = set(touched_by(self.drawn, entry.points))
        if explained is not None and any(t.agrees is False for t in self._last.values()):
            nets.update(explained(self.readings))
        self.repairs.append(Repair(entry, at, frozenset(nets)))
        self.repaired.update(dict.fromkeys(nets, at))
        self._combs = [t for t in self._combs if self.rests_on(t.red, t.black).isdisjoint(nets)]
        left: dict[Key, Taken] = {}
        for t in self._last.values():
            kept = self._untouched(t, nets)
            if kept is not None:
                key = _key(kept)
                left[key] = max(kept, left.get(key, kept), key=lambda t: t.at)
        self._last = left

    def _untouched(self, t: Taken, nets: set[int]) -> Taken | None:
        """What a repair of these nets leaves of a reading; of a comb apart its other points."""
        if self.rests_on(t.red, t.black).isdisjoint(nets):
            return t
        if t.is_alone or t.agrees is not True or self._on_one_metal(t):
            return None
        net_of = self.drawn.net_of
        red = tuple(a for a in t.entry.red if net_of[a] not in nets)
        black = tuple(a for a in t.entry.black if net_of[a] not in nets)
        if not red or not black:
            return None
        rest = replace(t, entry=replace(t.entry, red=red, black=black))
        return rest if self.rests_on(red, black).isdisjoint(nets) else None

    # -- what one entry says ----------------------------------------------------------------------

    def _stale(self, entry: Entry) -> str:
        points, drawn = (*entry.red, *entry.black), self.drawn
        lost = [a for a in points if a not in drawn.harness.points]
        if lost:
            return f"{', '.join(lost)} is no point of the job any more"
        if entry.of is not None and entry.of != probe_print(drawn.harness, points):
            nets = sorted({drawn.names[drawn.net_of[a]] for a in points})
            return f"{' or '.join(nets)} was changed after this reading"
        return ""

    def _state(self, entry: Entry) -> State:
        """A fuse that was in, or the net that was parted outside.

        The one named, else that of a probe.
        """
        words = (entry.state or "").split()
        if words and words[-1] == SHRUNK:
            before = replace(entry, state=" ".join(words[:-1]))
            return replace(self._state(before), shrunk=True)
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

    def _judged(self, entry: Entry, at: int) -> Taken:
        """A reading with whether it is as drawn, or as it is without what is on hold."""
        ranged = entry.state == DIODE_RANGE or entry.seen == Seen.DIODE
        ranged = ranged or (entry.red, entry.black) in self._in_diode_range
        state = self._state(entry) if entry.state else NOWHERE
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

    def _judgement(self, t: Taken) -> tuple[bool | None, bool]:
        """Whether a reading is as drawn, and whether it is so without what is on hold."""
        if consistent(self.drawn.sound, t):
            return None if self._is_vague(t) else True, False
        on_hold = self._held is not None and consistent(self._held.build, t)
        return None if on_hold else False, on_hold

    def _is_vague(self, t: Taken) -> bool:
        """Whether a reading proves nothing.

        A beep or a silence does not where the plan asks for ohms, as another path may be there too.
        """
        if t.unsure:
            return True
        if t.entry.ohms is not None or t.diode_range:
            return False
        span = self.drawn.sound.ohms(t.red, t.black, t.state)
        figure = _sides(t.red, t.black, t.state) in self._figures
        if t.entry.seen == Seen.SILENT:
            return figure or span.high < NO_PART_OHMS
        return t.entry.seen == Seen.BEEP and (figure or span.low > THROUGH_OHMS)


def touched_by(drawn: Drawn, points: Iterable[str]) -> Iterator[int]:
    """The nets that a repair at these points touches.

    Theirs, and those beside them in joints and on faces.
    """
    here = [a for a in points if a in drawn.net_of]
    yield from (drawn.net_of[a] for a in here)
    for a in here:
        yield from (drawn.net_of[b] for b in drawn.neighbours.get(a, ()) if b in drawn.net_of)


def _sides(red: tuple[str, ...], black: tuple[str, ...], state: State) -> object:
    return frozenset((red, black)), state


def _key(t: Taken) -> Key:
    sides = (frozenset(t.red), frozenset(t.black))
    way = sides if t.diode_range else frozenset(sides)  # a diode's reading has a direction
    return way, t.state, t.diode_range


def _after(last: Taken | None, now: Taken) -> Taken:
    """A reading with what it followed at the same points.

    What nobody was sure of takes nothing back.
    """
    if last is None or last.entry.seen == Seen.UNSURE:
        return now
    if now.unsure:
        return replace(last, unsure=True)
    was_wrong = last.agrees is False
    before, was_well, times = last.before, last.was_well, now.times
    if was_wrong == (now.agrees is False) and _alike(last.entry, now.entry):
        times = last.times + 1
    elif was_wrong:
        before = last.entry
    else:
        was_well = was_well or last.agrees is True or last.wavers
    agrees = now.agrees
    if before is not None and agrees is not False:  # good now, and wrong before
        if times >= 2 and not was_well:
            before = None  # twice well in a row is well
        else:
            agrees = None  # if it had been well before, it comes and goes until it is mended
    if (before, was_well, times, agrees) == (None, False, now.times, now.agrees):
        return now
    return replace(now, before=before, was_well=was_well, times=times, agrees=agrees)


def _alike(a: Entry, b: Entry) -> bool:
    if (is_silent(a) and is_silent(b)) or (is_short(a) and is_short(b)):
        return True
    if a.ohms is None or b.ohms is None:
        return a.seen == b.seen and a.ohms is b.ohms
    apart = abs(a.ohms.low - b.ohms.low)
    return a.ohms == b.ohms or apart <= max(REPEAT_OHMS, REPEAT_SHARE * abs(b.ohms.low))


def consistent(build: Build, t: Taken) -> bool:
    """Whether this reading may have come from this build."""
    span, beeper = build.ohms(t.red, t.black, t.state), build.drawn.beeper
    if not t.diode_range or t.entry.ohms is not None:
        return beeper.fits(t.entry, span)
    forward = build.diode(t.red, t.black) == FORWARD
    if t.entry.seen == Seen.DIODE:
        return forward and span.high > beeper.sounds_ohms
    if t.entry.seen == Seen.SILENT:
        return not forward and span.high > beeper.sounds_ohms
    return t.entry.seen != Seen.BEEP or span.low < beeper.silent_ohms


def owner(point: str) -> str:
    """The end or extra of a point."""
    return split(point)[0]
