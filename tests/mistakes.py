"""Random single mistakes in a job, and whether a mistake changes what shares metal."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace

from wiremap.graph import Harness
from wiremap.model import CHASSIS, Circuit, Job

Mistake = tuple[str, Job]


def joined(job: Job) -> list[tuple[int, int]]:
    """Every (circuit, place in its join)."""
    return [(i, k) for i, c in enumerate(job.circuits) for k in range(len(c.join))]


def with_join(job: Job, joins: dict[int, tuple[str, ...]]) -> Job:
    """The job with some circuits' points changed, and nothing else."""
    circuits = []
    for i, c in enumerate(job.circuits):
        join = joins.get(i, c.join)
        if join:
            circuits.append(replace(c, join=join, join_places=c.join_places[:1] * len(join) or ()))
    return replace(job, circuits=tuple(circuits))


def exchange(job: Job, rng: random.Random) -> Job:
    """Two joined points change places."""
    (i, k), (m, n) = rng.sample(joined(job), 2)
    joins = {x: list(job.circuits[x].join) for x in (i, m)}
    joins[i][k], joins[m][n] = joins[m][n], joins[i][k]
    return with_join(job, {x: tuple(j) for x, j in joins.items()})


def exchange_at_one_end(job: Job, rng: random.Random) -> Job:
    """Two joined contacts of one connector change places: what hands really do."""
    owner = rng.choice(sorted(job.ends))
    own = [(i, k) for i, k in joined(job) if job.circuits[i].join[k].startswith(owner + ".")]
    if len(own) < 2:
        return job
    (i, k), (m, n) = rng.sample(own, 2)
    joins = {x: list(job.circuits[x].join) for x in (i, m)}
    joins[i][k], joins[m][n] = joins[m][n], joins[i][k]
    return with_join(job, {x: tuple(j) for x, j in joins.items()})


def move(job: Job, rng: random.Random) -> Job:
    """A point goes to another circuit."""
    i, k = rng.choice(joined(job))
    m = rng.randrange(len(job.circuits))
    if i == m:
        return job
    point = job.circuits[i].join[k]
    return with_join(
        job,
        {
            i: tuple(p for p in job.circuits[i].join if p != point),
            m: (*job.circuits[m].join, point),
        },
    )


def drop(job: Job, rng: random.Random) -> Job:
    """A point is left out of its circuit."""
    i, k = rng.choice(joined(job))
    return with_join(job, {i: tuple(p for n, p in enumerate(job.circuits[i].join) if n != k)})


def merge(job: Job, rng: random.Random) -> Job:
    """Two circuits become one."""
    i, m = rng.sample(range(len(job.circuits)), 2)
    return with_join(job, {i: (*job.circuits[i].join, *job.circuits[m].join), m: ()})


def replace_by_free(job: Job, rng: random.Random) -> Job:
    """A point gives way to another cavity of its connector that nobody has joined."""
    i, k = rng.choice(joined(job))
    owner = job.circuits[i].join[k].partition(".")[0]
    used = {p for c in job.circuits for p in c.join}
    free = (
        [f"{owner}.{c}" for c in job.ends[owner].pinout.cavities if f"{owner}.{c}" not in used]
        if owner in job.ends
        else []
    )
    if not free:
        return job
    join = list(job.circuits[i].join)
    join[k] = rng.choice(free)
    return with_join(job, {i: tuple(join)})


def add_free(job: Job, rng: random.Random) -> Job:
    """A cavity that nobody has joined is joined in addition."""
    used = {p for c in job.circuits for p in c.join}
    free = [
        f"{e.name}.{c}"
        for e in job.ends.values()
        for c in e.pinout.cavities
        if f"{e.name}.{c}" not in used
    ]
    if not free:
        return job
    i = rng.randrange(len(job.circuits))
    return with_join(job, {i: (*job.circuits[i].join, rng.choice(free))})


MISTAKES: tuple[Callable[[Job, random.Random], Job], ...] = (
    exchange,
    exchange_at_one_end,
    move,
    drop,
    merge,
    replace_by_free,
    add_free,
)


def sharing(job: Job) -> frozenset[frozenset[str]]:
    """Which contacts share metal; the legs of a resistor count as one thing, for either way round is the same."""
    harness = Harness(job)
    metals = set()
    for net in harness.metals:
        names = {a for a in net.points if harness.points[a].cavity is not None or a == CHASSIS}
        names |= {
            f"{e.name} leg"
            for a in net.points
            if (e := harness.points[a].extra) is not None and e.kind == "resistor"
        }
        metals.add(frozenset(names))
    return frozenset(m for m in metals if len(m) > 1)


def shuffled(job: Job, rng: random.Random) -> Job:
    """The same job in another order: circuits, points, new ids."""
    names = {c.id: f"circuit {n}" for n, c in enumerate(job.circuits)}
    circuits: list[Circuit] = [
        replace(c, id=names[c.id], join=tuple(rng.sample(c.join, len(c.join))))
        for c in job.circuits
    ]
    rng.shuffle(circuits)
    twists = {
        k: replace(
            t,
            circuits=tuple(names[c] for c in t.circuits),
            drain=names[t.drain] if t.drain else None,
        )
        for k, t in job.twists.items()
    }
    confirmed = tuple(replace(c, circuit=names[c.circuit]) for c in job.confirmed)
    return replace(job, circuits=tuple(circuits), twists=twists, confirmed=confirmed)
