"""What a survey reading that is not as promised may mean, in words a person at the machine can act on."""

from __future__ import annotations

from wiremap.evidence.bands import TERMINATOR, Expected, system
from wiremap.model import Cavity, Entry, Job

NOISE_VOLTS = 0.5  # a hand meter on a floating or quiet wire shows this much either side of zero (common practice)
BELOW_ZERO = "below zero: the probes are exchanged, or the black one does not stand on battery minus; read again"
BROKEN_PAIR = "no terminator is left, one or both wires of the pair are broken, or two cavities of the table are exchanged"
CROSSED = "the one named high lies below the one named low: the pair is crossed (ISO 11898-2: high is never the lower one)"


def meaning(job: Job, row: Expected, entry: Entry, cavities: tuple[Cavity, ...]) -> str:
    """What follows from a reading that is not in the band of its row; `cavities` are those under the probes."""
    if row.quantity == "volts" and entry.volts is not None:
        return _volts(job, row, entry.volts)
    pair = {c.function for c in cavities} == {"can-high", "can-low"}
    if pair and (
        entry.seen == "silent" or (entry.ohms is not None and entry.ohms.low > 2 * TERMINATOR.high)
    ):
        return BROKEN_PAIR
    return row.stray


def _volts(job: Job, row: Expected, volts: float) -> str:
    live = system(job)
    if volts < -NOISE_VOLTS:
        return BELOW_ZERO
    if live is None:
        return row.stray
    if volts > live.high + NOISE_VOLTS:
        return (
            f"more than this machine's {live.low:g} to {live.high:g} V: a charger, a second battery or another system feeds it; "
            "take nothing apart, read across the battery first"
        )
    if (
        row.band is not None
        and row.band.low > NOISE_VOLTS
        and 2 * NOISE_VOLTS < volts < live.low
        and volts < row.band.low
    ):
        return "less than the battery gives: a poor feed, or a wire that floats: read again with a lamp on it"
    return row.stray
