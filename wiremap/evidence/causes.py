"""What a survey reading that is not as promised may mean: likeliest causes, and what tells."""

from __future__ import annotations

import math
from functools import cache

from wiremap.evidence.expected import Expected, Quantity, electrical, system
from wiremap.evidence.meter import NOISE_VOLTS, says
from wiremap.model import CHASSIS, Cavity, Entry, Job
from wiremap.trade.tables import Row, table

BELOW_ZERO = (
    "below zero: the probes are exchanged, or the black one does not stand on battery minus; "
    "read again"
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
    if row.quantity == Quantity.VOLTS:
        return row.stray if entry.volts is None else _volts(job, row, entry.volts)
    ohms = _ohms(entry)
    return row.stray if ohms is None else _causes(_where(row, ohms, cavities), ohms) or row.stray


def _ohms(entry: Entry) -> float | None:
    """The figure that a reading stands for: of a beep the least, of silence an open wire."""
    if entry.ohms is not None:
        return entry.ohms.low
    said = says(entry)
    if said is None:
        return None
    return math.inf if math.isinf(said.high) else said.low


def _where(row: Expected, ohms: float, cavities: tuple[Cavity, ...]) -> str:
    functions = {cavity.function for cavity in cavities}
    if functions == {"can-high", "can-low"}:
        return "pair"
    if functions == {"interlock-out", "interlock-back"}:
        return "loop"
    if row.black == CHASSIS and functions == {"power-ground"}:
        return "ground"
    if row.black == CHASSIS and functions == {"sensor-return"}:
        return "return"
    if any(electrical(cavity) == "lamp" for cavity in cavities):
        return "lamp"
    if functions & {"analogue-input", "pulse-input"}:
        return "sender"
    return "load-low" if row.band is not None and ohms < row.band.low else "load-high"


@cache
def _rows() -> tuple[Row, ...]:
    return table("causes.toml").section("ohms", where=str, causes=tuple, tell=str)


def _causes(where: str, ohms: float) -> str:
    """Causes in the order of practice, and what to read to tell them apart."""
    for row in _rows():
        if row["where"] == where and row["from"] <= ohms <= row.get("to", math.inf):
            *others, last = row["causes"]
            either = f"{', '.join(others)}, or {last}" if others else last
            return f"{either}; to tell: {row['tell']}"
    return ""


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
