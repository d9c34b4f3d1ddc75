"""What a survey reading that is not as promised may mean: likeliest causes, and what tells."""

from __future__ import annotations

import math

from wiremap.evidence.expected import Expected, Quantity, WhereRead, machine_volts
from wiremap.evidence.meter import NOISE_VOLTS, says
from wiremap.evidence.reading_spot import probes_of, volts_at
from wiremap.model import CHASSIS, Entry, Job, Span
from wiremap.trade.tables import Row, table

FILE = "causes.toml"
BELOW_ZERO = (
    "below zero: the probes are exchanged, or the black one does not stand on battery minus; "
    "read again"
)
EXCHANGED = (
    "plus and minus are exchanged, by the table or at the plug, or the probes were: "
    "read each against battery minus"
)
CROSSED = (
    "the one named high lies below the one named low: the pair is crossed "
    "(ISO 11898-2: high is never the lower one)"
)
POOR_FEED = (
    "less than the battery gives: a poor feed, or a wire that floats: read again with a lamp on it"
)
TOO_MUCH = (
    "a charger, a second battery or another system feeds it; "
    "take nothing apart, read across the battery first"
)


def meaning_of_stray(job: Job, row: Expected, entry: Entry) -> str:
    """What follows from a reading outside its row's band; empty where nothing is known of it."""
    if row.quantity == Quantity.VOLTS:
        return "" if entry.volts is None else _of_volts(job, row, entry, entry.volts)
    ohms = _ohms(entry)
    if ohms is None or row.where is None or row.band is None:
        return ""
    where: str = row.where
    if row.where == WhereRead.LOAD:
        where = "low" if ohms < row.band.low else "high"
    fits = (r for r in _rows("ohms", where) if r["from"] <= ohms <= r.get("to", math.inf))
    return _cause_words(next(fits, None))


def likeliest_cause(row: Expected) -> str:
    """The likeliest cause of a stray reading, ohms open; empty where none is known."""
    if row.where is None:
        return ""
    where = "high" if row.where == WhereRead.LOAD else row.where
    *_, last = _rows(row.quantity, where)  # of ohms the row for the most of them
    cause, *_ = last["causes"]
    return str(cause)


def _rows(section: str, where: str) -> list[Row]:
    rows = table(FILE).section(section, where=str, causes=tuple, tell=str)
    return [row for row in rows if row["where"] == where]


def _cause_words(row: Row | None) -> str:
    """Causes in the order of practice, and what to read to tell them apart."""
    if row is None:
        return ""
    *others, last = row["causes"]
    either = f"{', '.join(others)}, or {last}" if others else last
    return f"{either}; to tell: {row['tell']}"


def _ohms(entry: Entry) -> float | None:
    """The figure that a reading stands for: of a beep the least, of silence an open wire."""
    if entry.ohms is not None:
        return entry.ohms.low
    said = says(entry)
    if said is None:
        return None
    return math.inf if math.isinf(said.high) else said.low


def _is_weak(volts: float, band: Span | None, live: Span) -> bool:
    """Whether something stands there that should be live, and less than the battery gives."""
    if band is None or band.low <= NOISE_VOLTS:
        return False
    return 2 * NOISE_VOLTS < volts < min(live.low, band.low)


def _of_volts(job: Job, row: Expected, entry: Entry, shown: float) -> str:
    live, volts = machine_volts(job), volts_at(row.red, entry, shown)
    if volts < -NOISE_VOLTS:
        return BELOW_ZERO if CHASSIS in probes_of(entry) else EXCHANGED
    if live is not None and volts > live.high + NOISE_VOLTS:
        return f"more than this machine's {live.low:g} to {live.high:g} V: {TOO_MUCH}"
    if live is not None and _is_weak(volts, row.band, live):
        return POOR_FEED
    if row.where is None:
        return ""
    first, *_ = _rows("volts", row.where)
    return _cause_words(first)
