"""What the notebook holds, laid into a sheet: each reading at its step, each deed, each stop.

A reading counts as it does for the verdict: what was struck out, is stale or was read before a
repair leaves its step empty.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import NamedTuple

from wiremap.content.given import Given
from wiremap.content.pieces import Block, Sheet
from wiremap.content.record import entries
from wiremap.content.steps import Slot, Step, Steps, TwoNames
from wiremap.content.words import listed, number, spaced
from wiremap.evidence.probe_points import kind_of
from wiremap.evidence.survey_readings import Spot, Verdict, judge_survey, probes_at, spot_of
from wiremap.firstpower.judge import answering
from wiremap.mistakes.drawn import Drawn
from wiremap.model import Entry, EntryKind, Stop
from wiremap.ringout.readings import taken

COUNTED = frozenset({Verdict.FITS, Verdict.CONTRADICTS, Verdict.RECORDED})
STOPS = tuple(Stop)
ALONE = "alone, read aloud"
DONE = "done"


class Written(NamedTuple):
    """What is written at a step, and whose hand it is."""

    text: str
    by: str


def filled(sheet: Sheet, given: Given) -> Sheet:
    """The sheet with what the notebook holds."""
    found = dict(_readings(given))
    deeds = dict(_deeds(given))
    signed = dict(_signed(given))
    sections = []
    for section in sheet.sections:
        blocks = tuple(_block(block, found, deeds, signed) for block in section.blocks)
        sections.append(replace(section, blocks=blocks))
    return replace(sheet, sections=tuple(sections))


def _block(
    block: Block,
    found: Mapping[str, Written],
    deeds: Mapping[str, Written],
    signed: Mapping[int, tuple[str, ...]],
) -> Block:
    """A block with its steps filled in."""
    if not isinstance(block, (Steps, TwoNames)):
        return block
    steps = []
    for step in block.steps:
        written = found.get(step.n) or _deed(step, deeds)
        if written is not None and step.slot is not Slot.NONE:
            step = replace(step, seen=written.text, by=written.by)
        steps.append(step)
    if isinstance(block, TwoNames):
        return replace(block, steps=tuple(steps), signed=signed.get(block.n, ()))
    return replace(block, steps=tuple(steps))


def _deed(step: Step, deeds: Mapping[str, Written]) -> Written | None:
    """What was kept as done under the step's number, or in its own words."""
    for name in (step.n, spaced(step.at, step.text)):
        written = deeds.get(name.casefold().rstrip("."))
        if name and written is not None:
            return written
    return None


# -- readings -------------------------------------------------------------------------------------


def _readings(given: Given) -> Iterator[tuple[str, Written]]:
    """What was read, by the numbers that survey, ring-out and first power print."""
    yield from _survey(given)
    yield from _probes(given)
    found, _ = answering(given.harness, entries(given), given.power)
    for n, entry in found.items():
        yield f"P{n}", _written(entry)


def _survey(given: Given) -> Iterator[tuple[str, Written]]:
    if given.survey is None:
        return
    read: dict[Spot, Entry] = {}
    for reading in judge_survey(given.job):
        entry = reading.entry
        if reading.verdict in COUNTED:
            read[spot_of(entry)] = entry
    for row in given.survey.rows:
        spot = (probes_at((row.red, row.black)), row.block, row.key, row.state)
        if spot in read:
            yield f"S{row.n}", _written(read[spot])


def _probes(given: Given) -> Iterator[tuple[str, Written]]:
    if given.plan is None:
        return
    drawn = Drawn(given.harness, kind_of(given.harness))
    readings, _ = taken(drawn, given.plan, entries(given))
    read = {(_sides(r.red, r.black), r.state): r.entry for r in readings}
    for probe in given.plan.probes:
        entry = read.get((_sides(probe.red, probe.black), probe.state))
        if entry is not None:
            yield f"R{probe.n}", _written(entry)


def _sides(red: tuple[str, ...], black: tuple[str, ...]) -> frozenset[frozenset[str]]:
    """Two combs, whichever probe is on which."""
    return frozenset({frozenset(red), frozenset(black)})


def _written(entry: Entry) -> Written:
    """The figure or the word of a reading."""
    figures = []
    if entry.volts is not None:
        figures.append(f"{number(entry.volts)} V")
    if entry.amps is not None:
        figures.append(f"{number(entry.amps)} A")
    if entry.ohms is not None:
        text = str(entry.ohms)
        figures.append(text if text == "open" else f"{text} Ω")
    if entry.seen is not None:
        figures.append(str(entry.seen))
    return Written(listed(*figures), entry.by)


# -- deeds and stops ------------------------------------------------------------------------------


def _deeds(given: Given) -> Iterator[tuple[str, Written]]:
    """What was kept as done, by its words."""
    for entry in entries(given):
        if entry.kind == EntryKind.DONE:
            yield entry.what.strip().casefold().rstrip("."), Written(DONE, entry.by)


def _signed(given: Given) -> Iterator[tuple[int, tuple[str, ...]]]:
    """Who passed which two-name stop."""
    for entry in entries(given):
        if entry.kind == EntryKind.STOP_PASSED and entry.stop is not None:
            when = spaced(entry.date, entry.time)
            second = entry.second or (ALONE if entry.alone else "")
            yield STOPS.index(entry.stop) + 1, (listed(entry.by, when), second)
