"""The map as built: from readings alone, or from a job and the mistakes that its readings name."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from wiremap.diagnose.homes import cavities_of
from wiremap.diagnose.plain_contacts import Groups, Heard
from wiremap.evidence import refused
from wiremap.graph import Harness
from wiremap.graph.walks import Joined
from wiremap.mistakes.build import Build
from wiremap.model import (
    Address,
    Cavity,
    Circuit,
    End,
    EndKind,
    Entry,
    Extra,
    ExtraKind,
    Job,
    NotJoined,
    Pinout,
    Side,
    Treat,
    frozen,
)
from wiremap.rules.scope import is_restraint

BARRED = "restraint or high-voltage wiring: nobody puts a probe there"
EMPTY = "nothing there by its paper, and not probed"


def job_of(pinouts: Mapping[str, Pinout], heard: Heard, groups: Groups, path: str) -> Job:
    """The job that these groups of contacts come to, with the parts that were read between them.

    The first pinout is the machine's side, every other the unit's.  What was probed and joins
    nothing stands as not joined; a contact that nobody probed stands nowhere: the file holds until
    it has been.
    """
    circuits = [_circuit(group[0], group) for group in groups if len(group) > 1]
    extras: dict[str, Extra] = {}
    for part in heard.parts:
        if part.ohms is not None:
            circuits = _with_resistor(circuits, extras, part)
    joined = {point for circuit in circuits for point in circuit.join}
    left = {
        Address.read(point): NotJoined(point=Address.read(point), why=why, treat=Treat.LEAVE)
        for point, why in _alone(pinouts, heard, groups)
        if point not in joined
    }
    return Job(
        title="Adapter as found",
        path=path,
        ends=frozen(_ends(pinouts)),
        circuits=tuple(circuits),
        extras=frozen(extras),
        not_joined=frozen(left),
    )


def _ends(pinouts: Mapping[str, Pinout]) -> dict[str, End]:
    ends = {}
    side = Side.MACHINE
    for name, pinout in pinouts.items():
        ends[name] = End(name=name, pinout=pinout, kind=EndKind.PIGTAIL, side=side)
        side = Side.UNIT
    return ends


def _circuit(name: str, points: Iterable[str]) -> Circuit:
    return Circuit(id=name, join=tuple(map(Address.read, points)))


def spared(cavity: Cavity) -> str:
    """Why nobody probes a contact: barred by any of its sources, or a hole with nothing in it.

    An unused contact with a wire in it is none: nobody knows yet what that wire reaches.
    """
    if refused(cavity) or is_restraint(cavity):
        return BARRED
    nothing_told = cavity.unused and not cavity.has_wire
    return EMPTY if nothing_told or cavity.as_found == "empty" else ""


def _alone(
    pinouts: Mapping[str, Pinout], heard: Heard, groups: Groups
) -> Iterator[tuple[str, str]]:
    """The contacts that join nothing, each with what that rests on.

    Who has yet to be probed is not among them.
    """
    cavities = cavities_of(pinouts)
    why = {point: spared(cavity) for point, cavity in cavities.items()}
    far = heard.apart(groups)
    for number, group in enumerate(groups):
        point = Address.read(group[0])
        if len(group) > 1 or (cavities[point].unused and why[point]):
            continue
        if point not in heard.touched:
            if why[point]:
                yield point, why[point]
            continue
        others = [other for other, members in enumerate(groups) if _faces(members, point.end, why)]
        silent = sum(frozenset((number, other)) in far for other in others)
        if silent == len(others):
            yield point, "silent to the whole other side"
        else:
            yield (
                point,
                f"not proven apart: silent to {silent} of {len(others)} circuits of the other "
                "side, the others not probed",
            )


def _faces(group: Sequence[str], end: str, why: Mapping[str, str]) -> bool:
    """Whether a group has a contact of another end that may be probed."""
    return any(Address.read(point).end != end and not why[point] for point in group)


def _with_resistor(circuits: list[Circuit], extras: dict[str, Extra], part: Entry) -> list[Circuit]:
    """The circuits with a part between two of them; unchanged if it lies in one, or is known."""
    assert part.ohms is not None
    points = (part.red[0], part.black[0])
    owners = {_owner(circuits, point) for point in points}
    known = [_met_by(circuits, name) for name in extras]
    if len(owners) < 2 or owners in known:
        return circuits
    name = f"R{len(extras) + 1}"
    ohms = round((part.ohms.low + part.ohms.high) / 2, 1)
    extras[name] = Extra(name=name, kind=ExtraKind.RESISTOR, ohms=ohms)
    made = list(circuits)
    for point, leg in zip(points, extras[name].legs, strict=True):
        places = [place for place, circuit in enumerate(made) if point in circuit.join]
        if places:
            old = made[places[0]]
            made[places[0]] = replace(old, join=(*old.join, leg))
        else:
            made.append(Circuit(id=point, join=(point, leg)))
    return made


def _owner(circuits: Iterable[Circuit], point: str) -> str:
    """The circuit that a point is in, by its name; the point itself if in none."""
    for circuit in circuits:
        if point in circuit.join:
            return circuit.id
    return point


def _met_by(circuits: Iterable[Circuit], extra: str) -> set[str]:
    """The circuits that a part's legs are in."""
    legs = {f"{extra}.a", f"{extra}.b"}
    return {circuit.id for circuit in circuits if not legs.isdisjoint(circuit.join)}


def revision(harness: Harness, build: Build) -> Job:
    """A new revision of the job that says what was built, where a build differs from the drawing.

    Circuits whose points did not change are kept as they are; changed ones keep the id under which
    most of their points were drawn.  What was drawn but not built apart from that stands as not
    joined.
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
    old = None
    most = 0
    for circuit in job.circuits:
        shared = len(members.intersection(circuit.join))
        if circuit.id not in used and shared > most:
            most = shared
            old = circuit
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
