"""A new revision of a job that says what was built, by the mistakes that its readings name."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from wiremap.graph import Harness
from wiremap.graph.walks import Joined
from wiremap.mistakes.build import Build
from wiremap.model import Address, Circuit, Job, NotJoined, Treat, frozen


def as_built_revision(harness: Harness, build: Build) -> Job:
    """A new revision of the job that says what was built, where a build differs from the drawing.

    Circuits whose points did not change are kept as they are; changed ones keep the id under which
    most of their points were drawn.  A cavity that reaches nothing as built stands as not joined.
    """
    job = harness.job
    circuits: list[Circuit] = []
    used: set[str] = set()
    for points in _metals(build):
        if len(points) > 1:
            made = _kept(job, build, points, used) or [_changed(job, points, used)]
            circuits += made
            used |= {circuit.id for circuit in made}
    place = {circuit.id: number for number, circuit in enumerate(job.circuits)}
    circuits.sort(key=lambda circuit: place.get(circuit.id, len(place)))
    return replace(
        job,
        circuits=tuple(circuits),
        not_joined=frozen(_left_out(harness, build, circuits)),
        revision=(job.revision or 0) + 1,
    )


def _metals(build: Build) -> Iterable[list[str]]:
    """The points of each metal as built; a poor joint is one metal still."""
    one: Joined[int] = Joined()
    for tie in build.ties:
        if tie.poor:
            one.join(build.net(tie.a), build.net(tie.b))
    groups: dict[int, list[str]] = {}
    for point in build.drawn.points:
        groups.setdefault(one.root(build.net(point)), []).append(point)
    return groups.values()


def _kept(job: Job, build: Build, points: Sequence[str], used: set[str]) -> list[Circuit]:
    """The circuits that make up just this metal as drawn; none if it was changed.

    Of nets that touch one circuit is made.
    """
    members = set(points)
    if len({build.drawn.net_of[point] for point in points}) > 1:
        return []
    kept = [
        circuit
        for circuit in job.circuits
        if circuit.id not in used and members.issuperset(circuit.join)
    ]
    covered = {point for circuit in kept for point in circuit.join}
    return kept if covered == members else []


def _changed(job: Job, points: Sequence[str], used: set[str]) -> Circuit:
    """A circuit of these points, with the name and making of the one that most were drawn in."""
    members = set(points)
    alike = [
        circuit
        for circuit in job.circuits
        if circuit.id not in used and not members.isdisjoint(circuit.join)
    ]
    old = max(alike, key=lambda each: len(members.intersection(each.join)), default=None)
    built = ("as built, from the ring-out",)
    join = tuple(map(Address.read, points))
    if old is None:
        return Circuit(id=points[0], join=join, because=built)
    return Circuit(
        id=old.id,
        join=join,
        joint=old.joint,
        wire=old.wire,
        length_mm=old.length_mm,
        because=built,
    )


def _left_out(
    harness: Harness, build: Build, circuits: Iterable[Circuit]
) -> dict[Address, NotJoined]:
    """What the job leaves out and the build still does, and the cavities that reach nothing now."""
    joined = {point for circuit in circuits for point in circuit.join}
    stated = harness.job.not_joined
    left = {point: reason for point, reason in stated.items() if point not in joined}
    for name in build.drawn.points:
        point = harness.points[Address.read(name)]
        if point.kind == "cavity" and point.address not in joined and point.address not in left:
            why = "as built it reaches nothing"
            left[point.address] = NotJoined(point=point.address, why=why, treat=Treat.CAP)
    return left
