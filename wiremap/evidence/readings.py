"""What a reading says in ohms, and whether it speaks of the metal as it now stands.

Figures of the meter are common practice, not a standard: the beeper of a hand meter trips somewhere between 20 and 50
ohm, leads and contact of the tips add a few tenths of an ohm.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from wiremap.graph import Harness, fingerprint
from wiremap.model import CHASSIS, Entry, Span

BEEP_SURE_OHMS = 20.0  # below this every beeper sounds (common practice)
SILENT_SURE_OHMS = 50.0  # above this every beeper is silent (common practice)
METER_SHARE = 0.02  # of the reading (common practice for a hand meter)
METER_OHMS = 0.5  # leads and tips (common practice)


def metered(span: Span) -> Span:
    """The band that the display may show for a true band of ohms."""
    low = (
        max(0.0, span.low * (1 - METER_SHARE) - METER_OHMS) if math.isfinite(span.low) else span.low
    )
    return Span(low, span.high * (1 + METER_SHARE) + METER_OHMS)


def says(entry: Entry) -> Span | None:
    """The true ohms that a reading leaves possible; None when it says nothing (unsure, diode range)."""
    if entry.ohms is not None:
        return metered(entry.ohms)
    if entry.seen == "beep":
        return Span(0.0, SILENT_SURE_OHMS)
    if entry.seen == "silent":
        return Span(BEEP_SURE_OHMS, math.inf)
    return None


def fits(entry: Entry, true: Span) -> bool:
    """Whether a reading may have come from a true band of ohms; an unsure one always may."""
    said = says(entry)
    return said is None or said.overlaps(true)


POSTS = (
    "battery plus",
    "battery minus",
)  # where a probe stands on the machine itself, outside the job's metal
SHORT_OHMS = (
    1.5  # one metal reads no more than this through two joints and the leads (common practice)
)


def is_short(entry: Entry) -> bool:
    """Whether a reading can only mean that its points are one metal."""
    return entry.seen == "beep" or (entry.ohms is not None and entry.ohms.high <= SHORT_OHMS)


OPEN_OHMS = 5e5  # nothing in a harness reads this much: the wire is open (common practice)


def is_silent(entry: Entry) -> bool:
    """Whether a reading says that nothing joins its points: silence, or a display that shows open."""
    return entry.seen == "silent" or (entry.ohms is not None and entry.ohms.low >= OPEN_OHMS)


PARTED = "parted"  # the state of a reading that is taken while what meets outside the harness is parted there
IN = "in"  # last word of a reading\'s state: this fuse is in
PARTED_WORDS = frozenset({PARTED, "lifted", "undone"})


def says_parted(entry: Entry) -> bool:
    """Whether a reading was taken while what meets outside the harness was parted there (`parted`, `guard lifted`)."""
    return not PARTED_WORDS.isdisjoint((entry.state or "").casefold().split())


def in_harness(points: Iterable[str]) -> tuple[str, ...]:
    """The points of a reading without the battery's posts."""
    return tuple(p for p in points if p not in POSTS)


def probe_print(harness: Harness, points: Iterable[str]) -> str | None:
    """The fingerprint of all metal under the probes of one reading, the chassis itself apart; None if a point is not in the job."""
    members: set[str] = set()
    for address in in_harness(points):
        if address == CHASSIS:
            continue
        if address not in harness.points:
            return None
        members.update(harness.metals.of(address).points)
    return fingerprint(members)


def fresh(harness: Harness, entry: Entry) -> bool:
    """Whether a probe or power reading speaks of the metal as it now stands (`of` left out: it does)."""
    points = in_harness((*entry.red, *entry.black))
    if any(p not in harness.points for p in points):
        return False
    return entry.of is None or entry.of == probe_print(harness, points)
