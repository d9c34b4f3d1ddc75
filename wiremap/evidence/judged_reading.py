"""One survey reading against what the paper promises: it fits, or paper and machine differ."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import chain

from wiremap.base import only
from wiremap.evidence.apart import apart
from wiremap.evidence.causes import meaning_of_stray
from wiremap.evidence.cavity_lookup import PlacedCavity, cavity_of
from wiremap.evidence.cavity_prints import fingerprints
from wiremap.evidence.expected import (
    Expected,
    Quantity,
    WhereRead,
    coil_of,
    electrical,
    refused,
)
from wiremap.evidence.expected_ohms import expected_ohms, inside_ohms
from wiremap.evidence.expected_volts import expected_volts
from wiremap.evidence.meter import (
    DEAD_VOLTS,
    KILO,
    is_short,
)
from wiremap.evidence.reading_spot import probes_of, quantity_of, says_something, subject_of
from wiremap.evidence.value_fits import may_be_filament, value_fits
from wiremap.model import CHASSIS, Cavity, Entry, Job, OnOff
from wiremap.trade.functions import CAN_HALVES

Promises = Mapping[frozenset[str], Sequence[Expected]]  # by the two points between which
AS_A_SHORT = "a short reads so too; see it work from a limited feed, or read the amps that it draws"
LOADS = frozenset({"drive", "lamp", "input", "speaker"})  # classes of what works when it is fed
COUNTS = "no paper speaks of it, and it counts as what lies between the legs of that bus"
LAMP_BEYOND = (
    "no filament reads so: an LED lamp does, and so does an unplugged one; "
    "see it light from a limited feed"
)


class ReadingVerdict(StrEnum):
    """What a survey reading says of the paper."""

    FITS = "fits"
    CONTRADICTS = "contradicts"
    RECORDED = "recorded"  # nothing was promised
    REFUSED = "refused"  # not dead, or not ours to touch
    STALE = "stale"
    REPLACED = "replaced"  # the same was read again


@dataclass(frozen=True, slots=True, kw_only=True)
class SurveyReading:
    """A survey reading with what was expected there and what follows.

    `reads_as`: the cavity whose promise the value keeps instead, if exactly one does; `settled`: a
    named answer stands; `before`: what was read at the same place before, oldest first.
    """

    entry: Entry
    address: str
    verdict: ReadingVerdict
    expected: Expected | None = None
    reads_as: str | None = None
    settled: Entry | None = None
    why: str = ""
    before: tuple[Entry, ...] = ()

    @property
    def contradicts(self) -> bool:
        """Whether it says another thing than the paper, and nobody has settled which is true."""
        return self.verdict == ReadingVerdict.CONTRADICTS and self.settled is None

    @property
    def is_level(self) -> bool:
        """Whether it is a bus level with the ignition on, as promised."""
        volts_only = self.entry.volts is not None and self.entry.ohms is None
        return self.verdict == ReadingVerdict.FITS and volts_only and self.entry.key == OnOff.ON


def promises_of(job: Job) -> Promises:
    """What the papers of a job promise a meter."""
    rows: list[Expected] = []
    for end in job.ends.values():
        rows += expected_ohms(end, coil_of(job)) if end.is_machine else inside_ohms(end)
        if end.is_machine:
            for cavity in end.pinout.cavities.values():
                rows += expected_volts(job, end, cavity)
    found: dict[frozenset[str], list[Expected]] = defaultdict(list)
    for row in rows:
        found[frozenset((row.red, row.black))].append(row)
    return found


def judge_reading(
    job: Job, entry: Entry, promised: Promises, settled: Entry | None
) -> SurveyReading:
    """One reading, judged by what is promised; `settled` is the named answer about its contact."""
    address = subject_of(entry)
    known = cavity_of(job, address)
    if known is None:
        why = f"{address or 'this point'} is no cavity of the job"
        return SurveyReading(entry=entry, address=address, verdict=ReadingVerdict.STALE, why=why)
    if known.cavity.unused:
        settled = None  # a word does not make a live wire dead
    uncounted = _uncounted(entry, address, known.cavity)
    if uncounted is not None:
        verdict, why = uncounted
        kept = None if verdict == ReadingVerdict.REFUSED else settled
        return SurveyReading(entry=entry, address=address, verdict=verdict, settled=kept, why=why)
    plain = SurveyReading(
        entry=entry, address=address, verdict=ReadingVerdict.RECORDED, settled=settled
    )
    rows = _rows_about(job, entry, promised)
    if rows:
        return _held_against(job, plain, rows, promised)
    never = apart(job, entry)
    if never is not None and not value_fits(never, entry):
        return _held_against(job, plain, [never], promised)
    return replace(plain, why=COUNTS) if _is_of_pair(job, entry) else plain


def _rows_about(job: Job, entry: Entry, promised: Promises) -> list[Expected]:
    """The rows that a reading answers; a ground contact of the machine stands for its chassis."""
    probes = probes_of(entry)
    for points in (probes, frozenset(_as_chassis(job, point) for point in probes)):
        rows = [row for row in promised.get(points, ()) if _speaks_of(row, entry)]
        if rows:
            return rows
    return []


def _as_chassis(job: Job, point: str) -> str:
    known = cavity_of(job, point)
    if known is None or not known.end.is_machine:
        return point
    return CHASSIS if known.cavity.function == "power-ground" else point


def _is_of_pair(job: Job, entry: Entry) -> bool:
    """Whether ohms were read between the two legs of one bus of a unit, with nothing done first."""
    if entry.ohms is None or entry.state is not None:
        return False
    match [cavity_of(job, a) for a in (*entry.red, *entry.black)]:
        case [PlacedCavity() as one, PlacedCavity() as other]:
            of_machine = one.end.is_machine or other.end.is_machine
            functions = {one.cavity.function, other.cavity.function}
            alike = (one.end.name, one.cavity.pair) == (other.end.name, other.cavity.pair)
            return not of_machine and alike and functions == CAN_HALVES
    return False


def _uncounted(entry: Entry, address: str, cavity: Cavity) -> tuple[ReadingVerdict, str] | None:
    """Why a reading is not held against the paper, or None if it is."""
    if refused(cavity):
        return ReadingVerdict.REFUSED, "no probe belongs on this circuit"
    if entry.of is not None and entry.of not in fingerprints(cavity):
        return (
            ReadingVerdict.STALE,
            f"function, volts or wire colour of {address} changed since {entry.date}",
        )
    volts = entry.volts
    if quantity_of(entry) == Quantity.OHMS and volts is not None and abs(volts) > DEAD_VOLTS:
        why = f"{volts:g} V stood there: no ohms reading counts above {DEAD_VOLTS:g} V"
        return ReadingVerdict.REFUSED, why
    if not says_something(entry):
        return ReadingVerdict.RECORDED, "it says nothing of volts or ohms: read again"
    return None


def _held_against(
    job: Job, reading: SurveyReading, rows: list[Expected], promised: Promises
) -> SurveyReading:
    entry, (first, *_) = reading.entry, rows
    if _as_chassis(job, reading.address) == CHASSIS:
        reading = replace(reading, address=first.red)  # not the ground that it was read against
    missed = next((row for row in rows if not value_fits(row, entry)), None)
    if missed is None and is_short(entry) and _is_load(job, reading.address):
        return replace(reading, expected=first, why=AS_A_SHORT)
    if missed is None and first.where == WhereRead.LAMP and not may_be_filament(entry):
        return replace(reading, expected=first, why=LAMP_BEYOND)
    if missed is None:
        return replace(reading, verdict=ReadingVerdict.FITS, expected=first)
    return replace(
        reading,
        verdict=ReadingVerdict.CONTRADICTS,
        expected=missed,
        reads_as=_reads_as(missed, entry, promised),
        why=meaning_of_stray(job, missed, entry),
    )


def _is_load(job: Job, address: str) -> bool:
    known = cavity_of(job, address)
    return known is not None and electrical(known.cavity) in LOADS


def _speaks_of(row: Expected, entry: Entry) -> bool:
    """Whether a reading answers a row that promises something."""
    if row.quantity != quantity_of(entry) or row.band is None or row.state != entry.state:
        return False
    return None in (row.key, entry.key) or row.key == entry.key


def _is_narrow(row: Expected) -> bool:
    """Whether a promise is one that few contacts keep: not nearly any ohms up to an open wire."""
    if row.band is None:
        return False
    return not math.isinf(row.band.high) or row.band.low >= KILO


def _reads_as(row: Expected, entry: Entry, promised: Promises) -> str | None:
    """The one other contact whose promise the value keeps."""
    asked = (row.quantity, row.black, row.key, row.state)
    others = set()
    for other in chain.from_iterable(promised.values()):
        if (other.quantity, other.black, other.key, other.state) != asked:
            continue
        if other.red != row.red and _is_narrow(other) and value_fits(other, entry):
            others.add(other.red)
    return only(others)
