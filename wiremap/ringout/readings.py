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
from wiremap.evidence.readings import says_parted
from wiremap.mistakes.build import APART, IN, THROUGH_OHMS, Bench, Build
from wiremap.model import Entry, split
from wiremap.ringout.plan import Plan

DIODE_RANGE = "diode range"  # the state of a reading that was taken in it


@dataclass(frozen=True, slots=True)
class Taken:
    """One reading that counts: the last of its kind at these points, how often it was seen so, and if it is as drawn.

    `agrees` is None where it proves nothing either way (unsure, silence where ohms were asked for, or good where it was
    not good before).
    """

    red: tuple[str, ...]
    black: tuple[str, ...]
    entry: Entry
    times: int
    diode_range: bool
    state: str  # as that of a `Probe`: a fuse that was in, a net that was parted outside
    agrees: bool | None = None
    before: Entry | None = None  # what was wrong here before, until it has read well twice in a row

    @property
    def told(self) -> str:
        """The reading in words."""
        state = f" ({self.state})" if self.state else ""
        return f"{'+'.join(self.red)} to {'+'.join(self.black)}{state}: {seen(self.entry)}"


def seen(entry: Entry) -> str:
    """What the display did."""
    if entry.ohms is not None:
        return "open" if str(entry.ohms) == "open" else f"{entry.ohms} ohm"
    return entry.seen or (f"{entry.volts:g} V" if entry.volts is not None else "nothing noted")


def unit_of(t: Taken) -> str:
    """What was read: a beep or silence, ohms, or a diode's drop; as `Ask.expect`."""
    return (
        "diode"
        if t.diode_range
        else "beep"
        if t.entry.ohms is None or is_silent(t.entry)
        else "ohms"
    )


def taken(
    bench: Bench, plan: Plan | None, entries: Iterable[Entry]
) -> tuple[tuple[Taken, ...], tuple[tuple[Entry, str], ...]]:
    """The readings that count, in the order they were first taken, and the stale ones with what changed."""
    diodes = (
        {(p.red, p.black) for p in plan.probes if "diode range" in (p.why, p.expect)}
        if plan
        else set()
    )
    diodes |= {(p.red, p.black) for p in plan.probes if p.expect == "diode"} if plan else set()
    good: dict[tuple[frozenset[str], frozenset[str], str, bool], Taken] = {}
    stale = []
    for entry in entries:
        if entry.kind != "probe" or not entry.red or not entry.black:
            continue
        if (why := _stale(bench, entry)) is not None:
            stale.append((entry, why))
            continue
        ranged = (
            entry.state == DIODE_RANGE
            or entry.seen == "diode"
            or (entry.red, entry.black) in diodes
        )
        state = _state(bench, entry)
        sides = (frozenset(entry.red), frozenset(entry.black))
        key = (*(sides if ranged else sorted(sides, key=sorted)), state, ranged)
        times, other = 1, None
        if (last := good.get(key)) is not None and "unsure" not in (last.entry.seen, entry.seen):
            times, other = (
                (last.times + 1, last.before) if _alike(last.entry, entry) else (1, last.entry)
            )
        good[key] = Taken(entry.red, entry.black, entry, times, ranged, state, before=other)
    figures = (
        {(frozenset((p.red, p.black)), p.state) for p in plan.probes if p.expect == "ohms"}
        if plan
        else set()
    )
    return tuple(
        _judged(bench.drawn, t, (frozenset((t.red, t.black)), t.state) in figures)
        for t in good.values()
    ), tuple(stale)


def _stale(bench: Bench, entry: Entry) -> str | None:
    points = (*entry.red, *entry.black)
    lost = [a for a in points if a not in bench.harness.points]
    if lost:
        return f"{', '.join(lost)} is no point of the job any more"
    if entry.of is not None and entry.of != probe_print(bench.harness, points):
        nets = sorted({bench.names[bench.group[a]] for a in points})
        return f"the metal of {' or '.join(nets)} was changed after this reading"
    return None


def _state(bench: Bench, entry: Entry) -> str:
    """What was so for this reading alone: `F1 in`; or which net was parted outside: the one it names, else that of a probe."""
    words = (entry.state or "").split()
    extra = bench.harness.job.extras.get(words[0]) if words else None
    if extra is not None and extra.kind == "fuse":
        return f"{extra.name} {IN}"
    if says_parted(entry):
        named = [
            state
            for state in bench.parting
            if state.rpartition(" ")[0] == (entry.state or "").rpartition(" ")[0]
        ]
        if named:
            return named[0]
        nets = {bench.group[a] for a in (*entry.red, *entry.black)}
        lifted = [
            i
            for stays, *others in bench.meeting
            if nets & {stays, *others}
            for i in others
            if i in nets
        ]
        return f"{bench.names[lifted[0]]} {APART}" if lifted else ""
    return ""


def _alike(a: Entry, b: Entry) -> bool:
    if (is_silent(a) and is_silent(b)) or (is_short(a) and is_short(b)):
        return True
    if a.ohms is not None and b.ohms is not None:
        return a.ohms == b.ohms or abs(a.ohms.low - b.ohms.low) <= max(0.5, 0.05 * abs(b.ohms.low))
    return a.seen == b.seen and (a.ohms is None) == (b.ohms is None)


def consistent(build: Build, t: Taken) -> bool:
    """Whether this reading may have come from this build."""
    span = build.ohms(t.red, t.black, t.state)
    if t.diode_range and t.entry.ohms is None:
        forward = build.diode(t.red, t.black) == "forward"
        if t.entry.seen == "diode":
            return forward and span.high > BEEP_SURE_OHMS
        if t.entry.seen == "silent":
            return not forward and span.high > BEEP_SURE_OHMS
        return t.entry.seen != "beep" or span.low < SILENT_SURE_OHMS
    return fits(t.entry, span)


def _judged(drawn: Build, t: Taken, figure: bool) -> Taken:
    """With whether it is as drawn; a beep alone proves nothing where the plan asks for ohms, as another path would beep too."""
    agrees: bool | None = consistent(drawn, t)
    before = (
        t.before
        if agrees
        and t.before is not None
        and t.times < 2
        and not consistent(drawn, replace(t, entry=t.before))
        else None
    )
    if agrees:
        span = drawn.ohms(t.red, t.black, t.state)
        vague = t.entry.seen == "unsure" or (
            t.entry.ohms is None
            and not t.diode_range
            and (
                (t.entry.seen == "silent" and span.high < 1e9)
                or (t.entry.seen == "beep" and (figure or span.low > THROUGH_OHMS))
            )
        )
        agrees = None if vague or before is not None else True
    return replace(t, agrees=agrees, before=before)


def owner(point: str) -> str:
    """The end or extra of a point."""
    return split(point)[0]
