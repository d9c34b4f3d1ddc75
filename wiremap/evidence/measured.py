"""The volts that were measured at a contact, whatever its paper says of it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from wiremap.evidence.answers import entries
from wiremap.evidence.cavity_lookup import cavity_of, spoken_of
from wiremap.evidence.cavity_prints import fingerprints
from wiremap.evidence.expected import QUIET, electrical
from wiremap.evidence.meter import GROUNDED, NOISE_VOLTS
from wiremap.model import Address, Cavity, Entry, EntryKind, Flow, Job, OnOff
from wiremap.trade.told_figures import told_figures

SWITCHING = frozenset({"pulse-input", "pulse-output", "proportional-output"})


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredVolts:
    """The volts farthest from zero that a reading found at a contact, unit unplugged.

    `expected`: the paper's own function may show them.
    """

    address: Address
    volts: float
    key: OnOff | None
    entry: Entry
    expected: bool
    by_key: Mapping[str, float]  # at each position of the ignition that was said

    @property
    def is_live(self) -> bool:
        """Whether neither signal, reference, bus nor guard reads so: something feeds it."""
        return not QUIET.low <= self.volts <= QUIET.high


def measured_volts(job: Job) -> dict[Address, MeasuredVolts]:
    """By contact, the volts that survey readings and answers found there.

    Of several readings the one farthest from zero: a contact that was live once may be so again,
    so that a later reading of nothing does not take it away (striking out does).
    """
    found: dict[Address, MeasuredVolts] = {}
    by_key: dict[Address, dict[str, float]] = defaultdict(dict)
    for entry in entries(job, EntryKind.SURVEY, EntryKind.ANSWER):
        for address, volts in _volts_of(job, entry):
            known = cavity_of(job, address)
            if known is None or not _speaks_of(entry, known.cavity):
                continue
            if entry.key is not None and entry.state is None:
                at_key = by_key[address]
                at_key[entry.key] = max(at_key.get(entry.key, volts), volts, key=abs)
            old = found.get(address)
            if old is None or abs(volts) > abs(old.volts):
                found[address] = MeasuredVolts(
                    address=address,
                    volts=volts,
                    key=entry.key,
                    entry=entry,
                    expected=_may_show(known.cavity, volts),
                    by_key=by_key[address],
                )
    return found


def _volts_of(job: Job, entry: Entry) -> Iterator[tuple[Address, float]]:
    """The contact whose volts an entry states: read against ground, whichever probe stood there.

    Read between two contacts of which neither is a ground, the higher one bears what was read.
    """
    if entry.volts is None:
        return
    if entry.kind == EntryKind.ANSWER:
        yield Address.read(spoken_of(job, entry)), entry.volts
        return
    red = next((a for a in entry.red if not _is_ground(job, a)), None)
    black = next((a for a in entry.black if not _is_ground(job, a)), None)
    if red is not None and (black is None or entry.volts > QUIET.high):
        yield Address.read(red), entry.volts
    elif black is not None and (red is None or entry.volts < QUIET.low):
        yield Address.read(black), -entry.volts


def _is_ground(job: Job, address: str) -> bool:
    """Whether a meter's probe stood on ground: at the chassis, the battery or a ground contact."""
    if address in GROUNDED:
        return True
    known = cavity_of(job, address)
    return known is not None and electrical(known.cavity) == "ground"


def _speaks_of(entry: Entry, cavity: Cavity) -> bool:
    return entry.of is None or entry.of in fingerprints(cavity)


def _may_show(cavity: Cavity, volts: float) -> bool:
    """Whether what the paper says of a contact accounts for these volts."""
    group = electrical(cavity)
    if group == "supply" or cavity.function == "wake":
        return True
    if group in ("lamp", "drive") and cavity.flow == Flow.TO_UNIT:
        return True  # the machine feeds it
    stated = cavity.volts
    if stated is not None and cavity.function != "unknown":
        low = 0.0 if switches(cavity) else stated.low
        return low - NOISE_VOLTS <= volts <= stated.high + NOISE_VOLTS
    return cavity.function == "digital-input"


def switches(cavity: Cavity) -> bool:
    """Whether a meter shows only the mean of what is on a contact, by its paper: pulses, PWM."""
    if cavity.pwm_hz is not None or cavity.function in SWITCHING:
        return True
    return told_figures(cavity.signal).switches


def is_mean_of(cavity: Cavity, volts: float) -> bool:
    """Whether a reading may be the mean of the square wave that a paper tells of a contact."""
    if cavity.volts is None or not switches(cavity):
        return False
    return -NOISE_VOLTS <= volts <= cavity.volts.high + NOISE_VOLTS
