"""What must be so before the first reading of a ring-out, and where the probe goes for each name."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING

from wiremap.evidence.probe_points import ADAPTER, kind_of, reachable
from wiremap.graph import Harness
from wiremap.model import End
from wiremap.ringout.fuses import Fuse, fuses_kept, fuses_out

if TYPE_CHECKING:
    from wiremap.sizing.job import JobSizes

NO_BARE_PROBE = (
    "no bare probe into a socket contact, it spreads it: probe through a mating contact that fits, and never through "
    "a seal or insulation"
)

MOUTH = "fine tip where the machine's wire enters its bare joint; on the barrel, that crimp is left to signatures and lamp"
WHERE: Mapping[str, tuple[str, str]] = (
    MappingProxyType(  # where a name is probed: in full, and for a page that is full
        {
            "cut": (
                "the machine-side cut end of the wire that was in cavity N of {}: a fine tip where it enters its "
                "joint, before the sleeve is shrunk; a tip on the barrel leaves the crimp on that side to signatures and lamp",
                MOUTH,
            ),
            "tap": (
                "the wire in cavity N of {}, which goes on past its T: a fine tip where it enters its T, before the sleeve is shrunk",
                MOUTH,
            ),
            "contacts": ("the adapter's contact for cavity N of {}", "the adapter's own contacts"),
            "face": (
                "contact N of the unmated face of {}, number as moulded",
                "contacts of the unmated face",
            ),
        }
    )
)


def outset(
    harness: Harness, kind: str | None = None, sizes: JobSizes | None = None
) -> tuple[str, ...]:
    """Plain sentences before a ring-out: battery, fuses by name and their order back, what each name means, no bare probe.

    `sizes` give a rating to a fuse of the job that states none; they are worked out if not given.
    """
    from wiremap.sizing.job import size_job

    kind = kind or kind_of(harness)
    found = taken_out(harness, kind, sizes or size_job(harness))
    lines = [
        "battery disconnected, minus first; control units unplugged, sensors, valves and terminators left connected"
        if kind != ADAPTER
        else "on the bench: neither machine nor unit connected, every unit unplugged"
    ]
    if found:
        lines.append(f"fuses out: {told_out(found)}")
        lines.append(
            f"they go back at first power, in this order: {', '.join(f.label for f in found)}"
        )
    if any(not f.own for f in found):
        kept = fuses_kept(harness)
        lines.append(
            "the machine's other fuses stay in" + (f", also {', '.join(kept)}" if kept else "")
        )
    lines += [f"{name}: {where}" for name, where in names(harness, kind)]
    lines.append(NO_BARE_PROBE)
    return tuple(lines)


def taken_out(harness: Harness, kind: str, sizes: JobSizes | None) -> tuple[Fuse, ...]:
    """The fuses that are out during a ring-out of this kind: an adapter on the bench has only its own."""
    return tuple(f for f in fuses_out(harness, sizes) if kind != ADAPTER or f.own)


def told_out(fuses: tuple[Fuse, ...]) -> str:
    """Those fuses by name and rating."""
    return ", ".join(f"{f.out} (holder empty)" if f.own else f.out for f in fuses)


def _spot(end: End, kind: str) -> str:
    """Which kind of place the names of an end mean: a cut end, a T, the adapter's contacts, or an unmated face."""
    if end.kind == "cut-tail":
        return "contacts" if kind == ADAPTER else "cut"
    return "tap" if end.kind == "tap" else "face"


def names(harness: Harness, kind: str) -> Iterator[tuple[str, str]]:
    """For each end and part of the ring-out the pattern of its names, and where the probe goes."""
    points = [harness.points[a] for a in reachable(harness, kind)]
    for end in harness.job.ends.values():
        own = [p for p in points if p.owner == end.name]
        if not own:
            continue
        example = f"{end.name}.{next((p.cavity.name for p in own if p.cavity), '')}"
        pattern = f"{end.name}.N (as {example})"
        yield pattern, WHERE[_spot(end, kind)][0].format(end.name)
    where = {
        "fuse": "the legs a and b of the empty holder of",
        "resistor": "the legs a and b, at their joints, of",
        "diode": "the legs a (anode) and k (cathode), at their joints, of",
        "stud": "the ring at",
    }
    listed = {p.owner for p in points}
    for extra in harness.job.extras.values():
        if extra.name in listed:
            told = (
                f"{where[extra.kind]} {extra.name}"
                if extra.kind in where
                else f"its legs {', '.join(extra.legs)}"
            )
            yield (
                (
                    extra.name
                    if extra.kind == "stud"
                    else f"{extra.name}.{extra.legs[0].partition('.')[2]}, {extra.legs[1]}"
                ),
                told,
            )


def probed(harness: Harness, kind: str) -> dict[str, list[str]]:
    """In few words where the probe goes, with the ends and parts for which that holds; as `names`, for a page that is full."""
    points = [harness.points[a] for a in reachable(harness, kind)]
    ends = {p.owner: p.end for p in points if p.end is not None}
    places: dict[str, list[str]] = {}
    for name, end in ends.items():
        places.setdefault(WHERE[_spot(end, kind)][1], []).append(name)
    return places
