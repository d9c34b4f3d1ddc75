"""Typed entries held against the job: which of their points it has, and the metal they speak of."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from wiremap.base import Finding, fault
from wiremap.entries.lines import too_many_faults
from wiremap.evidence.answers import stamp
from wiremap.evidence.meter import in_harness, probe_print
from wiremap.evidence.probe_points import kind_of, nets_for
from wiremap.files.faults import did_you_mean
from wiremap.graph import Harness
from wiremap.model import SHRUNK, Entry, EntryKind, Job
from wiremap.model.state import FUSE_IN, PARTED


def stamped(harness: Harness, entry: Entry, filed: Job | None = None) -> Entry:
    """The entry with the fingerprint of its metal or cavity; unchanged if it has one already.

    `filed` is the job as its files say it: a cavity's fingerprint is taken there, before any answer
    was laid over it.
    """
    if entry.of is not None:
        return entry
    if entry.kind in (EntryKind.PROBE, EntryKind.POWER):
        return replace(entry, of=probe_print(harness, (*entry.red, *entry.black)))
    if filed is not None and entry.kind in (EntryKind.SURVEY, EntryKind.ANSWER):
        return stamp(filed, entry)
    return entry


def no_such_points(harness: Harness, entries: Iterable[Entry]) -> tuple[Finding, ...]:
    """A fault for every typed reading at a point that the job does not have.

    What carries a fingerprint is judged as stale instead.
    """
    fuses = [x.name for x in harness.job.extras.values() if x.is_fuse]
    nets = {net.name for net in nets_for(harness, kind_of(harness))}
    nets |= {circuit.id for circuit in harness.job.circuits}
    found: list[Finding] = []
    for entry in entries:
        if too_many_faults(found, entry.place):
            break
        if entry.kind == EntryKind.PROBE and entry.of is None:
            found += _no_such_state(entry, fuses, nets)
            found += _no_such_points(harness, entry)
    return tuple(found)


def _no_such_state(entry: Entry, fuses: list[str], nets: set[str]) -> Iterator[Finding]:
    stood = f" {entry.state or ''}".removesuffix(f" {SHRUNK}").strip()
    name, _, what = stood.rpartition(" ")
    if what == FUSE_IN and name not in fuses:
        yield fault(
            "no-such-fuse",
            f"{name} is no fuse of this harness that could be put in",
            entry.place,
            fix=f"its own fuses: {', '.join(fuses) or 'none'}",
        )
    if what == PARTED and name and name not in nets:
        near = did_you_mean(name, nets, lead="; ")
        yield fault(
            "no-such-net",
            f"{name} is no circuit of this job that could be parted{near}",
            entry.place,
            fix="write the circuit's name before parted, or parted alone",
        )


def _no_such_points(harness: Harness, entry: Entry) -> Iterator[Finding]:
    for address in in_harness((*entry.red, *entry.black)):
        if address not in harness.points:
            near = did_you_mean(address, harness.points, lead="; ")
            yield fault(
                "no-such-point",
                f"{address} is no point of this job{near}",
                entry.place,
                fix="write an end and its cavity as loom.1, a part and its contact as F1.a",
            )
