"""Readings in ohms once the wires are cut, as questions of a card, and what the last one says."""

from __future__ import annotations

from collections.abc import Sequence

from wiremap.content.cards import CardQuestion, CardSpot, mark_for
from wiremap.content.kept import reading_words
from wiremap.content.probe_spot import cut_spot, own_spot, probe_spot
from wiremap.content.survey_cards import LIVE_FIRST, OHMS, OPEN, VOLTS_FIRST
from wiremap.content.words import ohms_band
from wiremap.evidence.probe_points import kind_of
from wiremap.graph import Harness
from wiremap.model import Entry
from wiremap.survey.later import AFTER_CUT, OWN_FACE, LaterReading, LaterVerdict

RED, BLACK = "red probe", "black probe"
NO_BAND = "nobody can say what it should be: write it down"


def later_ask(
    harness: Harness,
    reading: LaterReading,
    entries: Sequence[Entry],
    *,
    heading: str,
    lead: Sequence[str] = (),
) -> CardQuestion:
    """One reading with where its probes go; `lead` stands in place of the state of the harness."""
    times = len(reading.entries(entries))  # a new mark when it is asked again
    lines = [reading.state] if reading.state and not lead else []
    lines += lead
    if reading.as_before is not None:
        lines.append(f"it was read before from {' to '.join(reading.as_before)}")
    lines.append(LIVE_FIRST)
    if reading.low is not None:
        lines.append(f"expected: {_band(reading)}")
    elif not lead:
        lines.append(NO_BAND)
    return CardQuestion(
        mark=mark_for("later", reading.red, reading.black, str(reading.state), str(times)),
        heading=heading,
        spots=(
            _spot(harness, reading.state, RED, reading.red),
            _spot(harness, reading.state, BLACK, reading.black),
        ),
        lead=tuple(lines),
        choices=(OPEN,),
        blanks=(VOLTS_FIRST, OHMS),
        of=reading,
    )


def _spot(harness: Harness, state: str | None, probe: str, address: str) -> CardSpot:
    if state == AFTER_CUT:
        return cut_spot(harness, probe, address)
    if state == OWN_FACE and harness.points[address].is_tap:
        return own_spot(harness, probe, address)
    return probe_spot(harness, kind_of(harness), probe, address)


def later_stop(reading: LaterReading, entries: Sequence[Entry]) -> tuple[str, ...]:
    """What is wrong with the last reading at a place; nothing if it is right or not read."""
    found = reading.entries(entries)
    match reading.verdict(entries):
        case LaterVerdict.LIVE:
            return (
                f"Stop: {reading_words(found[-1])}: no ohms count while volts stand there.",
                "Find out where they come from, take them away, and read again.",
            )
        case LaterVerdict.WRONG:
            return (
                f"Stop: {reading_words(found[-1])}; {_band(reading)} is expected.",
                "Find it and mend it, then say so; or read again.",
            )
    return ()


def is_right(reading: LaterReading, entries: Sequence[Entry]) -> bool:
    """Whether the last reading at a place is as it should be."""
    return reading.verdict(entries) is LaterVerdict.FITS


def _band(reading: LaterReading) -> str:
    return ohms_band(reading.low, reading.high)
