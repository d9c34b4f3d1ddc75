"""The first page: what this job is, what must not be touched, what is made safe, what changes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from wiremap.content.cautions import caution_steps
from wiremap.content.given import Given
from wiremap.content.pieces import Block, Section, TextPiece, Warning
from wiremap.content.read_here import not_surveyed, untold
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Slot, Step, Steps
from wiremap.content.stops_passed import guard_loops
from wiremap.content.words import few, listed, number, sentence_case
from wiremap.evidence.meter import METER_OHMS
from wiremap.model import End
from wiremap.survey.lock_out import lock_out

ALWAYS = (
    "Restraint (airbag) wiring and orange high-voltage wiring are left alone: never cut, probed or "
    "joined. The maker's instructions, local codes and licensed practice come before this sheet."
)
HIGH_VOLTAGE = "Restraint and orange wiring looked for; none of it is part of this work."
SOURCES = "Every source (batteries, isolators, charger, coupling of a trailer): which, where"
MOVES = "Also before the survey: wherever the ignition is turned."
COUNTED = (
    "Wrong or left open: no tick, nothing written, or not what is wanted. One that is closed later "
    "comes off the next count."
)
CLOSED = "a box once read; on a line what was done about it and by whom"
MOST_STOPS = 8  # told on the first page
LONG_NAME = 30  # characters
ROOM_ABOVE = 66  # characters of title and designation that the head of a page holds whole


def job_section(given: Given) -> Section:
    """What to know and to make safe before anything is touched."""
    blocks: list[Block] = []
    names = [given.job.title, given.job.id or ""]
    if _may_be_shortened(names):
        blocks.append(TextPiece(listed(*names), strong=True))
    blocks += _stops(given)
    blocks.append(Warning("Caution", (ALWAYS, *_carried(given), *_not_surveyed(given))))
    safe = "Made safe, before anything is touched"
    blocks.append(Steps(title=safe, lead=COUNTED, steps=tuple(_safe(given))))
    changed = tuple(_changed(given))
    if changed:
        blocks.append(Steps(title="What this job changes", steps=changed))
    signed = [step for step in caution_steps(given) if not step.at]
    if signed:
        title = f"Cautions, before {given.before_what}: {CLOSED}"
        blocks.append(Steps(title=title, steps=tuple(signed)))
    return Section(key="job", title="This job, and what must not be touched", blocks=tuple(blocks))


def _may_be_shortened(names: Sequence[str]) -> bool:
    """Whether the head of a page may shorten title or designation: wide letters sooner."""
    if all(name.isascii() for name in names):
        return sum(map(len, names)) > ROOM_ABOVE
    return any(len(name) > LONG_NAME for name in names)


# -- what holds, what is not known ----------------------------------------------------------------


def _stops(given: Given) -> Iterator[Warning]:
    """The first stops, and how many more there are."""
    stops = given.stops
    if not stops:
        return
    shown = []
    for stop in stops[:MOST_STOPS]:
        subject = listed(*stop.subject)
        shown.append(f"{subject}: {stop.message}" if subject else stop.message)
    more = stops[MOST_STOPS:]
    if more:
        shown.append(f"and {len(more)} more, in the annex of findings")
    yield Warning("HOLD", tuple(shown))


def _carried(given: Given) -> Iterator[str]:
    """The cautions that joined contacts carry, where no finding tells them."""
    told = " ".join(f.message for f in given.cautions)
    for end in given.job.ends.values():
        for cavity in end.pinout.cavities.values():
            address = f"{end.name}.{cavity.name}"
            if not cavity.caution or cavity.caution in told:
                continue
            if given.harness.circuits_at(address):
                yield f"{address}: {cavity.caution}"


def _not_surveyed(given: Given) -> Iterator[str]:
    """Which wires nobody has measured on the machine yet: they are not to be cut before that.

    Of an adapter those that no reading tells are asked of a person under what is not judged.
    """
    unknown = untold(given)
    if given.adapter:  # no joint asks for the name
        asked = {point for left in given.not_judged if left.by_reading for point in left.subject}
        unknown = [address for address in unknown if address not in asked]
    told = [address for address in not_surveyed(given) if address not in unknown]
    which = "Not surveyed, of those joined" if given.adapter else "Not surveyed"
    deed = "mate" if given.adapter else "cut"
    if told:
        verb = "it has" if len(told) == 1 else "they have"
        yield f"{which}: {few(told)}. Do not {deed} before {verb} been read on the machine."
    if unknown:
        what = "it is" if len(unknown) == 1 else "they are"
        yield (
            f"No reading of this sheet tells what {what}: {few(unknown)}. Do not {deed} before "
            "a named person has said it."
        )


# -- made safe ------------------------------------------------------------------------------------


def _safe(given: Given) -> Iterator[Step]:
    """What is made safe and written down before the first reading."""
    yield Step(text=HIGH_VOLTAGE)
    if not given.adapter or given.power:
        first, *others = lock_out(given.job)
        yield Step(text=f"{sentence_case(first)}.", note=MOVES)
        for deed in others:
            yield Step(text=f"{sentence_case(deed)}.")
    yield Step(text=SOURCES, slot=Slot.LINE)
    yield Step(text="Faults and settings noted, the wiring photographed.")
    yield Step(text="Meter: which one, when it was last checked", slot=Slot.LINE)
    yield Step(
        text="Meter proved on a live source; its leads: in all readings and bands",
        want=f"at most {number(METER_OHMS)} Ω",
        slot=Slot.BLANK,
        unit="Ω",
    )
    yield Step(text="Serial numbers: machine, new unit, others", slot=Slot.LINE)
    yield Step(text="Printed on one side of the paper at 100 %: on, by whom", slot=Slot.LINE)


# -- what is changed ------------------------------------------------------------------------------


def _changed(given: Given) -> Iterator[Step]:
    """Fuses, switches and guards: said here, done at their own step."""
    for fuse in given.fuses_out:
        if not (fuse.own or fuse.swapped):  # it goes back as it was
            continue
        words = f"fuse {fuse.rating}, new, in a holder of its own"
        if fuse.swapped:
            words = f"{fuse.found_amps:g} A was found; {fuse.rating} goes in, the box is relabelled"
            if fuse.feeds and fuse.named:
                words = f"feeds {listed(*fuse.feeds)}: {words}"
        yield Step(at=fuse.name, text=words, slot=Slot.NONE)
    for end in given.job.ends.values():
        yield from _switches(end)
    for chain in guard_loops(given.job):
        yield Step(
            at=chain,
            text="guard loop: carried through whole, never jumpered, not for a test either",
            slot=Slot.NONE,
        )


def _switches(end: End) -> Iterator[Step]:
    """How each switch of a unit must stand."""
    for switch in end.pinout.switches.values():
        stands = end.switches.get(switch.name)
        told = f"must be {str(stands).upper()}" if stands else "nobody has said how it must stand"
        if switch.delivered:
            told += f" (delivered {switch.delivered})"
        yield Step(
            at=f"{end.name} {switch.name}",
            text=f"terminator switch: {told}",
            slot=Slot.NONE,
        )


PAGE = Page(key="job", stage=Stage.JOB, make=job_section)
