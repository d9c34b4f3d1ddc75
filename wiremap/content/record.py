"""What the notebook says of the work as a whole: who fitted it, on which days, at what hours."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from wiremap.content.given import Given
from wiremap.content.stops import stop_name
from wiremap.content.stops_passed import owed_before, passed
from wiremap.content.words import listed, spaced
from wiremap.evidence.probe_points import kind_of
from wiremap.mistakes.drawn import drawn_of
from wiremap.model import Entry, EntryKind, Stop
from wiremap.ringout.readings import History
from wiremap.ringout.taken import seen

MINUTES_AN_HOUR = 60
FITTING = frozenset({EntryKind.DONE, EntryKind.BUILT, EntryKind.STOP_PASSED})
WORK = FITTING | {EntryKind.SURVEY, EntryKind.PROBE, EntryKind.POWER, EntryKind.MENDED}


@dataclass(frozen=True, slots=True)
class Fitter:
    """Who fitted the work, and when the last of it was done."""

    names: tuple[str, ...]
    date: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """One person's work on one day; the hours are known where entries carry times."""

    date: str
    by: str
    entries: int
    first: str = ""
    last: str = ""

    @property
    def hours(self) -> float | None:
        """From the first entry to the last [h]; None where no two entries carry different times."""
        if not self.first or self.first == self.last:
            return None
        return (_minutes(self.last) - _minutes(self.first)) / MINUTES_AN_HOUR


def fitter(given: Given) -> Fitter | None:
    """Who fitted it by what the notebook says was built, done or signed at a stop."""
    entries = [entry for entry in given.job.entries if entry.kind in FITTING and entry.by]
    if not entries:
        return None
    names = dict.fromkeys(entry.by for entry in entries)
    return Fitter(tuple(names), max(entry.date for entry in entries))


def days(given: Given) -> Iterator[Day]:
    """The work day by day and person by person."""
    worked: dict[tuple[str, str], list[Entry]] = {}
    for entry in given.job.entries:
        if entry.kind in WORK and entry.date:
            worked.setdefault((entry.date, entry.by), []).append(entry)
    for (date, by), group in sorted(worked.items()):
        yield _day(date, by, group)


def _day(date: str, by: str, group: Sequence[Entry]) -> Day:
    times = sorted(entry.time for entry in group if entry.time)
    if not times:
        return Day(date=date, by=by, entries=len(group))
    first, *_ = times
    *_, last = times
    return Day(date=date, by=by, entries=len(group), first=first, last=last)


@dataclass(frozen=True, slots=True, kw_only=True)
class HowFar:
    """How far the work has come, in words: where it stopped, what comes next, and a sentence on who
    noted work last (empty where nobody did).
    """

    stopped: str
    next: str
    last: str


def how_far(given: Given) -> HowFar:
    """Where the work stands by what was checked and read."""
    backwards = reversed(given.job.entries)
    written = next((entry for entry in backwards if entry.kind in WORK), None)
    last = ""
    if written is not None:
        last = f"Last entry: {listed(written.by, spaced(written.date, written.time))}."
    stopped, following = _stopped(given)
    return HowFar(stopped=stopped, next=following, last=last)


def _stopped(given: Given) -> tuple[str, str]:
    """Where it stopped and what comes next, in words."""
    surveyed, rung_out = given.surveyed, given.rung_out
    read = f"surveyed {surveyed} cavities, rung out {rung_out} circuits"
    if given.wrong_at_power:
        return f"{given.wrong_at_power}, {read}", "battery off; find why, mend it, write where"
    if given.held:
        return f"on hold, {read}", "lift the hold; nothing is cut or mated before"
    done = {each.stop for each in passed(given.job)}
    if surveyed.done < surveyed.of and not rung_out.done and Stop.CUT not in done:
        return read, f"the readings before {given.before_what} that are left"
    if rung_out.done < rung_out.of:
        return read, "the ring-out"
    owed = owed_before(given.job, Stop.MATING)
    before = [stop for stop in owed if stop is not Stop.BATTERY]
    if before:
        return read, f"the stop before {stop_name(before[0], adapter=given.adapter)}"
    power = given.first_power
    if power is not None and power.due is None:
        return f"{read}, first power passed", "nothing is left"
    return read, "first power"


def cured(given: Given) -> Iterator[str]:
    """What read wrong in the ring-out and reads well now, and all that was mended."""
    if given.plan is not None:
        drawn = drawn_of(given.harness, kind_of(given.harness))
        for cure in History(drawn, given.plan, given.job.entries).cures:
            yield f"{cure.well.told}; before: {seen(cure.wrong)}"
    for entry in given.job.entries:
        if entry.kind == EntryKind.MENDED:
            where = listed(*entry.points)
            who = listed(entry.by, spaced(entry.date, entry.time))
            yield f"mended at {where}: {entry.what or entry.how or 'not said how'} ({who})"


def _minutes(time: str) -> int:
    hours, _, minutes = time.partition(":")
    return int(hours) * MINUTES_AN_HOUR + int(minutes)
