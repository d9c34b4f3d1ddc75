"""What must be so before a ring-out begins, and where the probe goes for each name."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import NamedTuple

from wiremap.evidence.probe_points import HarnessKind, kind_of, reachable
from wiremap.graph import Harness
from wiremap.model import End, EndKind, Extra, ExtraKind
from wiremap.ringout.fuses import Fuse, fuses_kept, fuses_out
from wiremap.ringout.unstated import unstated_buses, unstated_loads
from wiremap.sizing.job import size_job
from wiremap.sizing.job_sizes import JobSizes

NO_BARE_PROBE = (
    "no bare probe into a socket contact, it spreads it: probe through a mating contact that fits, "
    "and never through a seal or insulation"
)
MOUTH = (
    "fine tip where the machine's wire enters its bare joint, not on the barrel: a tip there says "
    "nothing of that crimp"
)
UNSTATED = "what hangs on {}, as nobody states its ohms; plugged in again before first power"
TERMINATED = "nobody states the ohms between them: what the survey read there is no fault"


class Where(NamedTuple):
    """Where a name is probed: in full, and for a page that is full."""

    full: str
    short: str


CUT = Where(
    "the machine-side cut end of the wire that was in cavity N of {}: a fine tip where it enters "
    "its joint, before the sleeve is shrunk; a tip on the barrel says nothing of the crimp on that "
    "side",
    MOUTH,
)
TAP = Where(
    "the wire in cavity N of {}, which goes on past its T: a fine tip where it enters its T, "
    "before the sleeve is shrunk",
    MOUTH,
)
CONTACTS = Where("the adapter's contact for cavity N of {}", "the adapter's own contacts")
FACE = Where(
    "contact N of the unmated face of {}, number as moulded", "contacts of the unmated face"
)
LEGS: Mapping[str, str] = MappingProxyType(
    {
        ExtraKind.FUSE: "contacts a and b of the empty holder of",
        ExtraKind.RESISTOR: "both leads (a and b), at their joints, of",
        ExtraKind.DIODE: "both leads (a the anode, k the cathode), at their joints, of",
        ExtraKind.STUD: "the ring at",
    }
)


class Name(NamedTuple):
    """A pattern of names, and where the probe goes for them."""

    pattern: str
    where: str


def before_start(
    harness: Harness, kind: str | None = None, sizes: JobSizes | None = None
) -> tuple[str, ...]:
    """All that is said before a ring-out: what is off and out, what each name means, no bare probe.

    `sizes` give a rating to a fuse of the job that states none; they are worked out if not given.
    """
    kind = kind or kind_of(harness)
    lines = list(before_reading(harness, kind, sizes))
    lines += [f"{name.pattern}: {name.where}" for name in names(harness, kind)]
    lines.append(NO_BARE_PROBE)
    return tuple(lines)


def before_reading(harness: Harness, kind: str, sizes: JobSizes | None) -> Iterator[str]:
    """What is off, out and unplugged before the first reading."""
    out = taken_out(harness, kind, sizes or size_job(harness))
    yield _state(kind)
    loads = unstated_loads(harness, kind)
    if loads:
        yield f"unplugged at its far end too: {UNSTATED.format(', '.join(loads))}"
    for high, low in unstated_buses(harness, kind):
        yield f"{high} to {low}: {TERMINATED}"
    if out:
        yield f"fuses out: {fuses_out_words(out)}"
        order = ", ".join(fuse.label for fuse in out)
        yield f"they go back at first power, in this order: {order}"
    if any(not fuse.own for fuse in out):
        kept = fuses_kept(harness)
        also = f", also {', '.join(kept)}" if kept else ""
        yield f"the machine's other fuses stay in{also}"


def places(harness: Harness, kind: str) -> Iterator[str]:
    """Where the probes go, ends of one kind in one line, and what no probe may do."""
    for where, owners in owners_by_place(harness, kind).items():
        yield f"{', '.join(owners)}: {where}"
    yield NO_BARE_PROBE


def _state(kind: str) -> str:
    if kind == HarnessKind.ADAPTER:
        return "on the bench: neither machine nor unit connected, every unit unplugged"
    return (
        "battery disconnected, minus first; control units unplugged, the machine's own till first "
        "power; sensors, valves and terminators left connected"
    )


def taken_out(harness: Harness, kind: str, sizes: JobSizes | None) -> tuple[Fuse, ...]:
    """The fuses that are out during a ring-out of this kind: an adapter has only its own."""
    fuses = fuses_out(harness, sizes)
    return tuple(fuse for fuse in fuses if kind != HarnessKind.ADAPTER or fuse.own)


def fuses_out_words(fuses: tuple[Fuse, ...]) -> str:
    """The fuses that are out, by name and the rating with which each comes out."""
    return ", ".join(f"{fuse.out} (holder empty)" if fuse.own else fuse.out for fuse in fuses)


def _where(end: End, kind: str) -> Where:
    """Which kind of place the names of an end mean."""
    if end.is_tap:
        return TAP
    if kind == HarnessKind.ADAPTER and end.kind in (EndKind.CUT_TAIL, EndKind.MATE):
        return CONTACTS
    return CUT if end.kind == EndKind.CUT_TAIL else FACE


def names(harness: Harness, kind: str) -> Iterator[Name]:
    """For each end and part of the ring-out the pattern of its names, and where the probe goes."""
    points = [harness.points[address] for address in reachable(harness, kind)]
    for end in harness.job.ends.values():
        own = [p.cavity.name for p in points if p.owner == end.name and p.cavity]
        if own:
            pattern = f"{end.name}.N (as {end.name}.{own[0]})"
            yield Name(pattern, _where(end, kind).full.format(end.name))
    listed = {p.owner for p in points}
    for extra in harness.job.extras.values():
        if extra.name in listed:
            yield Name(_pattern(extra), f"{LEGS[extra.kind]} {extra.name}")


def _pattern(extra: Extra) -> str:
    if extra.is_stud:
        return extra.name
    one, two = extra.legs
    return f"{one}, {two}"


def owners_by_place(harness: Harness, kind: str) -> dict[str, list[str]]:
    """In few words where the probe goes, with the ends and parts for which that holds."""
    places: dict[str, list[str]] = {}
    owners = {harness.points[address].owner for address in reachable(harness, kind)}
    for end in harness.job.ends.values():
        if end.name in owners:
            places.setdefault(_where(end, kind).short, []).append(end.name)
    return places
