"""First power as plain steps, and the verdict over what was read at it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from wiremap.base import Finding, Severity
from wiremap.evidence import fresh
from wiremap.evidence.meter import POSTS
from wiremap.graph import Harness
from wiremap.model import CHASSIS, Entry

if TYPE_CHECKING:
    from wiremap.sizing.job import JobSizes

KINDS = {"V": "volts", "A": "amps"}  # what a notebook calls the figure of each unit
MINUS = POSTS[1]
STAGES = ("lock-out", "lamp", "volts", "load", "in-line", "mate", "work", "sleep")
CAUTION = "battery off before any change to the wiring; a licensed person where brakes, steering or lifting gear are concerned"


@dataclass(frozen=True, slots=True)
class PowerStep:
    """One step of first power: one deed, or one reading.

    `quantity` is `V` or `A` where a figure is written down and empty for a deed; the probes of a reading stand in `red`
    and `black` (those of the ammeter for amps), and `low` to `high` is what belongs there (None: nobody can say, write it
    down); `state` is what a notebook entry must name beside the key to speak of this reading; `source` is where the
    limits come from.
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

    @property
    def when(self) -> str:
        """The key and the state in which the reading is taken."""
        return ", ".join(x for x in (f"key {self.key}" if self.key else "", self.state or "") if x)

    @property
    def told(self) -> str:
        """Which reading this is: its number, its probes, how the machine stands."""
        return f"{self.n}. {self.red} to {self.black}" + (f", {self.when}" if self.when else "")

    @property
    def lost(self) -> bool:
        """Whether volts lost on the way are read: they count without their sign, whichever way round the probes stand."""
        return self.quantity == "V" and self.black in POSTS

    def at(self, red: str, black: str | None) -> bool:
        """Whether a reading between these points is this one's; a black probe that is not named stands where it belongs."""
        if self.black == CHASSIS and self.quantity == "V" and black == MINUS:
            black = CHASSIS
        return (red, black or self.black) == (self.red, self.black) or (
            self.lost and (black, red) == (self.red, self.black)
        )

    def as_dict(self) -> dict[str, Any]:
        """The step as plain data."""
        names = (
            "n",
            "stage",
            "do",
            "red",
            "black",
            "key",
            "low",
            "high",
            "why",
            "quantity",
            "state",
            "source",
        )
        return {f: getattr(self, f) for f in names}


