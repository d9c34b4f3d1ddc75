"""The steps of first power as they stand on paper, under the numbers that the command prints."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from itertools import groupby

from wiremap.content.steps import Slot, Step, Steps
from wiremap.content.words import (
    BRIDGED,
    NOTE,
    listed,
    number,
    sentence_case,
    signal_words,
    spaced,
    volts_band,
)
from wiremap.entries.lines import MINUS
from wiremap.evidence.expected import AT_REST
from wiremap.evidence.meter import NOISE_VOLTS
from wiremap.firstpower.bus_pair import low_beside
from wiremap.firstpower.step import AMPS, VOLTS, PowerStage, PowerStep
from wiremap.graph import Harness
from wiremap.model import Address, OnOff, frozen
from wiremap.survey.loaded import FILE
from wiremap.trade.tables import figure

TAGGED = {  # the figures that stand on the ignition key's tag, each under the one before
    PowerStage.LAMP: "Plugged in: the same as for the figure on the key's tag; what was unplugged "
    "for a lamp too, for this reading alone. At most the tag's figure plus, of the two beside it, "
    "whichever is more. Written on the tag, below that figure.",
    PowerStage.SLEEP: "Plugged in: the same as for the last figure on the key's tag, and what is "
    "mated since.",
}
ON_TAG = (  # with what stands on the key's tag for the same reading before the work
    f"tag + {number(100 * figure(FILE, 'row', 'again-asleep'))} % or + "
    f"{number(1000 * figure(FILE, 'row', 'least-asleep'))} mA"
)
AS_CLOSE = (
    f"“As S…” is within {NOISE_VOLTS:g} V or {number(100 * (1 - AT_REST))} % of it, whichever is "
    "more, every switch and door as the tag says."
)
TITLES = {
    PowerStage.LOCK_OUT: "Again, and still: nothing can move",
    PowerStage.LAMP: "Fuses out, lamps in their place",
    PowerStage.LOAD: "The machine's fuses in; a lamp over each feed; volts lost while it burns",
    PowerStage.IN_LINE: "The job's own fuses",
    PowerStage.MATE: "Mate",
    PowerStage.WORK: "At work: each output by itself works, and nothing else",
    PowerStage.SLEEP: "Asleep",
}


def power_blocks(
    harness: Harness, steps: Iterable[PowerStep], wanted: Mapping[int, str] = frozen()
) -> Iterator[Steps]:
    """Some steps in their order, a block for each stage; of the unmated faces one each.

    `wanted` says, by its number, what is wanted at a step that has no limits; the lead of its
    block says how closely.
    """
    reasons: set[str] = set()
    steps = tuple(steps)
    lows = low_beside(harness, steps)
    ignition: OnOff | None = None
    for heading, group in groupby(steps, _heading):
        here = tuple(group)
        made = tuple(_steps(harness, here, reasons, lows))
        lead = AS_CLOSE if any(step.n in wanted for step in here) else ""
        made = tuple(
            replace(each, want=wanted.get(step.n, each.want))
            for step, each in zip(here, made, strict=True)
        )
        first, *_ = here
        *_, last = here
        key = first.key
        if first.stage is PowerStage.VOLTS and key is not None and ignition not in (None, key):
            made = (Step(text=f"Ignition {key}."), *made)
        ignition = last.key or _ignition_after(here) or ignition
        again = first.stage is PowerStage.VOLTS
        yield Steps(title=heading, lead=lead, steps=made, title_again=again)


def _ignition_after(steps: Iterable[PowerStep]) -> OnOff | None:
    """How the last of these deeds leaves the ignition; None where none turns it."""
    turned = [step.turns for step in steps if step.turns]
    return next(reversed(turned), None)


def _heading(step: PowerStep) -> str:
    if step.stage is not PowerStage.VOLTS or step.red is None:
        return TITLES.get(step.stage, step.stage)
    face = Address.read(step.red).end
    return f"Ignition {step.key}: unmated face of {face}, black probe on {step.black}"


def _steps(
    harness: Harness, steps: Iterable[PowerStep], reasons: set[str], lows: Mapping[int, PowerStep]
) -> Iterator[Step]:
    """One step each; a reason is said once: `reasons` are those said so far."""
    for step in steps:
        why = "" if step.why in reasons else step.why
        reasons.add(step.why)
        if step.quantity == AMPS and step.red == MINUS:
            why = spaced(BRIDGED, TAGGED.get(step.stage, ""))
        made = _reading(harness, step, why) if step.quantity else _deed(step, why)
        if step.n in lows:
            beside = f"never below {lows[step.n].red}"
            made = replace(made, text=listed(made.text.rstrip("."), beside))
        yield made


def _deed(step: PowerStep, why: str) -> Step:
    return Step(n=f"P{step.n}", text=f"{sentence_case(step.do)}.", note=why)


def _reading(harness: Harness, step: PowerStep, why: str) -> Step:
    """A figure to write in; at a face its contact and signal, elsewhere what is done."""
    point = harness.points.get(step.red or "")
    at = ""
    text = f"{sentence_case(step.do)}."
    if point is not None and step.stage is PowerStage.VOLTS:
        at, text = point.address, signal_words(point)
    elif point is not None and step.quantity == VOLTS and not step.is_loss:
        at = f"{step.red} – {step.black}"
    return Step(
        n=f"P{step.n}",
        at=at,
        text=text,
        want=_limits(step),
        slot=Slot.BLANK,
        unit=step.quantity,
        note=why,
        reading=True,
    )


def more_than_before(steps: Iterable[PowerStep]) -> Iterator[Step]:
    """What the machine draws asleep less what it drew before: a figure of its own to write."""
    for step in steps:
        if step.stage is PowerStage.SLEEP and step.quantity == AMPS:
            want = NOTE if step.high is None else f"at most {number(step.high)} A"
            text = f"P{step.n} less the last figure on the key's tag: what this job added"
            yield Step(text=text, want=want, slot=Slot.BLANK, unit=AMPS)


def _limits(step: PowerStep) -> str:
    """What a reading shall show; without a limit it is only noted, as is a current asleep, which
    is held against the one before.
    """
    if step.quantity == AMPS and step.stage is PowerStage.LAMP:
        return ON_TAG
    if step.high is None or step.stage is PowerStage.SLEEP:
        return NOTE
    if step.quantity == AMPS:
        return f"at most {number(step.high)} A"
    if step.is_loss:
        return f"at most {number(step.high)} V"
    return volts_band(step.low, step.high)


def split_at_mating(steps: Iterable[PowerStep]) -> tuple[list[PowerStep], list[PowerStep]]:
    """The steps before anything is mated, and those from there until all is mated."""
    before: list[PowerStep] = []
    mating: list[PowerStep] = []
    for step in steps:
        if step.stage is PowerStage.MATE:
            mating.append(step)
        elif step.stage not in (PowerStage.WORK, PowerStage.SLEEP):
            before.append(step)
    return before, mating
