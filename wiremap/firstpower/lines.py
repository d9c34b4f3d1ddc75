"""Typed readings of first power matched with the steps that they answer."""

from __future__ import annotations

import re
from dataclasses import replace

from wiremap.base import Finding, Place, fault, plural
from wiremap.entries.lines import pieces, too_many_faults
from wiremap.entries.notebook import LineReader
from wiremap.entries.power_lines import TypedPower, numbers_in, points_of, taken_apart
from wiremap.entries.ticked import NUMBERS
from wiremap.evidence.unusual import unusual_figure
from wiremap.files.faults import did_you_mean
from wiremap.firstpower.step import AMPS, PowerStep
from wiremap.firstpower.ticks import ticks
from wiremap.model import Address, Entry, EntryKind, OnOff

FIX = (
    "write it as: 15 off 0.02 V, or: 3-10 done, or: 12 not so, or: "
    "donor.3 - donor.1 12.6 V ignition on   "
    "(numbers as the list of first power prints them)"
)
SURE = "sure"  # behind an unusual figure: it was asked back, and is so
Steps = tuple[PowerStep, ...]


def power_lines(
    text: str, steps: Steps, shown: str = "readings", by: str = "", date: str = ""
) -> tuple[tuple[Entry, ...], tuple[Finding, ...]]:
    """Entries of kind `power` from typed lines, and what could not be read.

    `steps` are those of `power_plan`, whose numbers are typed; an entry names probes, key and
    state of its step, so that it still speaks of them after the list has changed.
    """
    entries: list[Entry] = []
    findings: list[Finding] = []
    for place, piece in pieces(text, shown):
        if too_many_faults(findings, place):
            break
        plain = Entry(kind=EntryKind.POWER, by=by, date=date, place=place)
        read = ticks(piece, steps, plain) or _entries(piece, steps, plain)
        if isinstance(read, str):
            findings.append(fault("reading-unread", f"`{piece}`: {read}", place, fix=FIX))
        else:
            entries += read
    if not entries and not findings:
        findings.append(fault("reading-unread", "there is no reading in it", Place(shown), fix=FIX))
    return tuple(entries), tuple(findings)


def power_reader(steps: Steps) -> LineReader:
    """What reads the lines of these steps, for `readings_from`."""
    return lambda text, shown, by, date: power_lines(text, steps, shown, by, date)


def _entries(piece: str, steps: Steps, plain: Entry) -> list[Entry] | str:
    """What one line says as entries, or in words what is wrong with it."""
    piece, is_sure = _stood_to(piece)
    states = {step.state for step in steps if step.state}
    said = taken_apart(piece, states, _only_unit(piece, steps))
    if isinstance(said, str):
        return said
    found = _by_number(said, steps) if said.numbers else _by_probes(said, steps)
    if isinstance(found, str):
        return found
    strange = "" if is_sure else _unusual(said, found)
    if strange:
        return strange
    return [
        replace(
            plain,
            red=(Address.read(str(step.red)),),
            black=(Address.read(str(step.black)),),
            volts=figure if said.unit == "V" else None,
            amps=figure if said.unit == "A" else None,
            key=OnOff(step.key) if step.key else said.key,
            state=step.state,
        )
        for step, figure in zip(found, said.figures, strict=True)
    ]


def _stood_to(piece: str) -> tuple[str, bool]:
    """A line without the word that stands to an unusual figure, and whether it was there."""
    match piece.split():
        case [*words, last] if last.casefold() == SURE:
            return " ".join(words), True
    return piece, False


def _unusual(said: TypedPower, steps: list[PowerStep]) -> str:
    """Why amps that no limit judges are asked back: what a machine draws asleep is little."""
    if said.unit != AMPS:
        return ""
    for step, figure in zip(steps, said.figures, strict=True):
        strange = unusual_figure("asleep_amps", abs(figure)) if step.high is None else ""
        if strange:
            return f"{strange}; if it is so, write `{SURE}` behind it"
    return ""


def _only_unit(piece: str, steps: Steps) -> str:
    """The unit in which all steps that a line names are read, by their numbers or by the point
    under the red probe; empty where there is no one.
    """
    numbers, red = numbers_in(piece), next(iter(piece.split()), "")
    named = [step for step in steps if step.n in numbers]
    if not numbers:
        named = [step for step in steps if step.red == red]
    match list({step.quantity for step in named if step.quantity}):
        case [unit]:
            return str(unit)
    return ""


# -- by number ------------------------------------------------------------------------------------


