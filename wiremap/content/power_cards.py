"""Cards of first power: one deed or one reading each, with the stops of two names."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from wiremap.content.cards import (
    DONE,
    Blank,
    Card,
    CardQuestion,
    Choice,
    Places,
    mark_for,
)
from wiremap.content.later_cards import is_right, later_ask, later_stop
from wiremap.content.ringout_cards import MEND
from wiremap.content.stop_cards import is_passed, stop_card
from wiremap.content.words import sentence_case, volts_band
from wiremap.entries.courses import since_mended
from wiremap.entries.deeds import deed_of
from wiremap.firstpower.deeds import NOT_SO, OF, last_words, step_words
from wiremap.firstpower.judge import CAUTION, PowerVerdict, power_judge
from wiremap.firstpower.step import AMPS, PowerStage, PowerStep
from wiremap.graph import Harness
from wiremap.model import CHASSIS, Entry, EntryKind
from wiremap.survey.later import LaterReading

NOT_SO_CHOICE = Choice(value="not", words="it is not so: stop")
FIGURES = {
    "V": Blank(name="figure", words="volts on the display", figure=True),
    "A": Blank(name="figure", words="amps on the display (mA too)", figure=True),
}
Mated = Mapping[int, Sequence[LaterReading]]  # by the step that mates a unit
FIND_IT = "Battery off, minus first. Find it and mend it, then say so; nothing goes on before."


def power_card(
    harness: Harness,
    steps: Sequence[PowerStep],
    entries: Sequence[Entry],
    mated: Mated,
    *,
    licensed: bool,
) -> Card:
    """The first step that is neither done nor read as it should be."""
    current = since_mended(entries)
    judged = power_judge(harness, current, tuple(steps))
    waiting = open_steps(steps, current, judged)
    wrong = judged.steps_wrong
    if wrong or judged.seen.older:
        return _wrong_card(harness, wrong[:1], judged, entries)
    buses = mated_left(waiting, current, mated)
    bus = next(iter(buses), None)
    if bus is not None:
        return _bus_card(harness, bus, entries)
    step = next(iter(waiting), None)
    if step is None:
        told = (*judged.told(), CAUTION)
        return Card(heading="First power: every step is done", lead=told, through=True)
    if step.stop is not None and not is_passed(step.stop, current):
        return stop_card(step.stop, current, licensed=licensed)
    lead = [f"{len(waiting)} of {len(steps)} steps left"]
    lead += [CAUTION] if step.stage is PowerStage.LOCK_OUT else []
    return Card(
        heading=f"First power, step {step.n}",
        lead=tuple(lead),
        asks=(_ask(harness, step, entries),),
        more=(MEND,),
        wait_minutes=step.wait_minutes,
    )


def _wrong_card(
    harness: Harness, first: Sequence[PowerStep], judged: PowerVerdict, entries: Sequence[Entry]
) -> Card:
    """What is wrong comes before all else, and is read or looked at again once it is mended."""
    why = [each.why for each in judged.wrong if each.step in first]
    why += [each.why or f"not so: {each.do}" for each in judged.seen.not_so if each in first]
    why += [f"not so: {words}" for words in judged.seen.older]
    return Card(
        heading=", ".join(("First power", *(f"step {step.n}" for step in first))),
        stop=(*(f"Stop: {words}" for words in why), FIND_IT),
        asks=tuple(_ask(harness, step, entries) for step in first),
        more=(MEND,),
        wait_minutes=max((step.wait_minutes for step in first), default=None),
    )


def open_steps(
    steps: Iterable[PowerStep], current: Sequence[Entry], judged: PowerVerdict
) -> list[PowerStep]:
    """The steps that are left: a wrong reading is left too."""
    waiting = {step.n for step in judged.left} | {each.step.n for each in judged.wrong}
    done = _done(current).difference(map(step_words, judged.seen.not_so))
    return [
        step
        for step in steps
        if (step.n in waiting if _is_read(step) else step_words(step) not in done)
    ]


def mated_left(
    waiting: Sequence[PowerStep],
    current: Sequence[Entry],
    mated: Mated,
) -> list[LaterReading]:
    """The readings of a bus that are not right yet though its unit is mated by now."""
    return [
        reading
        for n, readings in mated.items()
        if all(n < step.n for step in waiting)
        for reading in readings
        if not is_right(reading, current)
    ]


def _bus_card(harness: Harness, bus: LaterReading, entries: Sequence[Entry]) -> Card:
    stop = later_stop(bus, since_mended(entries))
    ask = later_ask(harness, bus, entries, heading="The bus, battery off")
    return Card(heading="First power: the bus once more", stop=stop, asks=(ask,), more=(MEND,))


def _is_read(step: PowerStep) -> bool:
    return bool(step.quantity and step.red)


def _done(current: Iterable[Entry]) -> set[str]:
    """The deeds whose last word is that they are done."""
    return {deed for deed, done in last_words(current).items() if done}


def _ask(harness: Harness, step: PowerStep, entries: Sequence[Entry]) -> CardQuestion:
    if not _is_read(step):
        return _deed(harness, step, entries)
    places = Places(harness)
    black = step.black or CHASSIS
    spots = (places.spot("red probe", step.red or ""), places.spot("black probe", black))
    before = sum(
        entry.kind == EntryKind.POWER
        and step.at(entry.red[0], entry.black[0] if entry.black else None)
        for entry in entries
        if entry.red
    )
    when = [step.when] if step.when and step.when not in step.do else []
    source = f" ({step.source})" if step.source else ""
    return CardQuestion(
        mark=mark_for(OF, step_words(step), str(step.key), str(step.state), str(before)),
        heading=sentence_case(step.do),
        spots=spots,
        lead=(*when, f"{_expected(step)}{source}"),
        blanks=(FIGURES[step.quantity],),
        of=step,
    )


def _expected(step: PowerStep) -> str:
    if step.high is None:
        return "nobody can say what it should be: write it down"
    if step.quantity == AMPS:
        return f"expected: at most {step.high:g} A"
    return f"expected: {volts_band(step.low, step.high)}"


def _deed(harness: Harness, step: PowerStep, entries: Sequence[Entry]) -> CardQuestion:
    places = Places(harness)
    points = [point for point in (step.red, step.black) if point]
    words = step_words(step)
    before = sum(words in (deed_of(entry, OF), deed_of(entry, NOT_SO)) for entry in entries)
    return CardQuestion(
        mark=mark_for(OF, words, str(before)),
        heading=sentence_case(step.do),
        spots=tuple(places.spot("at", point) for point in points),
        lead=(step.why,) if step.why else (),
        choices=(Choice(value=DONE.value, words="done, and it is so"), NOT_SO_CHOICE),
        of=step,
    )
