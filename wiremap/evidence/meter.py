"""What a reading says in ohms, and whether it speaks of the metal as it now stands."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

from wiremap.entries.lines import MINUS, POSTS
from wiremap.graph import Harness, fingerprint
from wiremap.model import CHASSIS, Entry, Seen, Span
from wiremap.model.state import PARTED
from wiremap.trade.tables import figure

FILE = "meter.toml"
BEEP_SURE_OHMS = figure(FILE, "row", "beep-sure")  # below, every beeper sounds
SILENT_SURE_OHMS = figure(FILE, "row", "silent-sure")  # above, none does
METER_SHARE = figure(FILE, "row", "meter-share")  # a display may be off by, of the reading
METER_OHMS = figure(FILE, "row", "leads")  # and by, for leads and tips
SHORT_OHMS = figure(FILE, "row", "short")  # the most that one metal reads
BOLTED_OHMS = figure(FILE, "row", "bolted")  # the most from a ground to the frame
BEEPING = Span(0.0, SILENT_SURE_OHMS)  # the true ohms under a beep
OPEN_OHMS = figure(FILE, "row", "open")  # from here on the wire is open
DEAD_VOLTS = figure(FILE, "row", "dead")  # above, no ohms reading counts
NOISE_VOLTS = figure(FILE, "row", "noise")  # what a meter may show on a wire that nothing feeds

KILO = 1000.0  # ohms
GROUNDED = (CHASSIS, MINUS)  # either is a place for the black probe of a survey

PARTED_WORDS = frozenset({PARTED, "lifted", "undone"})


def metered(span: Span) -> Span:
    """The band that the display may show for a true band of ohms."""
    high = span.high * (1 + METER_SHARE) + METER_OHMS
    if math.isinf(span.low):
        return Span(span.low, high)
    return Span(max(0.0, span.low * (1 - METER_SHARE) - METER_OHMS), high)


def displayed(span: Span) -> Span:
    """`metered` in figures that a display has, the band rounded outwards."""
    band = metered(span)
    return Span(_figure(band.low, math.floor), _figure(band.high, math.ceil))


def _figure(ohms: float, rounded: Callable[[float], int]) -> float:
    """Three digits, two from a kilohm on, and never more than tenths of an ohm."""
    if not math.isfinite(ohms) or ohms <= 0:
        return ohms
    kept = 2 if ohms >= KILO else 3
    digits = max(-1, math.floor(math.log10(ohms)) + 1 - kept)
    step = 10.0**digits
    return round(rounded(round(ohms / step, 6)) * step, 6)


def says(entry: Entry) -> Span | None:
    """The true ohms that a reading leaves possible; None when it says nothing of ohms."""
    if entry.ohms is not None:
        return metered(entry.ohms)
    if entry.seen == Seen.BEEP:
        return BEEPING
    if entry.seen == Seen.SILENT:
        return Span(BEEP_SURE_OHMS, math.inf)
    return None


def fits(entry: Entry, true: Span) -> bool:
    """Whether a reading may have come from a true band of ohms; an unsure one always may."""
    said = says(entry)
    return said is None or said.overlaps(true)


def is_short(entry: Entry) -> bool:
    """Whether a reading can only mean that its points are one metal."""
    if entry.ohms is not None:
        return entry.ohms.high <= SHORT_OHMS
    return entry.seen == Seen.BEEP


def is_silent(entry: Entry) -> bool:
    """Whether a reading says that nothing joins its points: silence, or a display that is open."""
    if entry.ohms is not None:
        return entry.ohms.low >= OPEN_OHMS
    return entry.seen == Seen.SILENT


def says_parted(entry: Entry) -> bool:
    """Whether what meets outside the harness was parted there (`parted`, `guard lifted`)."""
    return not PARTED_WORDS.isdisjoint((entry.state or "").casefold().split())


def in_harness(points: Iterable[str]) -> tuple[str, ...]:
    """The points of a reading without the battery's posts."""
    return tuple(p for p in points if p not in POSTS)


def probe_print(harness: Harness, points: Iterable[str]) -> str | None:
    """The fingerprint of all metal under the probes of one reading, but for the chassis.

    None if a point is not in the job.
    """
    members: set[str] = set()
    for address in in_harness(points):
        if address == CHASSIS:
            continue
        if address not in harness.points:
            return None
        members.update(harness.metals.of(address).points)
    return fingerprint(members)


def fresh(harness: Harness, entry: Entry) -> bool:
    """Whether a probe or power reading speaks of the metal as it stands; without `of` it does."""
    points = in_harness((*entry.red, *entry.black))
    if any(p not in harness.points for p in points):
        return False
    return entry.of is None or entry.of == probe_print(harness, points)
