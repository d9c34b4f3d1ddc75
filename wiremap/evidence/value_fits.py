"""Whether what a meter showed keeps what a row of the survey promises."""

from __future__ import annotations

from wiremap.evidence.expected import FILAMENT, Expected, Quantity
from wiremap.evidence.meter import BEEP_SURE_OHMS, DEAD_VOLTS, SILENT_SURE_OHMS, metered
from wiremap.evidence.reading_spot import volts_at
from wiremap.model import Entry, Seen


def value_fits(row: Expected, entry: Entry) -> bool:
    """Whether a value lies in a row's band; of ohms with what the meter may be off."""
    assert row.band is not None
    if row.quantity == Quantity.VOLTS:
        low, high = row.band.low - DEAD_VOLTS, row.band.high + DEAD_VOLTS
        return entry.volts is not None and low <= volts_at(row.red, entry, entry.volts) <= high
    if entry.ohms is not None:
        shown = row.shown or row.band
        return metered(entry.ohms).overlaps(row.band) or entry.ohms.overlaps(shown)
    if entry.seen == Seen.BEEP:
        return row.band.low <= SILENT_SURE_OHMS
    return entry.seen != Seen.SILENT or row.band.high >= BEEP_SURE_OHMS


def may_be_filament(entry: Entry) -> bool:
    """Whether a lamp's reading may be a cold filament's."""
    if entry.ohms is None:
        return entry.seen != Seen.SILENT
    return metered(entry.ohms).overlaps(FILAMENT)
