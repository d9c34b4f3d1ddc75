"""Which entry of a notebook answers which step of first power."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType

from wiremap.base import Finding, Severity
from wiremap.evidence import fresh
from wiremap.firstpower.step import AMPS, PowerStep
from wiremap.graph import Harness
from wiremap.model import Entry, EntryKind

KINDS: Mapping[str, str] = MappingProxyType({"V": "volts", "A": "amps"})  # as a notebook calls them


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


def figure_of(entry: Entry, step: PowerStep) -> float:
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
