"""All survey readings, judged: the last of a place counts, and crossed pairs are told."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from wiremap.evidence.answers import answers, entries
from wiremap.evidence.causes import CROSSED
from wiremap.evidence.expected import Quantity
from wiremap.evidence.judged_reading import (
    ReadingVerdict,
    SurveyReading,
    judge_reading,
    promises_of,
)
from wiremap.evidence.meter import DEAD_VOLTS, GROUNDED
from wiremap.evidence.reading_spot import Spot, says_something, spot_of, subject_of
from wiremap.evidence.stands import outweighs_meter
from wiremap.model import Entry, EntryKind, Job
from wiremap.trade.functions import CAN_HALVES


def judge_survey(job: Job) -> tuple[SurveyReading, ...]:
    """Every survey reading of the notebooks that names a contact, judged."""
    read = [entry for entry in entries(job, EntryKind.SURVEY) if entry.red]
    if not read:
        return ()
    promised = promises_of(job)
    settling = _Settling(job)
    judged = [judge_reading(job, e, promised, settling.of(e)) for e in read]
    judged = _last_counts(judged)
    crossed = _crossed(job, judged)
    return tuple(_with_crossing(reading, crossed) for reading in judged)


class _Settling:
    """The answers that settle what a meter denied: given behind the reading, knowing both."""

    def __init__(self, job: Job) -> None:
        self._answers = {about: e for about, e in answers(job).items() if outweighs_meter(e)}
        self._order = {id(entry): number for number, entry in enumerate(job.entries)}

    def of(self, reading: Entry) -> Entry | None:
        """The answer about the contact of a reading that was given behind it, if any."""
        address = subject_of(reading)
        for about in (address, f"{address}.function"):
            found = self._answers.get(about)
            if found is not None and self._place(found) > self._place(reading):
                return found
        return None

    def _place(self, entry: Entry) -> int:
        return self._order.get(id(entry), -1)


def _last_counts(judged: list[SurveyReading]) -> list[SurveyReading]:
    """Of several readings of one thing the last that says something counts; the course is kept."""
    last: dict[Spot, int] = {}
    before: dict[Spot, list[Entry]] = {}
    out = list(judged)
    for i, reading in enumerate(judged):
        void = reading.verdict in (ReadingVerdict.REFUSED, ReadingVerdict.STALE)
        if void or not says_something(reading.entry):
            continue
        spot = spot_of(reading.entry)
        if spot in last:
            j = last[spot]
            why = f"read again on {reading.entry.date}" if reading.entry.date else "read again"
            out[j] = replace(out[j], verdict=ReadingVerdict.REPLACED, why=why, reads_as=None)
            before.setdefault(spot, []).append(judged[j].entry)
        last[spot] = i
        out[i] = replace(reading, before=tuple(before.get(spot, ())))
    return [_renewed(reading, i, last) for i, reading in enumerate(out)]


def _renewed(reading: SurveyReading, i: int, last: Mapping[Spot, int]) -> SurveyReading:
    """A stale reading with the verdict that it was replaced, once the same was read anew."""
    spot = spot_of(reading.entry)
    if reading.verdict != ReadingVerdict.STALE or spot not in last or last[spot] < i:
        return reading
    return replace(reading, verdict=ReadingVerdict.REPLACED, why="read again")


def contradictions(job: Job) -> tuple[SurveyReading, ...]:
    """The readings in which the machine differs from the paper, settled or not."""
    return tuple(r for r in judge_survey(job) if r.verdict == ReadingVerdict.CONTRADICTS)


def proven_addresses(job: Job) -> list[str]:
    """Cavities whose function a fresh, fitting, telling reading proves and none contradicts."""
    judged = judge_survey(job)
    against = {
        r.address for r in judged if r.verdict == ReadingVerdict.CONTRADICTS and r.settled is None
    }
    found: dict[str, None] = {}
    for reading in judged:
        for address in _proven(reading):
            if address not in against:
                found[address] = None
    return list(found)


def _proven(reading: SurveyReading) -> list[str]:
    """The contacts that a reading proves: of ohms both, of volts the one under the red probe."""
    if reading.verdict != ReadingVerdict.FITS or reading.expected is None:
        return []
    if not reading.expected.telling:
        return []
    if reading.expected.quantity == Quantity.VOLTS:
        return [reading.address]
    return [reading.address, *(a for a in reading.entry.black if a not in GROUNDED)]


# -- crossed pairs --------------------------------------------------------------------------------


def _with_crossing(reading: SurveyReading, crossed: frozenset[str]) -> SurveyReading:
    if reading.address in crossed and reading.is_level:
        return replace(reading, verdict=ReadingVerdict.CONTRADICTS, why=CROSSED)
    return reading


def _crossed(job: Job, judged: Iterable[SurveyReading]) -> frozenset[str]:
    """The wires of bus pairs whose high was last read below its low, both within a bus's band.

    A hand meter does not tell levels that lie closer together than `DEAD_VOLTS`.
    """
    level = {r.address: r.entry.volts for r in judged if r.is_level}
    found: set[str] = set()
    for end in job.ends.values():
        pairs: dict[str | None, dict[str, str]] = {}
        for cavity in end.pinout.cavities.values():
            if cavity.function in CAN_HALVES:
                halves = pairs.setdefault(cavity.pair, {})
                halves[cavity.function] = f"{end.name}.{cavity.name}"
        for halves in pairs.values():
            high = level.get(halves.get("can-high", ""))
            low = level.get(halves.get("can-low", ""))
            if high is not None and low is not None and high < low - DEAD_VOLTS:
                found |= set(halves.values())
    return frozenset(found)
