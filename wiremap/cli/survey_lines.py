"""The rows of the survey and the verdicts over its readings, as lines and as plain data."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from wiremap.evidence.expected import Expected
from wiremap.evidence.survey_readings import SurveyReading, Verdict
from wiremap.model import CHASSIS, Entry
from wiremap.ringout.readings import seen
from wiremap.survey.rows import BLOCKS, AsBefore, Row, Survey


def verdict_plain(judged: SurveyReading) -> dict[str, Any]:
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
    return f"{expected.shown} {_unit(expected.quantity)} ({expected.source})"


def _unit(quantity: str) -> str:
    return "V" if quantity == "volts" else "ohm"


def _when(key: str | None, state: str | None) -> str:
    """How the key stood and what was done, in brackets; empty where neither is told."""
    parts = [f"key {key}" if key else "", state or ""]
    told = ", ".join(part for part in parts if part)
    return f" ({told})" if told else ""


def verdict_lines(judged: Sequence[SurveyReading]) -> list[str]:
    return [_verdict(each) for each in judged] or ["no survey readings yet"]


def _verdict(judged: SurveyReading) -> str:
    entry = judged.entry
    to = "+".join(entry.black) or "battery minus"
    when = _when(entry.key, entry.state)
    line = f"{judged.verdict}: {judged.address} to {to}{when}: {_seen(entry)}"
    if judged.verdict == Verdict.CONTRADICTS:
        line += f"; the paper promises {_band(judged.expected)}"
        if judged.reads_as:
            line += f"; it reads as {judged.reads_as} should"
        if judged.settled:
            line += f"; settled by {judged.settled.by}"
        else:
            line += "; both are kept until a named answer settles it"
    if judged.before:
        line += f"; before it {', '.join(map(_seen, judged.before))}"
    if judged.why and judged.verdict != Verdict.FITS:
        line += f"; {judged.why}"
    return line


def row_lines(made: Survey) -> list[str]:
    lines = [f"FIRST: {deed}" for deed in made.lock_out]
    for block in BLOCKS:
        lines.append(f"{block.upper()}: {made.how(block)}")
        lines += [_row(row) for row in made.block(block)]
    lines += [f"ALIKE: {alike.how}" for alike in made.alike]
    for port in made.terminators:
        lines.append(f"TERMINATORS: {port.red} to {port.black}, {port.where}")
        lines += [f"  reads {read}: {so}" for read, so in port.steps]
    lines += [_signature(each) for each in made.as_before]
    if made.left_alone:
        lines.append(f"{len(made.left_alone)} cavities are not to be probed")
    return lines


def _row(row: Row) -> str:
    black = row.black
    if black == CHASSIS and row.block == "volts":
        black = "battery minus"
    line = f"  {row.n}. {row.red} to {black}{_when(row.key, row.state)}"
    if row.low is None:
        return f"{line}: write it down"
    return f"{line}: {_between(row.low, row.high, _unit(row.block))}  [{row.source}]"


def _signature(signature: AsBefore) -> str:
    after, before = " to ".join(signature.after), " to ".join(signature.before)
    line = f"AFTER: {after} must read as {before} did"
    if signature.key:
        line += f", key {signature.key}"
    if signature.low is not None:
        line += f": {_between(signature.low, signature.high, _unit(signature.quantity))}"
    return line


def _between(low: float, high: float | None, unit: str) -> str:
    if high is None or math.isinf(high):
        return f"over {low:g} {unit}, or open"
    if low <= 0 < high and unit == "ohm":
        return f"under {high:g} {unit}"
    return f"{low:g} to {high:g} {unit}"
