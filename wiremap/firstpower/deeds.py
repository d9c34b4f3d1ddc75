"""Deeds of first power as a notebook keeps them, and which are still to be looked at."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from wiremap.entries.deeds import deed_of, kept_deed
from wiremap.firstpower.gate import Gate
from wiremap.firstpower.step import PowerStep
from wiremap.model import Entry, EntryKind, Stop

# under what a deed is kept: done and so, or looked at and not so
OF = "first power"
NOT_SO = "first power, not so"


class LookedAt(NamedTuple):
    """What eyes have not told yet, what they told is not so, and the stops nobody has passed.

    `older`: what was not so at a step that the plan no longer has; `unnoted`: what hands do and
    nobody has noted, which the names at the stops stand for; `before_battery`: those that come
    before the battery's stop, while nobody has passed it.
    """

    left: tuple[PowerStep, ...]
    not_so: tuple[PowerStep, ...]
    stops: tuple[Stop, ...]
    older: tuple[str, ...]
    unnoted: tuple[PowerStep, ...]
    before_battery: tuple[PowerStep, ...]


def step_words(step: PowerStep) -> str:
    """How a step is called in the notebook."""
    return f"{step.n}. {step.do}"


def last_words(entries: Iterable[Entry]) -> dict[str, bool]:
    """Of each deed that was spoken of, whether it is so; what was not so stays so until mended."""
    last: dict[str, bool] = {}
    for entry in entries:
        for of in (OF, NOT_SO):
            deed = deed_of(entry, of)
            if deed is not None:
                last[deed] = of == OF and last.get(deed, True)
    return last


def _in_turn(steps: Sequence[PowerStep], entries: Iterable[Entry]) -> Iterator[Entry]:
    """The entries without what was found to be so beyond a stop that nobody had passed."""
    numbers = {kept_deed(OF, step_words(step)): step.n for step in steps}
    gate = Gate(steps)
    for entry in entries:
        gate.see(entry)
        n = numbers.get(entry.what) if entry.kind == EntryKind.DONE else None
        if n is None or gate.owed(n) is None:
            yield entry


def _renumbered(steps: Sequence[PowerStep], said: dict[str, bool]) -> tuple[str, ...]:
    """Carry what was not so under an older number to the step that it is now; gives the rest."""
    now = {step.do: step_words(step) for step in steps}
    known = {step_words(step) for step in steps}
    older = [deed for deed, is_so in said.items() if not is_so and deed not in known]
    left = []
    for deed in older:
        _, _, do = deed.partition(". ")
        if do in now:
            said[now[do]] = False
        else:
            left.append(deed)
    return tuple(left)


def looked_at(steps: Sequence[PowerStep], entries: Iterable[Entry]) -> LookedAt:
    """How the deeds and stops of a plan stand by what was kept."""
    kept = list(entries)
    said = last_words(_in_turn(steps, kept))
    older = _renumbered(steps, said)
    passed = {entry.passes for entry in kept}
    left, not_so, unnoted = [], [], []
    stops: dict[Stop, None] = {}
    for step in steps:
        if step.stop is not None and step.stop not in passed:
            stops[step.stop] = None
        words = step_words(step)
        if said.get(words) is False:
            not_so.append(step)
        elif step.looks and words not in said:
            left.append(step)
        elif not step.quantity and words not in said:
            unnoted.append(step)
    before = _before(Stop.BATTERY, steps, unnoted) if Stop.BATTERY in stops else ()
    return LookedAt(tuple(left), tuple(not_so), tuple(stops), older, tuple(unnoted), before)


def _before(
    stop: Stop, steps: Iterable[PowerStep], some: Iterable[PowerStep]
) -> tuple[PowerStep, ...]:
    """Those of some steps that come before a stop."""
    at = next(step.n for step in steps if step.stop is stop)
    return tuple(step for step in some if step.n < at)
