"""What the notebook holds of the work between cut and sleeves, by the words of its steps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from wiremap.content.bus import alone_reading, bus_halves, mated_reading
from wiremap.content.bus_cards import switch_answer
from wiremap.content.given import Given
from wiremap.content.mated_bus import read_when_mated
from wiremap.content.proving import proving
from wiremap.content.steps import Step
from wiremap.content.words import spaced
from wiremap.content.written import Written, plain, written
from wiremap.entries.courses import since_mended
from wiremap.model import Entry
from wiremap.survey.later import LaterReading, LaterVerdict


def later_work(given: Given) -> Iterator[tuple[str, Written]]:
    """What is read and set between the cut and the sleeves, by the words of its step."""
    kept = list(given.job.entries)
    current = since_mended(kept)
    for half in bus_halves(given):
        yield from _read(half.alone, alone_reading(half), kept)
        said = switch_answer(half.switch, kept) if half.switch is not None else None
        if said is not None and half.switch is not None:
            wrong = half.switch.stands not in (None, said.answer)
            step = half.switch.step
            yield plain(spaced(step.at, step.text)), Written(said.answer, said.by, wrong)
    for each in proving(given):
        if each.reading is not None:
            yield from _read(each.reading, each.step, current)
    for power in given.power:
        for reading in read_when_mated(given, power.mates):
            yield from _read(reading, mated_reading(reading), current)


def _read(
    reading: LaterReading, step: Step, kept: Sequence[Entry]
) -> Iterator[tuple[str, Written]]:
    found = reading.entries(kept)
    if found:
        *_, last = found
        wrong = reading.verdict(kept) is LaterVerdict.WRONG
        yield plain(spaced(step.at, step.text)), written(last, wrong=wrong)
