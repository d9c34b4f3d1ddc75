"""The survey before the cut, told in full: every row, every reading with its verdict."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from wiremap.evidence.expected import Expected
from wiremap.evidence.judged_reading import ReadingVerdict, SurveyReading
from wiremap.model import CHASSIS, Entry
from wiremap.ringout.taken import seen
from wiremap.survey.bus_pairs import AT_UNIT
from wiremap.survey.rows import BLOCKS, AsBefore, Survey, SurveyRow


def verdict_plain(judged: SurveyReading) -> dict[str, Any]:
    """One judged reading as plain data."""
    return {
        "point": judged.address,
        "verdict": judged.verdict,
        "seen": _seen(judged.entry),
        "expected": _band(judged.expected),
        "reads_as": judged.reads_as,
        "settled_by": judged.settled.by if judged.settled else None,
        "why": judged.why,
        "before": [_seen(entry) for entry in judged.before],
    }


def _seen(entry: Entry) -> str:
    """What was seen; volts alone are shown with their unit."""
    if entry.volts is not None and entry.ohms is None and entry.seen is None:
        return f"{entry.volts:g} V"
    return seen(entry)


def _band(expected: Expected | None) -> str:
    if expected is None or expected.shown is None:
        return ""
    return f"{expected.shown} {unit_of(expected.quantity)} ({expected.source})"


def unit_of(quantity: str) -> str:
    """The unit that a quantity is read in."""
    return "V" if quantity == "volts" else "ohm"


def _when(key: str | None, state: str | None) -> str:
    """How the ignition stood and what was done, in brackets; empty where neither is told."""
    parts = [f"ignition {key}" if key else "", state or ""]
    told = ", ".join(part for part in parts if part)
    return f" ({told})" if told else ""


def verdict_lines(judged: Sequence[SurveyReading]) -> list[str]:
    """Every judged reading, a line each."""
    return [verdict_line(each) for each in judged] or ["no survey readings yet"]


def verdict_line(judged: SurveyReading) -> str:
    """One judged reading: what was seen, what the paper promises, what it may mean."""
    entry = judged.entry
    red, black = "+".join(entry.red), "+".join(entry.black) or "battery minus"
    when = _when(entry.key, entry.state)
    line = f"{judged.verdict}: {red} to {black}{when}: {_seen(entry)}"
    if judged.verdict == ReadingVerdict.CONTRADICTS:
        line += f"; the paper promises {_band(judged.expected)}"
        if judged.settled:
            line += f"; settled by {judged.settled.by}"
        else:
            line += "; both are kept until a reading fits, or somebody who knows both stands to one"
    if judged.before:
        line += f"; before it {', '.join(map(_seen, judged.before))}"
    if judged.why and judged.verdict != ReadingVerdict.FITS:
        line += f"; {judged.why}"
    if judged.verdict == ReadingVerdict.CONTRADICTS and judged.reads_as:
        line += f"; {judged.reads_as} should read so too"
    return line


def row_lines(survey: Survey) -> list[str]:
    """Every row to read, a line each."""
    lines = [f"FIRST: {deed}" for deed in survey.lock_out]
    for block in BLOCKS:
        lines.append(f"{block.upper()}: {survey.how(block)}")
        lines += [row_line(row) for row in survey.block(block)]
    lines += [f"ALIKE: {alike.how}" for alike in survey.alike]
    for port in survey.terminators:
        lines.append(f"TERMINATORS: {port.red} to {port.black}, {port.where}")
        lines += [f"  reads {read}: {so}" for read, so in port.steps]
    lines += [_after(each) for each in survey.as_before]
    if survey.left_alone:
        lines.append(f"not to be probed: {len(survey.left_alone)} of the cavities")
    return lines


def row_line(row: SurveyRow) -> str:
    """One row to read: where, in which state, what is expected and by whom."""
    black = row.black
    if black == CHASSIS and row.block == "volts":
        black = "battery minus"
    where = row.state or (AT_UNIT if row.at_unit else None)
    line = f"  {row.n}. {row.red} to {black}{_when(row.key, where)}"
    if row.low is None:
        return f"{line}: write it down" + (f"; {row.note}" if row.note else "")
    return f"{line}: {band_words(row.low, row.high, unit_of(row.block))}  [{row.source}]"


def _after(reading: AsBefore) -> str:
    after, before = " to ".join(reading.after), " to ".join(reading.before)
    line = f"AFTER: {after} must read as {before} did"
    if reading.key:
        line += f", ignition {reading.key}"
    if reading.low is not None:
        line += f": {band_words(reading.low, reading.high, unit_of(reading.quantity))}"
    return line


def band_words(low: float, high: float | None, unit: str) -> str:
    """A band in words, as the meter shows it."""
    if low <= 0 and high is not None and math.isinf(high):
        return "any figure: write it down"
    if high is None or math.isinf(high):
        return f"over {low:g} {unit}, or open"
    if low <= 0 < high and unit == "ohm":
        return f"under {high:g} {unit}"
    return f"{low:g} to {high:g} {unit}"
