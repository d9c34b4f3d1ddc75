"""The verdict over what was read at first power."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from wiremap.base import Finding, numbers_told, plural
from wiremap.entries.courses import since_mended
from wiremap.entries.deeds import belongs
from wiremap.firstpower.answering import FIELD_OF_UNIT, answering, figure_of
from wiremap.firstpower.bus_pair import low_beside
from wiremap.firstpower.deeds import (
    NOT_SO,
    OF,
    LookedAt,
    looked_at,
    step_words,
)
from wiremap.firstpower.figures import Figures, Wrong
from wiremap.firstpower.gate import beyond_stops
from wiremap.firstpower.plan import power_plan
from wiremap.firstpower.step import PowerStep
from wiremap.graph import Harness
from wiremap.model import Entry, EntryKind, Stop

CAUTION = (
    "battery off before any change to the wiring; a licensed person where brakes, steering "
    "or lifting gear are concerned"
)
FEW = 3  # readings that are told one by one


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

    @property
    def steps_wrong(self) -> tuple[PowerStep, ...]:
        """The steps that are wrong or not so, in their order."""
        found = {each.step.n: each.step for each in self.wrong}
        found |= {step.n: step for step in self.seen.not_so}
        return tuple(found[n] for n in sorted(found))

    def stamp(self, mark: str) -> str:
        """Where it is wrong, `mark` before each number; empty where nothing is."""
        at = ", ".join(f"{mark}{step.n}" for step in self.steps_wrong)
        at = f" AT {at}" if at else ""
        return f"FIRST POWER: WRONG{at}" if self.halt else ""

    @property
    def halt(self) -> str:
        """What comes before all else because something is wrong; empty where nothing is."""
        if self.wrong:
            return f"battery off, then find why this is wrong: step {self.wrong[0].step.label}"
        not_so = (*map(step_words, self.seen.not_so), *self.seen.older)
        return f"battery off, then find why this is not so: step {not_so[0]}" if not_so else ""

    def as_dict(self) -> dict[str, Any]:
        """The verdict as plain data."""
        wrong = []
        for step, value, why in self.wrong:
            told = {f: getattr(step, f) for f in ("n", "red", "black", "key", "state")}
            wrong.append({**told, FIELD_OF_UNIT[step.quantity]: value, "why": why})
        return {
            "verdict": self.verdict,
            "left": [step.n for step in self.left],
            "wrong": wrong,
            "look": [step.n for step in self.seen.left],
            "not_so": [step.n for step in self.seen.not_so],
            "not_so_older": list(self.seen.older),
            "stops": list(self.seen.stops),
            "unnoted": [step.n for step in self.seen.unnoted],
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
        for words in self.seen.older:
            yield f"wrong, by a list that has changed since: {words}: it is not so"
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
        yield from self._unnoted()

    def _unnoted(self) -> Iterator[str]:
        """What hands do and nobody has noted, once no figure is left."""
        if self.seen.unnoted and self.verdict in ("pass", "unfinished"):
            numbers = numbers_told(step.n for step in self.seen.unnoted)
            yield f"nobody has noted that these were done (write `1 done`): {numbers}"

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

    What was wrong and reads right again is wrong until something is mended or it is struck out.
    What was kept before the last repair counts no more.  A figure read beyond a two-name stop that
    nobody had passed by then is still to be read if it was in order; a wrong one is wrong.

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
    figures = Figures(asked, seen, low_beside(harness, asked))
    for step in asked:
        why = figures.why(step, seen.get(step.n))
        was = None if why else figures.was_wrong(step, answers.before.get(step.n, ()))
        if why:
            wrong.append(Wrong(step, seen[step.n], why))
        elif was is not None:
            wrong.append(was)
        elif why is None or step.n in answers.early:
            left.append(step)
    eyes = looked_at(steps, held)
    return PowerVerdict(
        verdict=_verdict(figures_left=bool(left) or not steps, is_wrong=bool(wrong), eyes=eyes),
        wrong=tuple(wrong),
        left=tuple(left),
        unfit=(*answers.unfit, *beyond_stops(answers.early)),
        seen=eyes,
        void=_count_of_power(kept[: len(kept) - len(held)]),
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


def power_kept(
    harness: Harness,
    entries: Collection[Entry],
    steps: Callable[[], tuple[PowerStep, ...]] | None = None,
) -> PowerVerdict | None:
    """The verdict over first power; None where nothing of it is kept, and then no plan is made.

    `steps` gives the plan where it may be known already.
    """
    if not _count_of_power(entries):
        return None
    return power_judge(harness, entries, steps() if steps else None)


def _count_of_power(entries: Iterable[Entry]) -> int:
    """How many entries are of first power: figures, deeds, stops."""
    return sum(
        entry.kind == EntryKind.POWER
        or entry.passes in (Stop.BATTERY, Stop.MATING)
        or belongs(entry, OF, NOT_SO)
        for entry in entries
    )


def _verdict(*, figures_left: bool, is_wrong: bool, eyes: LookedAt) -> str:
    """The gravest that holds: something wrong, figures left, something not looked at or passed."""
    if is_wrong or eyes.not_so or eyes.older:
        return "fail"
    if figures_left:
        return "incomplete"
    return "unfinished" if eyes.left or eyes.stops else "pass"
