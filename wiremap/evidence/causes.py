"""What a survey reading that is not as promised may mean, in words to act on at the machine."""

from __future__ import annotations

from wiremap.evidence.expected import TERMINATOR, Expected, Quantity, system
from wiremap.evidence.meter import NOISE_VOLTS
from wiremap.model import Cavity, Entry, Job, Seen

BELOW_ZERO = (
    "below zero: the probes are exchanged, or the black one does not stand on battery minus; "
    "read again"
)
BROKEN_PAIR = (
    "no terminator is left, one or both wires of the pair are broken, "
    "or two cavities of the table are exchanged"
)
CROSSED = (
    "the one named high lies below the one named low: the pair is crossed "
    "(ISO 11898-2: high is never the lower one)"
)
POOR_FEED = (
    "less than the battery gives: a poor feed, or a wire that floats: read again with a lamp on it"
)


def meaning(job: Job, row: Expected, entry: Entry, cavities: tuple[Cavity, ...]) -> str:
    """What follows from a reading outside its row's band; `cavities` are under the probes."""
    if row.quantity == Quantity.VOLTS and entry.volts is not None:
        return _volts(job, row, entry.volts)
    pair = {c.function for c in cavities} == {"can-high", "can-low"}
    return BROKEN_PAIR if pair and _beyond_terminators(entry) else row.stray


def _beyond_terminators(entry: Entry) -> bool:
    if entry.ohms is not None:
        return entry.ohms.low > 2 * TERMINATOR.high
    return entry.seen == Seen.SILENT


def _volts(job: Job, row: Expected, volts: float) -> str:
    live = system(job)
    if volts < -NOISE_VOLTS:
        return BELOW_ZERO
    if live is None or row.band is None:
        return row.stray
    if volts > live.high + NOISE_VOLTS:
        return (
            f"more than this machine's {live.low:g} to {live.high:g} V: a charger, a second "
            "battery or another system feeds it; "
            "take nothing apart, read across the battery first"
        )
    should_be_live = row.band.low > NOISE_VOLTS
    weak = 2 * NOISE_VOLTS < volts < min(live.low, row.band.low)
    return POOR_FEED if should_be_live and weak else row.stray
