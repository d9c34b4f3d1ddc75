"""The verdict over what was read at first power."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, NamedTuple

from wiremap.base import Finding, Severity, numbers_told
from wiremap.evidence import fresh
from wiremap.evidence.meter import DEAD_VOLTS
from wiremap.firstpower.bus_pair import CROSSED, low_beside
from wiremap.firstpower.plan import power_plan
from wiremap.firstpower.step import AMPS, PowerStep
from wiremap.graph import Harness
from wiremap.model import Entry, EntryKind
from wiremap.survey.loaded import FILE
from wiremap.trade.tables import figure

KINDS: Mapping[str, str] = MappingProxyType({"V": "volts", "A": "amps"})  # as a notebook calls them
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


@dataclass(frozen=True, slots=True)
class PowerVerdict:
    """How the figures stand against the plan; `unfit` are entries that answer no step."""

    verdict: str  # pass, fail, incomplete
    wrong: tuple[Wrong, ...]
    left: tuple[PowerStep, ...]
    unfit: tuple[Finding, ...] = ()

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
            "unfit": [finding.as_dict() for finding in self.unfit],
        }

    def told(self, *, full: bool = False) -> Iterator[str]:
        """The verdict in plain lines: what is wrong, what does not count and why, what is left.

        The readings left are numbers in one line; `full` tells each with its probes.
        """
        yield f"{self.verdict}: {len(self.left)} readings left"
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


def power_judge(
    harness: Harness, entries: Iterable[Entry], steps: tuple[PowerStep, ...] | None = None
) -> PowerVerdict:
    """Judge the volts and amps read at first power; the last fresh reading of a step counts.

    A reading in volts for which the job gives no limits (its volts are not stated) is never in
    order: it stays among those left.  Amps without a limit are only written down; those of the last
    step are what the machine draws more than before, so that they wait for the figure before.
    """
    steps = power_plan(harness) if steps is None else steps
    asked = tuple(step for step in steps if step.quantity and step.red)
    read, unfit = answering(harness, entries, asked)
    seen = {step.n: _figure(read[step.n], step) for step in asked if step.n in read}
    wrong: list[Wrong] = []
    left: list[PowerStep] = []
    lows = low_beside(harness, asked)
    for step in asked:
        why = _judged(step, seen, asked)
        if why == "" and step.n in lows:
            why = _crossed(step, lows[step.n], seen)
        if why is None:
            left.append(step)
        elif why:
            wrong.append(Wrong(step, seen[step.n], why))
    verdict = "pass" if steps else "incomplete"
    if left:
        verdict = "incomplete"
    if wrong:
        verdict = "fail"
    return PowerVerdict(verdict, tuple(wrong), tuple(left), tuple(unfit))


def answering(
    harness: Harness, entries: Iterable[Entry], asked: tuple[PowerStep, ...]
) -> tuple[dict[int, Entry], list[Finding]]:
    """The last fresh entry of each step by its number, and what answers none."""
    seen: dict[int, Entry] = {}
    unfit = []
    for entry in entries:
        if entry.kind != EntryKind.POWER or (entry.of is not None and not fresh(harness, entry)):
            continue
        answered = _answered(asked, entry)
        if isinstance(answered, str):
            points = (*entry.red, *entry.black)
            unfit.append(Finding("reading-unfit", Severity.NOTE, answered, points, entry.place))
        else:
            seen[answered.n] = entry
    return seen, unfit


def _figure(entry: Entry, step: PowerStep) -> float:
    """What the meter showed; a current and volts lost on the way count without their sign."""
    value = float(getattr(entry, KINDS[step.quantity]))
    return abs(value) if step.lost or step.quantity == AMPS else value


# -- which step an entry answers ------------------------------------------------------------------


def _answered(asked: tuple[PowerStep, ...], entry: Entry) -> PowerStep | str:
    """The step that an entry answers, or in words why it answers none."""
    where = " to ".join("+".join(side) for side in (entry.red, entry.black) if side)
    there = [step for step in asked if _at(step, entry)]
    if not there:
        return f"no reading of first power is taken at {where or 'no point'}"
    alike = [step for step in there if _plain(step.state) == _plain(entry.state)]
    if not alike:
        return f"{where} is read with {_states(there)}, not with {_state(entry.state, 'none')}"
    if entry.key is None and len(alike) > 1:
        either = " or ".join(f"ignition {step.key} (step {step.n})" for step in alike)
        return f"{where} hangs on the ignition: say {either}"
    right = [step for step in alike if entry.key is None or step.key in (None, entry.key)]
    if not right:
        either = " or ".join(str(step.key) for step in alike)
        return f"{where} is read with the ignition {either}, not {entry.key}"
    return _other_unit(right[0], entry) or right[0]


def _at(step: PowerStep, entry: Entry) -> bool:
    if len(entry.red) != 1 or len(entry.black) > 1:
        return False
    return step.at(entry.red[0], entry.black[0] if entry.black else None)


def _states(steps: list[PowerStep]) -> str:
    said = [f"the state {_state(step.state, '')}" if step.state else "no state" for step in steps]
    return " or ".join(dict.fromkeys(said))


def _state(state: str | None, missing: str) -> str:
    return f"`{state}`" if state else missing


def _plain(state: str | None) -> str:
    return " ".join((state or "").casefold().split())


def _other_unit(step: PowerStep, entry: Entry) -> str:
    """What is wrong with the figures of an entry; empty if it has the step's and no other."""
    wanted = KINDS[step.quantity]
    figures = {"volts": entry.volts, "amps": entry.amps, "ohms": entry.ohms or entry.seen}
    other = [name for name, value in figures.items() if value is not None and name != wanted]
    if other:
        return f"step {step.n} is read in {wanted}, not in {' and '.join(other)}"
    if figures[wanted] is None:
        return f"step {step.n} is read in {wanted}; no figure is noted"
    return ""


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
