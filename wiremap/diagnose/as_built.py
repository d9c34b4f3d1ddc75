"""The map as built: from readings alone, or from a job and the mistakes that its readings name."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from wiremap.diagnose.plain_contacts import Heard
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


def job_of(
    pinouts: Mapping[str, Pinout], heard: Heard, groups: Sequence[Sequence[str]], path: str
) -> Job:
    """The job that these groups of contacts come to, with the parts that were read between them.

    The first pinout is the machine's side, every other the unit's.  What was probed and joins nothing stands as not joined; a
    contact that nobody probed stands nowhere: the file holds until it has been.
    """
    ends = {
        n: End(name=n, pinout=p, kind=EndKind.PIGTAIL, side=Side.MACHINE if i == 0 else Side.UNIT)
        for i, (n, p) in enumerate(pinouts.items())
    }
    circuits, extras = (
        [Circuit(id=g[0], join=tuple(map(Address.read, g))) for g in groups if len(g) > 1],
        dict[str, Extra](),
    )
    for e in heard.parts:
        if e.ohms is not None:
            circuits = _with_resistor(circuits, extras, e)
    joined = {a for c in circuits for a in c.join}
    left = {
        Address.read(a): NotJoined(point=Address.read(a), why=why, treat=Treat.LEAVE)
        for a, why in _alone(pinouts, heard, groups).items()
        if a not in joined
    }
    return Job(
        title="Adapter as found",
        path=path,
        ends=frozen(ends),
        circuits=tuple(circuits),
        extras=frozen(extras),
        not_joined=frozen(left),
    )


def spared(cavity: Cavity) -> str:
    """Why nobody probes a contact: restraint or high-voltage wiring by any of its sources, or a hole with nothing in it."""
    if refused(cavity) or is_restraint(cavity):
        return BARRED
    return (
        "nothing there by its paper, and not probed"
        if cavity.unused or cavity.as_found == "empty"
        else ""
    )


def _alone(
    pinouts: Mapping[str, Pinout], heard: Heard, groups: Sequence[Sequence[str]]
) -> Mapping[str, str]:
    """The contacts that join nothing, each with what that rests on; who has yet to be probed is not among them."""
    why = {f"{n}.{name}": spared(c) for n, p in pinouts.items() for name, c in p.cavities.items()}
    far, out = heard.apart(groups), dict[str, str]()
    for i, group in enumerate(groups):
        end, _, name = group[0].partition(".")
        if len(group) > 1 or pinouts[end].cavities[name].unused:
            continue
        others = [
            j
            for j, g in enumerate(groups)
            if any(a.partition(".")[0] != end and not why[a] for a in g)
        ]
        silent = sum(frozenset((i, j)) in far for j in others)
        if group[0] not in heard.touched:
            out |= {group[0]: why[group[0]]} if why[group[0]] else {}
        elif silent == len(others):
            out[group[0]] = "silent to the whole other side"
        else:
            out[group[0]] = (
                f"not proven apart: silent to {silent} of {len(others)} nets of the other side, the others not probed"
            )
    return out


def _with_resistor(circuits: list[Circuit], extras: dict[str, Extra], e: Entry) -> list[Circuit]:
    name = f"R{len(extras) + 1}"
    assert e.ohms is not None
    owners = {next((c.id for c in circuits if p in c.join), p) for p in (e.red[0], e.black[0])}
    if len(owners) < 2 or any(
        {c.id for c in circuits if f"{x}.a" in c.join or f"{x}.b" in c.join} == owners
        for x in extras
    ):
        return circuits  # one metal against this reading, or the same two metals met again
    extras[name] = Extra(
        name=name, kind=ExtraKind.RESISTOR, ohms=round((e.ohms.low + e.ohms.high) / 2, 1)
    )
    out = list(circuits)
    for point, leg in zip((e.red[0], e.black[0]), extras[name].legs, strict=True):
        at = next((i for i, c in enumerate(out) if point in c.join), None)
        if at is None:
            out.append(Circuit(id=point, join=(point, leg)))
        else:
            out[at] = replace(out[at], join=(*out[at].join, leg))
    return out


def revision(harness: Harness, build: Build) -> Job:
    """A new revision of the job that says what was built, where a build differs from the drawing.

    Circuits whose points did not change are kept as they are; changed ones keep the id under which most of their points
    were drawn.  What was drawn but not built apart from that stands as not joined.
    """
    job, drawn = harness.job, build.drawn
    one: Joined[int] = Joined()  # a poor joint is one metal still
    for tie in build.ties:
        if tie.poor:
            one.join(build.net(tie.a), build.net(tie.b))
    groups: dict[int, list[str]] = {}
    for a in drawn.points:
        groups.setdefault(one.root(build.net(a)), []).append(a)
    circuits, used = [], set()
    for points in groups.values():
        if len(points) < 2:
            continue
        kept = [c for c in job.circuits if c.id not in used and set(c.join) <= set(points)]
        one_net = len({drawn.net_of[a] for a in points}) == 1  # of nets that touch, one circuit
        if kept and one_net and {a for c in kept for a in c.join} == set(points):
            circuits += kept
            used |= {c.id for c in kept}
            continue
        first = max(
            (c for c in job.circuits if c.id not in used),
            key=lambda c: len(set(c.join) & set(points)),
            default=None,
        )
        name = first.id if first is not None and set(first.join) & set(points) else points[0]
        used.add(name)
        old = first if first is not None and first.id == name else None
        circuits.append(
            Circuit(
                id=name,
                join=tuple(map(Address.read, points)),
                joint=old.joint if old else None,
                wire=old.wire if old else None,
                length_mm=old.length_mm if old else None,
                because=("as built, from the ring-out",),
            )
        )
    joined = {a for c in circuits for a in c.join}
    left = {a: n for a, n in job.not_joined.items() if a not in joined}
    for a in drawn.points:
        if a not in joined and a not in left and harness.points[a].kind == "cavity":
            point = harness.points[a].address
            left[point] = NotJoined(point=point, why="as built it reaches nothing", treat=Treat.CAP)
    order = {c.id: i for i, c in enumerate(job.circuits)}
    circuits.sort(key=lambda c: order.get(c.id, len(order)))
    return replace(
        job, circuits=tuple(circuits), not_joined=frozen(left), revision=(job.revision or 0) + 1
    )
