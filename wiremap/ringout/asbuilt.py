"""The map as built: from readings alone, or from a job and the mistakes that its readings name."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from wiremap.graph import Harness
from wiremap.model import Circuit, End, Entry, Extra, Job, NotJoined, Pinout, frozen
from wiremap.ringout.diagnose import as_built
from wiremap.ringout.expect import THROUGH_OHMS, Build
from wiremap.ringout.readings import Taken

AGAINST = 1e5  # ohms: above this two nets are taken as apart


def job_from_readings(pinouts: Mapping[str, Pinout], entries: Iterable[Entry], path: str = "as-built.yaml") -> Job:
    """The adapter that probe readings between plain faces describe.

    The first pinout is the machine's side, every other the unit's.  Points that beeped together become circuits, ohms between
    two groups a resistor, everything else stands as not joined.
    """
    ends = {n: End(n, p, "pigtail", "machine" if i == 0 else "unit") for i, (n, p) in enumerate(pinouts.items())}
    known = {f"{n}.{c}": None for n, p in pinouts.items() for c in p.cavities}
    last: dict[frozenset[str], Entry] = {}
    for e in entries:
        if e.kind == "probe" and len(e.red) == len(e.black) == 1 and {*e.red, *e.black} <= known.keys():
            last[frozenset((e.red[0], e.black[0]))] = e
    readings = [Taken(e.red, e.black, e if e.seen else _as_beep(e), 1, False, "", True) for e in last.values()]
    groups = [g for g in as_built(readings) if len(g) > 1]
    circuits = [Circuit(g[0], g) for g in groups]
    extras: dict[str, Extra] = {}
    for e in last.values():
        if e.ohms is not None and THROUGH_OHMS < e.ohms.low < AGAINST:
            circuits = _with_resistor(circuits, extras, e)
    joined = {a for c in circuits for a in c.join}
    left = {
        a: NotJoined(a, "did not beep to anything that was probed", "leave")
        for a in known
        if a not in joined
        if not ends[a.partition(".")[0]].pinout.cavities[a.partition(".")[2]].unused
    }
    return Job("Adapter as found", path, frozen(ends), tuple(circuits), frozen(extras), frozen(left))


def _as_beep(e: Entry) -> Entry:
    return replace(e, seen="beep" if e.ohms is not None and e.ohms.high <= THROUGH_OHMS else "silent")


def _with_resistor(circuits: list[Circuit], extras: dict[str, Extra], e: Entry) -> list[Circuit]:
    name = f"R{len(extras) + 1}"
    assert e.ohms is not None
    owners = {next((c.id for c in circuits if p in c.join), p) for p in (e.red[0], e.black[0])}
    for known in extras:  # the same two metals met again
        if {c.id for c in circuits if f"{known}.a" in c.join or f"{known}.b" in c.join} == owners:
            return circuits
    extras[name] = Extra(name, "resistor", ohms=round((e.ohms.low + e.ohms.high) / 2, 1))
    out = list(circuits)
    for point, leg in ((e.red[0], f"{name}.a"), (e.black[0], f"{name}.b")):
        at = next((i for i, c in enumerate(out) if point in c.join), None)
        if at is None:
            out.append(Circuit(point, (point, leg)))
        else:
            out[at] = replace(out[at], join=(*out[at].join, leg))
    return out


def revision(harness: Harness, build: Build) -> Job:
    """A new revision of the job that says what was built, where a build differs from the drawing.

    Circuits whose points did not change are kept as they are; changed ones keep the id under which most of their points
    were drawn.  What was drawn but not built apart from that stands as not joined.
    """
    job, bench = harness.job, build.bench
    groups: dict[int, list[str]] = {}
    for a in bench.points:
        groups.setdefault(build.net(a), []).append(a)
    circuits, used = [], set()
    for points in groups.values():
        if len(points) < 2:
            continue
        kept = [c for c in job.circuits if c.id not in used and set(c.join) <= set(points)]
        if kept and {a for c in kept for a in c.join} == set(points):
            circuits += kept
            used |= {c.id for c in kept}
            continue
        first = max((c for c in job.circuits if c.id not in used), key=lambda c: len(set(c.join) & set(points)), default=None)
        name = first.id if first is not None and set(first.join) & set(points) else points[0]
        used.add(name)
        old = first if first is not None and first.id == name else None
        circuits.append(
            Circuit(
                name,
                tuple(points),
                old.joint if old else None,
                old.wire if old else None,
                old.length_mm if old else None,
                because=("as built, from the ring-out",),
            )
        )
    joined = {a for c in circuits for a in c.join}
    left = {a: n for a, n in job.not_joined.items() if a not in joined}
    for a in bench.points:
        if a not in joined and a not in left and harness.points[a].kind == "cavity":
            left[a] = NotJoined(a, "as built it reaches nothing", "cap")
    order = {c.id: i for i, c in enumerate(job.circuits)}
    circuits.sort(key=lambda c: order.get(c.id, len(order)))
    return replace(job, circuits=tuple(circuits), not_joined=frozen(left), revision=(job.revision or 0) + 1)
