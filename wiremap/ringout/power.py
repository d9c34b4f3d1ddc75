"""First power as plain steps, and the verdict over what was read at it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from wiremap.evidence import fresh
from wiremap.graph import Harness
from wiremap.model import Entry

if TYPE_CHECKING:
    from wiremap.sizing.job import JobSizes

STAGES = ("lock-out", "lamp", "volts", "load", "in-line", "mate", "sleep")
CAUTION = "battery off before any change to the wiring; a licensed person where brakes, steering or lifting gear are concerned"


@dataclass(frozen=True, slots=True)
class PowerStep:
    """One step of first power: one deed, or one reading.

    `quantity` is `V` or `A` where a figure is written down and empty for a deed; a reading in volts has its probes in
    `red` and `black`, and `low` to `high` is what belongs there (None: nobody can say, write it down); `state` is what a
    notebook entry must name beside the key to speak of this reading; `source` is where the limits come from.
    """

    n: int
    stage: str
    do: str
    red: str | None = None
    black: str | None = None
    key: str | None = None
    low: float | None = None
    high: float | None = None
    why: str = ""
    quantity: str = ""
    state: str | None = None
    source: str = ""

    @property
    def blank(self) -> str:
        """The unit to print beside a line to write on; empty for a deed."""
        return self.quantity

    def as_json(self) -> dict[str, Any]:
        """The step as plain data."""
        names = ("n", "stage", "do", "red", "black", "key", "low", "high", "why", "quantity", "state", "source")
        return {f: getattr(self, f) for f in names}


@dataclass(frozen=True, slots=True)
class PowerVerdict:
    """How the volts read stand against the plan: pass, fail or incomplete."""

    verdict: str
    wrong: tuple[tuple[PowerStep, float, str], ...]
    left: tuple[PowerStep, ...]

    def as_json(self) -> dict[str, Any]:
        """The verdict as plain data."""
        return {
            "verdict": self.verdict,
            "left": [s.n for s in self.left],
            "wrong": [
                {"n": s.n, "red": s.red, "black": s.black, "key": s.key, "state": s.state, "volts": v, "why": why}
                for s, v, why in self.wrong
            ],
        }


def power_plan(harness: Harness, sizes: JobSizes | None = None) -> tuple[PowerStep, ...]:
    """The steps of first power of a settled job, fuses out until their step; `sizes` are worked out if not given."""
    from wiremap.ringout.powering import Powering
    from wiremap.sizing.job import size_job

    made = Powering(harness, sizes or size_job(harness)).steps()
    return tuple(replace(s, n=n) for n, s in enumerate(made, 1))


def power_judge(harness: Harness, entries: Iterable[Entry], steps: tuple[PowerStep, ...] | None = None) -> PowerVerdict:
    """Judge volts read at first power; the last fresh reading of a step counts.

    A reading for which the job gives no limits (its volts are not stated) is never in order: it stays among those left.
    """
    steps = power_plan(harness) if steps is None else steps
    seen: dict[tuple[str, str | None, str], float] = {}
    for e in entries:
        if e.kind == "power" and e.volts is not None and e.red and fresh(harness, e):
            seen[e.red[0], e.key, _plain(e.state)] = e.volts
    wrong, left = [], []
    for s in steps:
        if s.quantity != "V" or s.red is None:
            continue
        value = seen.get((s.red, s.key, _plain(s.state)), seen.get((s.red, None, _plain(s.state))))
        if value is None or s.low is None or s.high is None:
            left.append(s)
        elif not s.low <= value <= s.high:
            wrong.append((s, value, _wrong(s, value)))
    return PowerVerdict("fail" if wrong else "incomplete" if left or not steps else "pass", tuple(wrong), tuple(left))


def _wrong(step: PowerStep, value: float) -> str:
    """Why a reading outside its limits is bad: too many volts on a live contact are not for want of a joint."""
    if step.low is not None and step.high is not None and step.low > 1 and value > step.high:
        return f"{value:g} V, {step.high:g} V is the most that belongs here: too many volts, do not mate"
    return step.why or f"{value:g} V where {step.low:g} to {step.high:g} V belong"


def _plain(state: str | None) -> str:
    return " ".join((state or "").casefold().split())
