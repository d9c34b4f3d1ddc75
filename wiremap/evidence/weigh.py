"""Survey readings against what the paper promises: they fit, or paper and machine differ, and both are kept."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from wiremap.evidence.answers import answers, cavity_of, entries, fingerprints
from wiremap.evidence.bands import (
    FILAMENT,
    LAMP_BEYOND,
    LAMP_SOURCE,
    Expected,
    expected_ohms,
    expected_volts,
    refused,
)
from wiremap.evidence.readings import metered
from wiremap.evidence.strays import CROSSED, meaning
from wiremap.model import CHASSIS, Entry, Job

DEAD_VOLTS = 0.1  # above this an ohms reading is refused (common practice: the meter would read the volts as ohms)
VERDICTS = ("fits", "contradicts", "recorded", "refused", "stale")

GROUNDED = (CHASSIS, "battery minus")  # either is a place for the black probe of a survey


@dataclass(frozen=True, slots=True)
class Judged:
    """A survey reading with what was expected there and what follows.

    `verdict`: fits, contradicts, recorded (nothing was promised), refused (not dead, or not ours to touch), stale.
    `reads_as`: the cavity whose promise the value keeps instead, if exactly one does; `settled`: a named answer stands.
    """

    entry: Entry
    address: str
    verdict: str
    expected: Expected | None = None
    reads_as: str | None = None
    settled: Entry | None = None
    why: str = ""


def judge_survey(job: Job) -> tuple[Judged, ...]:
    """Every survey reading of the notebooks, judged."""
    settled = answers(job)
    promised = _promises(job)
    judged = tuple(
        _judge(job, e, promised, settled.get(_subject(e))) for e in entries(job, "survey") if e.red
    )
    crossed = _crossed(job, judged)
    return tuple(
        replace(j, verdict="contradicts", why=CROSSED)
        if j.address in crossed and _is_level(j)
        else j
        for j in judged
    )


def _is_level(j: Judged) -> bool:
    return (
        j.verdict == "fits"
        and j.entry.volts is not None
        and j.entry.ohms is None
        and j.entry.key == "on"
    )


def _crossed(job: Job, judged: Iterable[Judged]) -> frozenset[str]:
    """The wires of bus pairs whose high was last read below its low, both within what a bus shows."""
    level = {j.address: j.entry.volts for j in judged if _is_level(j)}
    found: set[str] = set()
    for end in job.ends.values():
        pairs: dict[str | None, dict[str, str]] = {}
        for c in end.pinout.cavities.values():
            if c.function in ("can-high", "can-low"):
                pairs.setdefault(c.pair, {})[c.function] = f"{end.name}.{c.name}"
        for halves in pairs.values():
            high, low = (level.get(halves.get(f, "")) for f in ("can-high", "can-low"))
            if high is not None and low is not None and high < low - DEAD_VOLTS:
                found |= {*halves.values()}
    return frozenset(found)


def contradictions(job: Job) -> tuple[Judged, ...]:
    """The readings in which the machine differs from the paper, settled or not."""
    return tuple(j for j in judge_survey(job) if j.verdict == "contradicts")


def measured_addresses(job: Job) -> list[str]:
    """Cavities whose function a fresh, fitting, telling reading proves and no reading contradicts."""
    judged = judge_survey(job)
    against = {j.address for j in judged if j.verdict == "contradicts" and j.settled is None}
    found: dict[str, None] = {}
    for j in judged:
        if j.verdict == "fits" and j.expected is not None and j.expected.telling:
            for address in (j.address, *(a for a in j.entry.black if a not in GROUNDED)):
                known = cavity_of(job, address)
                if (
                    known
                    and address not in against
                    and (address == j.address or j.expected.quantity == "ohms")
                ):
                    found[address] = None
    return [a for a in found if (known := cavity_of(job, a)) and known[1].basis != "measured"]


def _subject(entry: Entry) -> str:
    return next((a for a in (*entry.red, *entry.black) if a not in GROUNDED), "")


def _promises(job: Job) -> list[Expected]:
    rows: list[Expected] = []
    for end in job.ends.values():
        if end.side == "machine":
            rows += expected_ohms(end)
            for cavity in end.pinout.cavities.values():
                rows += expected_volts(job, end, cavity)
    return rows


def _between(row: Expected, entry: Entry) -> bool:
    """Whether a reading was taken where a row asks."""
    black = [CHASSIS if a in GROUNDED else a for a in entry.black]
    return {row.red, row.black} == {*entry.red, *(black or (CHASSIS,))}


def _quantity(entry: Entry) -> str:
    return "ohms" if entry.ohms is not None or entry.seen is not None else "volts"


def _value_fits(row: Expected, entry: Entry) -> bool:
    assert row.band is not None
    if row.quantity == "volts":
        return entry.volts is not None and row.band.low - 0.1 <= entry.volts <= row.band.high + 0.1
    if entry.ohms is None:
        return {"beep": row.band.low <= 50.0, "silent": row.band.high >= 20.0}.get(
            entry.seen or "", True
        )
    return metered(entry.ohms).overlaps(row.band)


def _filament(entry: Entry) -> bool:
    """Whether a lamp's reading may be a cold filament's."""
    return entry.seen != "silent" if entry.ohms is None else metered(entry.ohms).overlaps(FILAMENT)


def _judge(job: Job, entry: Entry, promised: list[Expected], settled: Entry | None) -> Judged:
    address, quantity = _subject(entry), _quantity(entry)
    known = cavity_of(job, address)
    if known is None:
        return Judged(
            entry, address, "stale", why=f"{address or 'this point'} is no cavity of the job"
        )
    if refused(known[1]):
        return Judged(entry, address, "refused", why="no probe belongs on this circuit")
    if entry.of is not None and entry.of not in fingerprints(known[1]):
        return Judged(
            entry,
            address,
            "stale",
            settled=settled,
            why=f"function, volts or wire of {address} changed since {entry.date}",
        )
    if quantity == "ohms" and entry.volts is not None and abs(entry.volts) > DEAD_VOLTS:
        return Judged(
            entry,
            address,
            "refused",
            why=f"{entry.volts:g} V stood there: no ohms reading counts above {DEAD_VOLTS:g} V",
        )
    if entry.seen in ("unsure", "diode") or (
        entry.volts is None and entry.ohms is None and entry.seen is None
    ):
        return Judged(
            entry,
            address,
            "recorded",
            settled=settled,
            why="it says nothing of volts or ohms: read again",
        )
    rows = [
        r
        for r in promised
        if r.quantity == quantity
        and _between(r, entry)
        and r.band is not None
        and (r.key is None or entry.key is None or r.key == entry.key)
        and r.state == entry.state
    ]
    if not rows:
        return Judged(entry, address, "recorded", settled=settled)
    if all(_value_fits(r, entry) for r in rows):
        if rows[0].source == LAMP_SOURCE and not _filament(entry):
            return Judged(entry, address, "recorded", rows[0], settled=settled, why=LAMP_BEYOND)
        return Judged(entry, address, "fits", rows[0], settled=settled)
    row = next(r for r in rows if not _value_fits(r, entry))
    touched = tuple(
        k[1] for a in (*entry.red, *entry.black) if (k := cavity_of(job, a)) is not None
    )
    return Judged(
        entry,
        address,
        "contradicts",
        row,
        _reads_as(row, entry, promised),
        settled,
        meaning(job, row, entry, touched),
    )


def _reads_as(row: Expected, entry: Entry, promised: Iterable[Expected]) -> str | None:
    others = {
        r.red
        for r in promised
        if r.quantity == row.quantity
        and r.black == row.black
        and r.red != row.red
        and r.band is not None
        and r.key == row.key
        and r.state == row.state
        and _value_fits(r, entry)
    }
    return min(others) if len(others) == 1 else None