@dataclass(frozen=True, slots=True)
class PowerVerdict:
    """How the figures read stand against the plan: pass, fail or incomplete; `unfit` are entries that answer no step."""

    verdict: str
    wrong: tuple[tuple[PowerStep, float, str], ...]
    left: tuple[PowerStep, ...]
    unfit: tuple[Finding, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """The verdict as plain data."""
        return {
            "verdict": self.verdict,
            "left": [s.n for s in self.left],
            "wrong": [
                {
                    "n": s.n,
                    "red": s.red,
                    "black": s.black,
                    "key": s.key,
                    "state": s.state,
                    KINDS[s.quantity]: value,
                    "why": why,
                }
                for s, value, why in self.wrong
            ],
            "unfit": [f.as_dict() for f in self.unfit],
        }

    def told(self) -> Iterator[str]:
        """The verdict in plain lines: what is wrong, which entries do not count and why, what is left."""
        yield f"{self.verdict}: {len(self.left)} readings left"
        for s, value, why in self.wrong:
            yield f"wrong: {s.told}: {value:g} {s.quantity}; {why}"
        for f in self.unfit:
            yield f"not counted: {f.place or ', '.join(f.subject)}: {f.message}"
        for s in self.left:
            yield f"left: {s.told}"


def power_plan(harness: Harness, sizes: JobSizes | None = None) -> tuple[PowerStep, ...]:
    """The steps of first power of a settled job, fuses out until their step; `sizes` are worked out if not given."""
    from wiremap.firstpower.steps import Powering
    from wiremap.sizing.job import size_job

    made = Powering(harness, sizes or size_job(harness)).steps()
    return tuple(replace(s, n=n) for n, s in enumerate(made, 1))


def power_judge(
    harness: Harness, entries: Iterable[Entry], steps: tuple[PowerStep, ...] | None = None
) -> PowerVerdict:
    """Judge the volts and amps read at first power; the last fresh reading of a step counts.

    A reading in volts for which the job gives no limits (its volts are not stated) is never in order: it stays among
    those left. Amps without a limit are only written down; those of the last step are what the machine draws more than
    before, so that they wait for the figure before.
    """
    steps = power_plan(harness) if steps is None else steps
    asked = tuple(s for s in steps if s.quantity and s.red)
    seen: dict[int, float] = {}
    unfit = []
    for e in entries:
        if e.kind != "power" or (e.of is not None and not fresh(harness, e)):
            continue
        answered = _answered(asked, e)
        if isinstance(answered, str):
            unfit.append(
                Finding("reading-unfit", Severity.NOTE, answered, (*e.red, *e.black), e.place)
            )
        else:
            seen[answered.n] = _figure(e, answered)
    wrong, left = [], []
    for s in asked:
        why = _judged(s, seen, asked)
        if why is None:
            left.append(s)
        elif why:
            wrong.append((s, seen[s.n], why))
    return PowerVerdict(
        "fail" if wrong else "incomplete" if left or not steps else "pass",
        tuple(wrong),
        tuple(left),
        tuple(unfit),
    )


def _figure(e: Entry, step: PowerStep) -> float:
    """What the meter showed; a current and volts lost on the way count without their sign."""
    value = float(getattr(e, KINDS[step.quantity]))
    return abs(value) if step.lost or step.quantity == "A" else value


def _answered(asked: tuple[PowerStep, ...], e: Entry) -> PowerStep | str:
    """The step that an entry answers, or in words why it answers none."""
    where = " to ".join("+".join(side) for side in (e.red, e.black) if side)
    there = [
        s
        for s in asked
        if len(e.red) == 1 and len(e.black) < 2 and s.at(e.red[0], e.black[0] if e.black else None)
    ]
    if not there:
        return f"no reading of first power is taken at {where or 'no point'}"
    alike = [s for s in there if _plain(s.state) == _plain(e.state)]
    if not alike:
        states = " or ".join(
            dict.fromkeys(f"the state `{s.state}`" if s.state else "no state" for s in there)
        )
        return f"{where} is read with {states}, not with {f'`{e.state}`' if e.state else 'none'}"
    if e.key is None and len(alike) > 1:
        return f"{where} hangs on the key: say {' or '.join(f'key {s.key} (step {s.n})' for s in alike)}"
    right = [s for s in alike if e.key is None or s.key in (None, e.key)]
    if not right:
        return f"{where} is read with the key {' or '.join(str(s.key) for s in alike)}, not {e.key}"
    step = right[0]
    other = [
        name
        for name, value in (("volts", e.volts), ("amps", e.amps), ("ohms", e.ohms or e.seen))
        if value is not None and name != KINDS[step.quantity]
    ]
    if other or getattr(e, KINDS[step.quantity]) is None:
        return f"step {step.n} is read in {KINDS[step.quantity]}" + (
            f", not in {' and '.join(other)}" if other else "; no figure is noted"
        )
    return step


def _judged(step: PowerStep, seen: dict[int, float], asked: tuple[PowerStep, ...]) -> str | None:
    """Why the figure of a step is bad, empty if it is in order; None while it is not read or there is nothing to judge it by."""
    value = seen.get(step.n)
    if value is None:
        return None
    if step.quantity == "A":
        return _drawn(step, value, seen, asked)
    if step.low is None or step.high is None:
        return None
    return "" if step.low <= value <= step.high else _wrong(step, value)


def _drawn(
    step: PowerStep, amps: float, seen: dict[int, float], asked: tuple[PowerStep, ...]
) -> str | None:
    """The same for a current: too much, or nothing where a unit that is fed must draw something."""
    if step.high is None:
        return ""
    if amps == 0:
        return "nothing flows: the meter's range is too coarse or its own fuse blown, else feed or ground is open"
    before = (
        next((seen.get(s.n) for s in asked if s.quantity == "A" and s.stage == "lamp"), None)
        if step.stage == "sleep"
        else 0.0
    )
    if before is None:
        return None
    more = f" more than the {before:g} A before" if step.stage == "sleep" else ""
    if round(amps - before, 9) <= step.high:
        return ""
    return f"too much flows: {amps - before:.4g} A{more}, {step.high:g} A is the most that belongs here; {step.why}"


def _wrong(step: PowerStep, value: float) -> str:
    """Why a reading outside its limits is bad: too many volts on a live contact are not for want of a joint."""
    if step.low is not None and step.high is not None and step.low > 1 and value > step.high:
        return f"{value:g} V, {step.high:g} V is the most that belongs here: too many volts, do not mate"
    return step.why or f"{value:g} V where {step.low:g} to {step.high:g} V belong"


def _plain(state: str | None) -> str:
    return " ".join((state or "").casefold().split())
