"""Survey readings against what the paper promises: they fit, or paper and machine differ."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import chain

from wiremap.evidence.answers import answers, entries
from wiremap.evidence.causes import CROSSED, meaning
from wiremap.evidence.cavity_lookup import cavity_of
from wiremap.evidence.cavity_prints import fingerprints
from wiremap.evidence.expected import (
    FILAMENT,
    Expected,
    Quantity,
    WhereRead,
    electrical,
    refused,
)
from wiremap.evidence.expected_ohms import expected_ohms, inside_ohms
from wiremap.evidence.expected_volts import expected_volts
from wiremap.evidence.meter import (
    BEEP_SURE_OHMS,
    DEAD_VOLTS,
    GROUNDED,
    SILENT_SURE_OHMS,
    is_short,
    metered,
)
from wiremap.model import CHASSIS, Cavity, Entry, EntryKind, Job, OnOff, Seen, Side

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


def judge_survey(job: Job) -> tuple[SurveyReading, ...]:
    """Every survey reading of the notebooks, judged."""
    read = [entry for entry in entries(job, EntryKind.SURVEY) if entry.red]
    if not read:
        return ()
    settled, promised = answers(job), _promises(job)
    judged = [_judge(job, e, promised, settled.get(subject_of(e))) for e in read]
    judged = _last_counts(judged)
    crossed = _crossed(job, judged)
    return tuple(_with_crossing(reading, crossed) for reading in judged)


Promises = Mapping[frozenset[str], Sequence[Expected]]  # by the two points between which
Spot = tuple[frozenset[str], "Quantity", str | None, str | None]  # probes, quantity, key, state


def _last_counts(judged: list[SurveyReading]) -> list[SurveyReading]:
    """Of several readings of one thing the last that says something counts; the course is kept."""
    last: dict[Spot, int] = {}
    before: dict[Spot, list[Entry]] = {}
    out = list(judged)
    for i, reading in enumerate(judged):
        if reading.verdict in (ReadingVerdict.REFUSED, ReadingVerdict.STALE) or not _says(
            reading.entry
        ):
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
    """A void reading is past once the same has been read anew."""
    if reading.verdict != ReadingVerdict.STALE or last.get(spot_of(reading.entry), -1) < i:
        return reading
    return replace(reading, verdict=ReadingVerdict.REPLACED, why="read again")


def spot_of(entry: Entry) -> Spot:
    """Where and in which state a reading was taken."""
    return _probes(entry), _quantity(entry), entry.key, entry.state


def _says(entry: Entry) -> bool:
    """Whether a reading says something of volts or ohms."""
    if entry.seen in (Seen.UNSURE, Seen.DIODE):
        return False
    return not (entry.volts is None and entry.ohms is None and entry.seen is None)


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


def subject_of(entry: Entry) -> str:
    """The contact that a survey reading speaks of: the first that is no ground to read against."""
    return next((a for a in (*entry.red, *entry.black) if a not in GROUNDED), "")


def _proven(reading: SurveyReading) -> list[str]:
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
    """The wires of bus pairs whose high was last read below its low, both within a bus's band."""
    level = {r.address: r.entry.volts for r in judged if r.is_level}
    found: set[str] = set()
    for end in job.ends.values():
        pairs: dict[str | None, dict[str, str]] = {}
        for cavity in end.pinout.cavities.values():
            if cavity.function in ("can-high", "can-low"):
                halves = pairs.setdefault(cavity.pair, {})
                halves[cavity.function] = f"{end.name}.{cavity.name}"
        for halves in pairs.values():
            high = level.get(halves.get("can-high", ""))
            low = level.get(halves.get("can-low", ""))
            if high is not None and low is not None and high < low - DEAD_VOLTS:
                found |= set(halves.values())
    return frozenset(found)


# -- one reading ----------------------------------------------------------------------------------


def _promises(job: Job) -> Promises:
    rows: list[Expected] = []
    for end in job.ends.values():
        rows += expected_ohms(end) if end.side == Side.MACHINE else inside_ohms(end)
        if end.side == Side.MACHINE:
            for cavity in end.pinout.cavities.values():
                rows += expected_volts(job, end, cavity)
    found: dict[frozenset[str], list[Expected]] = defaultdict(list)
    for row in rows:
        found[frozenset((row.red, row.black))].append(row)
    return found


