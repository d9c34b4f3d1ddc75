"""Every number of a sized job with its parent, in the order in which a reader meets them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from wiremap.sizing.job_sizes import JobSizes
from wiremap.sizing.sized import Sized, Value


class Parent(NamedTuple):
    """One number: what it is about, and the value with formula, source and standing."""

    subject: str
    value: Value


def parents(sizes: JobSizes) -> Iterator[Parent]:
    """Each number worked out for a job: feeds, drops, fuses, joints, wires, tests."""
    for subject, answer in _answers(sizes):
        for value in answer.results:
            yield Parent(subject, value)


def _answers(sizes: JobSizes) -> Iterator[tuple[str, Sized]]:
    yield from _sources(sizes)
    for joint in sizes.joints.values():
        yield joint.joint, joint.sized
    for conductor in sizes.conductors.values():
        if conductor.sized is not None:
            yield conductor.conductor, conductor.sized
    for test in sizes.continuity:
        yield f"{test.a} to {test.b}", test.sized
    for loaded in sizes.loaded:
        yield f"{loaded.circuit} under {loaded.amps:g} A", loaded.sized


def _sources(sizes: JobSizes) -> Iterator[tuple[str, Sized]]:
    for feed in sizes.feeds:
        if feed.sized is not None:
            yield feed.address, feed.sized
        for drop in feed.drops:
            yield f"{drop.feed} to {drop.load}", drop.sized
    for fuse in sizes.fuses.values():
        if fuse.sized is not None:
            yield fuse.name, fuse.sized


def assumptions(sizes: JobSizes) -> tuple[str, ...]:
    """Every assumption behind a job's numbers, each once."""
    lines = dict.fromkeys(sizes.assumptions)
    for _, answer in _answers(sizes):
        lines.update(dict.fromkeys(answer.assumptions))
    return tuple(lines)
