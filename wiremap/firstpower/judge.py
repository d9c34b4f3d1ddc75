"""The verdict over what was read at first power."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from wiremap.base import Finding, numbers_told, plural
from wiremap.entries.courses import since_mended
from wiremap.entries.deeds import belongs
from wiremap.evidence.meter import DEAD_VOLTS
from wiremap.firstpower.answering import KINDS, answering, figure_of
from wiremap.firstpower.bus_pair import CROSSED, low_beside
from wiremap.firstpower.deeds import (
    NOT_SO,
    OF,
    LookedAt,
    looked_at,
    step_words,
)
from wiremap.firstpower.gate import beyond_stops
from wiremap.firstpower.plan import power_plan
from wiremap.firstpower.step import AMPS, PowerStep
from wiremap.graph import Harness
from wiremap.model import Entry, EntryKind, Stop
from wiremap.survey.loaded import FILE
from wiremap.trade.tables import figure

LIVE_VOLTS = figure(FILE, "row", "live")
CAUTION = (
    "battery off before any change to the wiring; a licensed person where brakes, steering "
    "or lifting gear are concerned"
)


FEW = 3  # readings that are told one by one


class Wrong(NamedTuple):
    """A step whose figure is bad, and why."""

    step: PowerStep
    value: float
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerVerdict:
    """How figures, eyes and stops stand against the plan; `unfit` are entries that answer no step.

    `unfinished`: every figure is right, but something was not looked at or a stop not passed.
    `void`: how many entries of first power stand before the last repair.  `due`: what comes next.
    """

    verdict: str  # pass, fail, incomplete, unfinished
    wrong: tuple[Wrong, ...]
    left: tuple[PowerStep, ...]
    unfit: tuple[Finding, ...]
    seen: LookedAt
    void: int
    due: PowerStep | Stop | None

    def as_dict(self) -> dict[str, Any]:
        """The verdict as plain data."""
        wrong = []
        for step, value, why in self.wrong:
            told = {f: getattr(step, f) for f in ("n", "red", "black", "key", "state")}
            wrong.append({**told, KINDS[step.quantity]: value, "why": why})
        return {
            "verdict": self.verdict,
            "left": [step.n for step in self.left],
            "wrong": wrong,
            "look": [step.n for step in self.seen.left],
            "not_so": [step.n for step in self.seen.not_so],
            "stops": list(self.seen.stops),
            "unfit": [finding.as_dict() for finding in self.unfit],
            "void": self.void,
        }

    def told(self, *, full: bool = False) -> Iterator[str]:
        """The verdict in plain lines: what is wrong, what does not count and why, what is left.

        The readings left are numbers in one line; `full` tells each with its probes.
        """
        yield f"{self.verdict}: {self._left()}"
        if self.void:
            lines = plural(self.void, "line")
            yield f"mended since: {lines} of first power before it no longer count"
        for step in self.seen.not_so:
            yield f"wrong: {step_words(step)}: it is not so; {step.why or 'stop'}"
        for step, value, why in self.wrong:
            yield f"wrong: {step.label}: {value:g} {step.quantity}; {why}"
        for finding in self.unfit:
            where = finding.place or ", ".join(finding.subject)
            yield f"not counted: {where}: {finding.message}"
        if full or len(self.left) <= FEW:
            for step in self.left:
                yield f"left: {step.label}"
        else:
            yield f"left: {numbers_told(step.n for step in self.left)}"
        if full or len(self.seen.left) <= FEW:
            for step in self.seen.left:
                yield f"to look at: {step_words(step)}"
        else:
            yield f"to look at: {numbers_told(step.n for step in self.seen.left)}"

    def _left(self) -> str:
        """What is left, counted: readings, things to look at, stops by name."""
        words = f"{len(self.left)} readings left"
        if self.seen.left:
            words += f", {plural(len(self.seen.left), 'thing')} to look at"
        if self.seen.stops:
            words += f"; stops not passed: {', '.join(self.seen.stops)}"
        return words


def power_judge(
    harness: Harness, entries: Iterable[Entry], steps: tuple[PowerStep, ...] | None = None
) -> PowerVerdict:
    """Judge the volts and amps read at first power; the last fresh reading of a step counts.

    What stands before the last repair is done again, and what was in order beyond a two-name stop
    that nobody had passed by then; what was wrong there is wrong.

    A reading in volts for which the job gives no limits (its volts are not stated) is never in
    order: it stays among those left.  Amps without a limit are only written down; those of the last
    step are what the machine draws more than before, so that they wait for the figure before.
    """
    steps = power_plan(harness) if steps is None else steps
    asked = tuple(step for step in steps if step.quantity and step.red)
    kept = tuple(entries)
    held = since_mended(kept)
    answers = answering(harness, held, steps)
    read = answers.read
    seen = {step.n: figure_of(read[step.n], step) for step in asked if step.n in read}
    wrong: list[Wrong] = []
    left: list[PowerStep] = []
    lows = low_beside(harness, asked)
    for step in asked:
        why = _judged(step, seen, asked)
        if why == "" and step.n in lows:
            why = _crossed(step, lows[step.n], seen)
        if why is None or (why == "" and step.n in answers.early):
            left.append(step)
        elif why:
            wrong.append(Wrong(step, seen[step.n], why))
    eyes = looked_at(steps, held)
    return PowerVerdict(
        verdict=_verdict(figures_left=bool(left) or not steps, is_wrong=bool(wrong), eyes=eyes),
        wrong=tuple(wrong),
        left=tuple(left),
        unfit=(*answers.unfit, *beyond_stops(answers.early)),
        seen=eyes,
        void=_of_power(kept[: len(kept) - len(held)]),
        due=_due(steps, left, eyes),
    )


def _due(
    steps: Iterable[PowerStep], left: Collection[PowerStep], eyes: LookedAt
) -> PowerStep | Stop | None:
    """What comes first of all that is left: a stop, or a step to read or to look at."""
    for step in steps:
        if step.stop in eyes.stops:
            return step.stop
        if step in left or step in eyes.left:
            return step
    return None


def _of_power(entries: Iterable[Entry]) -> int:
    """How many entries are of first power: figures, deeds, stops."""
    count = 0
    for entry in entries:
        is_stop = entry.passes in (Stop.BATTERY, Stop.MATING)
        count += entry.kind == EntryKind.POWER or is_stop or belongs(entry, OF, NOT_SO)
    return count


def _verdict(*, figures_left: bool, is_wrong: bool, eyes: LookedAt) -> str:
    """The gravest first: something wrong, figures left, something not looked at or not passed."""
    if is_wrong or eyes.not_so:
        return "fail"
    if figures_left:
        return "incomplete"
    return "unfinished" if eyes.left or eyes.stops else "pass"


# -- whether its figure is good -------------------------------------------------------------------


def _judged(step: PowerStep, seen: Mapping[int, float], asked: tuple[PowerStep, ...]) -> str | None:
    """Why the figure of a step is bad, empty if in order; None while nothing can be said."""
    value = seen.get(step.n)
    if value is None:
        return None
    if step.quantity == AMPS:
        return _drawn(step, value, seen, asked)
    if step.low is None or step.high is None:
        return None
    return "" if step.low <= value <= step.high else _wrong(step, value)


def _crossed(high: PowerStep, low: PowerStep, seen: Mapping[int, float]) -> str:
    """Why the level of a high leg is wrong beside that of its low one; empty if it is right."""
    beside = seen.get(low.n)
    if beside is None or seen[high.n] >= beside - DEAD_VOLTS:
        return ""
    return f"{seen[high.n]:g} V {CROSSED.format(low=f'the {beside:g} V of {low.red}')}"


def _drawn(
    step: PowerStep, amps: float, seen: Mapping[int, float], asked: tuple[PowerStep, ...]
) -> str | None:
    """Why a current is wrong, empty if it is right; None where the one before was not read."""
    if step.high is None:
        return ""
    if amps == 0:
        return (
            "nothing flows: the meter's range is too coarse or its own fuse blown, "
            "else feed or ground is open"
        )
    most = f"{step.high:g} A is the most that belongs here; {step.why}"
    if step.stage != "sleep":
        return "" if amps <= step.high else f"too much flows: {amps:.4g} A, {most}"
    draws = (s for s in asked if s.quantity == AMPS and s.stage == "lamp")
    before = next((seen.get(s.n) for s in draws), None)
    if before is None:
        return None
    more = round(amps - before, 9)
    if more <= step.high:
        return ""
    return f"too much flows: {more:.4g} A more than the {before:g} A before, {most}"


def _wrong(step: PowerStep, value: float) -> str:
    """Why a reading outside its limits is bad: too many volts are not for want of a joint."""
    low, high = step.low or 0.0, step.high or 0.0
    if low > LIVE_VOLTS and value > high:
        most = f"{high:g} V is the most that belongs here"
        return f"{value:g} V, {most}: too many volts, do not mate"
    return step.why or f"{value:g} V where {low:g} to {high:g} V belong"