def _judge(job: Job, entry: Entry, promised: Promises, settled: Entry | None) -> SurveyReading:
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
    rows = [row for row in promised.get(_probes(entry), ()) if _speaks_of(row, entry)]
    if rows:
        return _held_against(job, plain, rows, promised)
    return replace(plain, why=COUNTS) if _is_of_pair(job, entry) else plain


def _is_of_pair(job: Job, entry: Entry) -> bool:
    """Whether ohms were read between the two legs of one bus of a unit, with nothing done first."""
    known = [cavity_of(job, a) for a in (*entry.red, *entry.black)]
    found = [each for each in known if each is not None and each.end.side != Side.MACHINE]
    if entry.ohms is None or entry.state is not None or not len(known) == len(found) == 2:
        return False
    one, other = found
    functions = {one.cavity.function, other.cavity.function}
    pairs = {(each.end.name, each.cavity.pair) for each in found}
    return functions == {"can-high", "can-low"} and len(pairs) == 1


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
    if _quantity(entry) == Quantity.OHMS and volts is not None and abs(volts) > DEAD_VOLTS:
        why = f"{volts:g} V stood there: no ohms reading counts above {DEAD_VOLTS:g} V"
        return ReadingVerdict.REFUSED, why
    if not _says(entry):
        return ReadingVerdict.RECORDED, "it says nothing of volts or ohms: read again"
    return None


def _held_against(
    job: Job, reading: SurveyReading, rows: list[Expected], promised: Promises
) -> SurveyReading:
    entry, first = reading.entry, rows[0]
    missed = next((row for row in rows if not _value_fits(row, entry)), None)
    if missed is None and is_short(entry) and _is_load(job, reading.address):
        return replace(reading, expected=first, why=AS_A_SHORT)
    if missed is None and first.where == WhereRead.LAMP and not _filament(entry):
        return replace(reading, expected=first, why=LAMP_BEYOND)
    if missed is None:
        return replace(reading, verdict=ReadingVerdict.FITS, expected=first)
    return replace(
        reading,
        verdict=ReadingVerdict.CONTRADICTS,
        expected=missed,
        reads_as=_reads_as(missed, entry, promised),
        why=meaning(job, missed, entry),
    )


def _is_load(job: Job, address: str) -> bool:
    known = cavity_of(job, address)
    return known is not None and electrical(known.cavity) in LOADS


def _speaks_of(row: Expected, entry: Entry) -> bool:
    """Whether a reading answers a row that promises something."""
    if row.quantity != _quantity(entry) or row.band is None or row.state != entry.state:
        return False
    return None in (row.key, entry.key) or row.key == entry.key


def _probes(entry: Entry) -> frozenset[str]:
    """Where a reading was taken; the battery's minus is the chassis."""
    return probes_at((*entry.red, *(entry.black or (CHASSIS,))))


def probes_at(points: Iterable[str]) -> frozenset[str]:
    """The points under both probes, every ground of the machine told as its chassis."""
    return frozenset(CHASSIS if a in GROUNDED else a for a in points)


def _quantity(entry: Entry) -> Quantity:
    in_ohms = entry.ohms is not None or entry.seen is not None
    return Quantity.OHMS if in_ohms else Quantity.VOLTS


def _value_fits(row: Expected, entry: Entry) -> bool:
    assert row.band is not None
    if row.quantity == Quantity.VOLTS:
        low, high = row.band.low - DEAD_VOLTS, row.band.high + DEAD_VOLTS
        return entry.volts is not None and low <= entry.volts <= high
    if entry.ohms is not None:
        shown = row.shown or row.band
        return metered(entry.ohms).overlaps(row.band) or entry.ohms.overlaps(shown)
    if entry.seen == Seen.BEEP:
        return row.band.low <= SILENT_SURE_OHMS
    return entry.seen != Seen.SILENT or row.band.high >= BEEP_SURE_OHMS


def _filament(entry: Entry) -> bool:
    """Whether a lamp's reading may be a cold filament's."""
    if entry.ohms is None:
        return entry.seen != Seen.SILENT
    return metered(entry.ohms).overlaps(FILAMENT)


def _reads_as(row: Expected, entry: Entry, promised: Promises) -> str | None:
    """The one other contact whose promise the value keeps."""
    asked = (row.quantity, row.black, row.key, row.state)
    others = set()
    for other in chain.from_iterable(promised.values()):
        if (other.quantity, other.black, other.key, other.state) != asked:
            continue
        if other.red != row.red and other.band is not None and _value_fits(other, entry):
            others.add(other.red)
    return min(others) if len(others) == 1 else None
