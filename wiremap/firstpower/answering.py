"""Which entry of a notebook answers which step of first power."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType

from wiremap.base import Finding, Severity
from wiremap.entries.courses import since_mended
from wiremap.entries.deeds import kept_deed
from wiremap.evidence import fresh
from wiremap.firstpower.deeds import OF, step_words
from wiremap.firstpower.gate import Gate
from wiremap.firstpower.step import AMPS, VOLTS, PowerStep
from wiremap.graph import Harness
from wiremap.model import Entry, EntryKind, Stop

FIELD_OF_UNIT: Mapping[str, str] = MappingProxyType({VOLTS: "volts", AMPS: "amps"})  # of an `Entry`


@dataclass(slots=True)
class Answers:
    """The last fresh entry of each step by its number, and what answers none.

    `before`: those of the same step before its last, in their order.
    `early`: the steps read beyond a two-name stop that nobody had passed by then, with the stop.
    """

    read: dict[int, Entry] = field(default_factory=dict)
    unfit: list[Finding] = field(default_factory=list)
    early: dict[int, Stop] = field(default_factory=dict)
    before: dict[int, list[Entry]] = field(default_factory=dict)

    def take(self, step: PowerStep, entry: Entry, owed: Stop | None) -> None:
        """Let an entry answer a step; `owed` is the stop that should have been passed before."""
        if step.n in self.read:
            self.before.setdefault(step.n, []).append(self.read[step.n])
        self.read[step.n] = entry
        self.early.pop(step.n, None)
        if owed is not None:
            self.early[step.n] = owed


def answering(harness: Harness, entries: Iterable[Entry], steps: Sequence[PowerStep]) -> Answers:
    """Which entries answer which of the steps at which a figure is read."""
    asked = tuple(step for step in steps if step.quantity and step.red)
    gate = Gate(steps)
    answers = Answers()
    for entry in entries:
        gate.see(entry)
        if entry.kind != EntryKind.POWER or (entry.of is not None and not fresh(harness, entry)):
            continue
        answered = _answered(asked, entry)
        if isinstance(answered, str):
            points = (*entry.red, *entry.black)
            unfit = Finding("reading-unfit", Severity.NOTE, answered, points, entry.place)
            answers.unfit.append(unfit)
        else:
            answers.take(answered, entry, gate.owed(answered.n))
    return answers


def beyond_stop(
    steps: Sequence[PowerStep], known: Iterable[Entry], read: Iterable[Entry]
) -> Stop | None:
    """The first stop that what was read lies beyond and that `known` does not pass."""
    gate = Gate(steps)
    for entry in since_mended(known):
        gate.see(entry)
    deeds = {kept_deed(OF, step_words(step)): step for step in steps}
    asked = tuple(step for step in steps if step.quantity and step.red)
    for entry in read:
        step = deeds.get(entry.what) if entry.kind == EntryKind.DONE else _answered(asked, entry)
        owed = gate.owed(step.n) if isinstance(step, PowerStep) else None
        if owed is not None:
            return owed
    return None


def figure_of(entry: Entry, step: PowerStep) -> float:
    """What the meter showed; a current and volts lost on the way count without their sign."""
    value = float(getattr(entry, FIELD_OF_UNIT[step.quantity]))
    return abs(value) if step.is_loss or step.quantity == AMPS else value


# -- which step an entry answers ------------------------------------------------------------------


def _answered(asked: tuple[PowerStep, ...], entry: Entry) -> PowerStep | str:
    """The step that an entry answers, or in words why it answers none."""
    where = " to ".join("+".join(side) for side in (entry.red, entry.black) if side)
    there = [step for step in asked if _is_at_probes(step, entry)]
    if not there:
        return f"no reading of first power is taken at {where or 'no point'}"
    alike = [step for step in there if _without_case(step.state) == _without_case(entry.state)]
    if not alike:
        return f"{where} is read with {_states(there)}, not with {_state(entry.state, 'none')}"
    if entry.key is None and len(alike) > 1:
        either = " or ".join(f"ignition {step.key} (step {step.n})" for step in alike)
        return f"{where} hangs on the ignition: say {either}"
    right = [step for step in alike if entry.key is None or step.key in (None, entry.key)]
    if not right:
        either = " or ".join(str(step.key) for step in alike)
        return f"{where} is read with the ignition {either}, not {entry.key}"
    step, *_ = right
    return _other_unit(step, entry) or step


def _is_at_probes(step: PowerStep, entry: Entry) -> bool:
    match entry.red, entry.black:
        case [red], [] | [_]:
            return step.at(red, next(iter(entry.black), None))
    return False


def _states(steps: list[PowerStep]) -> str:
    said = [f"the state {_state(step.state, '')}" if step.state else "no state" for step in steps]
    return " or ".join(dict.fromkeys(said))


def _state(state: str | None, missing: str) -> str:
    return f"`{state}`" if state else missing


def _without_case(state: str | None) -> str:
    return " ".join((state or "").casefold().split())


def _other_unit(step: PowerStep, entry: Entry) -> str:
    """What is wrong with the figures of an entry; empty if it has the step's and no other."""
    wanted = FIELD_OF_UNIT[step.quantity]
    figures = {"volts": entry.volts, "amps": entry.amps, "ohms": entry.ohms or entry.seen}
    other = [name for name, value in figures.items() if value is not None and name != wanted]
    if other:
        return f"step {step.n} is read in {wanted}, not in {' and '.join(other)}"
    if figures[wanted] is None:
        return f"step {step.n} is read in {wanted}; no figure is noted"
    return ""