def _by_number(said: TypedPower, steps: Steps) -> list[PowerStep] | str:
    """The steps whose numbers stand at the head of the line, one for each figure."""
    known = {step.n: step for step in steps}
    for n in said.numbers:
        if n not in known:
            return f"there is no step {n}: the list of first power ends at {max(known, default=0)}"
        if not known[n].quantity:
            return f"nothing is read at step {n} ({known[n].do})"
    chosen = [known[n] for n in said.numbers]
    if said.key and len(chosen) > 1:
        chosen = [step for step in chosen if step.key in (None, said.key)]
    for step in chosen:
        wrong = _unfit(said, step, steps)
        if wrong:
            return wrong
    if len(chosen) == len(said.figures):
        return chosen
    if len(said.figures) == 1 and len(chosen) > 1:
        return (
            "one figure for several steps: say ignition off or ignition on, "
            "or type a figure for each"
        )
    return f"{plural(len(said.figures), 'figure')} for {plural(len(chosen), 'step')}"


def _unfit(said: TypedPower, step: PowerStep, steps: Steps) -> str:
    """What in a line contradicts the step that its number names; empty if nothing does."""
    if step.quantity != said.unit:
        return f"step {step.n} is read in {step.quantity}, not in {said.unit}"
    if said.key and step.key not in (None, said.key):
        other = _with_key(step, said.key, steps)
        hint = f"; ignition {said.key} is step {other.n}" if other else ""
        return f"step {step.n} is read with the ignition {step.key}{hint}"
    if said.state and said.state != step.state:
        state = f"with {step.state}" if step.state else "with no such state"
        return f"step {step.n} is read {state}, not with {said.state}"
    if said.rest:
        probes = points_of(said.rest)
        if probes is None or not step.at(*probes):
            return f"step {step.n} is read at {step.red} to {step.black}, not at {said.rest}"
    return ""


def _with_key(like: PowerStep, key: str, steps: Steps) -> PowerStep | None:
    """The step that is read as another one, but with the ignition so."""
    wanted = (key, like.quantity, like.red, like.black, like.state)
    for step in steps:
        if (step.key, step.quantity, step.red, step.black, step.state) == wanted:
            return step
    return None


# -- by probes ------------------------------------------------------------------------------------


def _by_probes(said: TypedPower, steps: Steps) -> list[PowerStep] | str:
    """The one step that is read at these probes with this key and state."""
    probes = points_of(said.rest)
    if re.fullmatch(NUMBERS, said.rest):
        return "no one figure stands for a run of steps: type each, or as `15/16 12.4 12.5 V`"
    if probes is None:
        if said.rest:
            return f"`{said.rest}` names no probes"
        return "neither a step nor its probes are named"
    asked = [step for step in steps if step.quantity and step.red]
    there = [step for step in asked if step.at(*probes)]
    if probes.black is None:
        there = [step for step in there if not step.is_loss] or there
    if not there:
        return _nowhere(probes.red, probes.black, asked)
    fits = [step for step in there if step.quantity == said.unit]
    if not fits:
        return f"step {there[0].n} is read in {there[0].quantity}, not in {said.unit}"
    return _the_one(said, fits)


def _the_one(said: TypedPower, fits: list[PowerStep]) -> list[PowerStep] | str:
    """The step among those at the same probes that the key and the state name."""
    alike = [step for step in fits if not said.state or step.state == said.state]
    right = [step for step in alike if not said.key or step.key in (None, said.key)]
    if len(right) == 1:
        if len(said.figures) == 1:
            return right
        return f"{plural(len(said.figures), 'figure')} for 1 step"
    told = ", ".join(map(_number_and_state, right or fits))
    if not right:
        return f"nothing is read there like that, but {told}"
    return f"it may be {told}: say how the ignition stood and the state, or begin with the number"


def _number_and_state(step: PowerStep) -> str:
    return f"step {step.n} ({step.when})" if step.when else f"step {step.n}"


def _nowhere(red: str, black: str | None, asked: list[PowerStep]) -> str:
    """Why no step is read at two probes: turned round, a slip of the pen, or not on the list."""
    for step in asked:
        if black and step.at(black, red):
            return f"the red probe belongs on {step.red}, the black one on {step.black}"
    points = list(dict.fromkeys(p for step in asked for p in (step.red, step.black) if p))
    for name in (red, black):
        if name and name not in points:
            near = did_you_mean(name, points, lead="; ")
            return f"nothing is read at {name} during first power{near}"
    there = f"nothing is read from {red} to {black} during first power"
    blacks = list(dict.fromkeys(str(step.black) for step in asked if step.red == red))
    if not blacks:
        return there
    return f"{there}: with the red probe on {red} the black one stands on {' or '.join(blacks)}"
