"""A bench of copper: builds an adapter from a job as hands would, with mistakes, and answers probes like a meter.

Written apart from the planner: it knows wires, contacts, hubs and ohms, nothing of nets, plans or graphs of the program.
Ohms come from `networkx.resistance_distance`.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from itertools import combinations

import networkx as nx

from wiremap.model import (
    Accepts,
    Cavity,
    Circuit,
    Connector,
    End,
    EndKind,
    Entry,
    EntryKind,
    Extra,
    ExtraKind,
    Face,
    Job,
    Link,
    LookedAt,
    Pinout,
    Span,
    State,
    Wire,
    frozen,
)
from wiremap.naming import Meaning

BEEPS_BELOW = 35.0


class Copper:
    """An adapter on the bench, or spliced to its machine, whose loads lie at a share of their range.

    `legs`: hub and terminal of each wire; `holes`: which cavity each terminal sits in.
    """

    def __init__(self, job: Job, machine: bool = False, share: float = 0.5) -> None:
        self.job = job
        self.legs: list[tuple[str, str]] = [(c.id, p) for c in job.circuits for p in c.join]
        self.holes: dict[str, str] = {p: p for _, p in self.legs}
        self.touches: list[tuple[str, str]] = []
        self._known: dict[str, tuple[object, dict[str, str]]] = {}
        self.resistors: dict[str, tuple[str, str, float]] = {}
        self.fuses: dict[str, tuple[str, str]] = {}
        self.diodes: dict[str, tuple[str, str]] = {}
        for x in job.extras.values():
            if x.kind == "resistor" and x.ohms is not None:
                self.resistors[x.name] = (f"{x.name}.a", f"{x.name}.b", x.ohms)
            elif x.kind == "fuse":
                self.fuses[x.name] = (f"{x.name}.a", f"{x.name}.b")
            elif x.kind == "diode":
                self.diodes[x.name] = (f"{x.name}.a", f"{x.name}.k")
        self.loads: list[tuple[str, str, float]] = []
        if machine:
            for end in job.ends.values():
                if end.side == "machine":
                    for link in end.pinout.behind:
                        if link.when is None and not math.isinf(link.ohms.low):
                            high = (
                                link.ohms.low * 2 if math.isinf(link.ohms.high) else link.ohms.high
                            )
                            a, b = (
                                x if x == "chassis" else f"{end.name}.{x}" for x in (link.a, link.b)
                            )
                            self.loads.append(
                                (a, b, max(link.ohms.low + share * (high - link.ohms.low), 0.01))
                            )
            self.loads += [
                (x.name, "chassis", 1e-3) for x in job.extras.values() if x.kind == "stud"
            ]

    # -- mistakes ---------------------------------------------------------------------------------

    def cut(self, point: str) -> None:
        """The leg of one contact breaks at its joint."""
        self.legs = [(hub, p) for hub, p in self.legs if p != point]

    def exchange(self, a: str, b: str) -> None:
        """What should end in two holes ends crosswise."""
        swap = {a: b, b: a}
        self.holes = {p: swap.get(hole, hole) for p, hole in self.holes.items()}

    def rejoin(self, point: str, circuit: str) -> None:
        """A wire is laid into another joint."""
        self.legs = [(circuit if p == point else hub, p) for hub, p in self.legs]

    def touch(self, a: str, b: str) -> None:
        """Two joints touch: the wires that should end in these holes."""
        hub = {p: h for h, p in self.legs}
        self.touches.append((hub.get(a, "@" + a), hub.get(b, "@" + b)))

    def double(self, resistor: str) -> None:
        """A resistor of twice the value is put in."""
        a, b, ohms = self.resistors[resistor]
        self.resistors[resistor] = (a, b, 2 * ohms)

    def turn(self, diode: str) -> None:
        """A diode is put in the other way round."""
        a, k = self.diodes[diode]
        self.diodes[diode] = (k, a)

    def misread(self, end: str, how: str) -> None:
        """The whole face of an end is read wrongly."""
        face = self.job.ends[end].pinout.connector.face
        assert face is not None
        rows = [list(r) for r in face.padded()]
        flat = [n for r in rows for n in r if n is not None]
        if how == "mirrored":
            new = [n for r in rows for n in reversed(r) if n is not None]
        elif how == "rotated":
            new = [n for r in reversed(rows) for n in reversed(r) if n is not None]
        elif how == "rows-swapped":
            new = [n for r in reversed(rows) for n in r if n is not None]
        elif how == "snake":
            new = [
                n
                for i, r in enumerate(rows)
                for n in (reversed(r) if i % 2 else r)
                if n is not None
            ]
        elif how == "shifted+1":
            new = [*flat[1:], None]
        elif how == "shifted-1":
            new = [None, *flat[:-1]]
        else:
            new = [
                rows[r][c]
                for c in range(len(rows[0]))
                for r in range(len(rows))
                if rows[r][c] is not None
            ]
        # the wire meant for flat[k] goes into the hole where the reader believes flat[k] to be
        where = {
            f"{end}.{name}": (f"{end}.{hole}" if hole is not None else "")
            for name, hole in zip(flat, new, strict=True)
        }
        self.holes = {p: where.get(hole, hole) for p, hole in self.holes.items()}

    # -- the meter --------------------------------------------------------------------------------

    def _graph(self, fuse: str) -> nx.Graph:
        g = nx.Graph()
        for a, b in self._copper(fuse):
            g.add_edge(a, b)
        return g

    def _copper(self, fuse: str) -> Iterable[tuple[str, str]]:
        yield from ((f"hub {hub}", "@" + self.holes[p]) for hub, p in self.legs if self.holes[p])
        for a, b in self.touches:
            yield tuple(x if x.startswith("@") else f"hub {x}" for x in (a, b))  # type: ignore[misc]
        if fuse:
            a, b = self.fuses[fuse]
            yield "@" + a, "@" + b

    def _parts(self, fuse: str) -> dict[str, str]:
        """For each thing that is one metal with others, the name that stands for all of it; kept while nothing changes."""
        state = (tuple(self.legs), tuple(self.holes.items()), tuple(self.touches), fuse)
        if self._known.get(fuse, (None,))[0] != state:
            parts = nx.connected_components(self._graph(fuse))
            self._known[fuse] = (
                state,
                {n: name for part in parts for name in (min(part),) for n in part},
            )
        return self._known[fuse][1]

    def true_ohms(
        self, red: Iterable[str], black: Iterable[str], fuse: str = "", parted: str = ""
    ) -> float:
        """What stands between two combs of points; of a circuit that is parted, what hangs on its wires of the loom is off."""
        off = {p for c in self.job.circuits if c.id == parted for p in c.join if p != "chassis"}
        name = self._parts(fuse)
        side = {name.get("@" + p, "@" + p): "RED" for p in red}
        blacks = {name.get("@" + p, "@" + p) for p in black}
        if not blacks.isdisjoint(side):
            return 0.0
        side |= dict.fromkeys(blacks, "BLACK")
        net = nx.MultiGraph()
        net.add_nodes_from(("RED", "BLACK"))
        for a, b, ohms in [
            *self.resistors.values(),
            *(x for x in self.loads if off.isdisjoint(x[:2])),
        ]:
            u, v = (side.get(m, m) for x in (a, b) for m in (name.get("@" + x, "@" + x),))
            if u != v:
                net.add_edge(u, v, ohms=ohms)
        part = nx.node_connected_component(net, "RED")
        if "BLACK" not in part:
            return math.inf
        return float(
            nx.resistance_distance(
                net.subgraph(part), "RED", "BLACK", weight="ohms", invert_weight=True
            )
        )

    def metal(self) -> frozenset[frozenset[str]]:
        """The contacts that are one metal, fuses out; and the parts that are there."""
        g = self._graph("")
        parts = {
            frozenset(n[1:] for n in part if n.startswith("@"))
            for part in nx.connected_components(g)
        }
        named = {p for part in parts for p in part}
        holes = {f"{e.name}.{c}" for e in self.job.ends.values() for c in e.pinout.cavities} | set(
            self.holes
        )
        return frozenset(p for p in parts | {frozenset((h,)) for h in holes - named} if p)

    def answer(self, probe: object) -> Entry:
        """The entry that an honest hand would write for a probe."""
        red, black, expect = tuple(probe.red), tuple(probe.black), getattr(probe, "expect", "beep")  # type: ignore[attr-defined]
        state = getattr(probe, "state", State())
        fuse, parted = state.fuse, state.parted
        ohms = self.true_ohms(red, black, fuse, parted)
        noted = f"{fuse} in" if fuse else f"{parted} lifted" if parted else None
        if expect == "diode" or getattr(probe, "diode_range", False):
            return Entry(
                kind=EntryKind.PROBE,
                by="T",
                red=red,
                black=black,
                seen=self._diode(red, black, ohms),
                state=noted or "diode range",
            )
        if expect == "ohms":
            return Entry(
                kind=EntryKind.PROBE,
                by="T",
                red=red,
                black=black,
                ohms=Span.of(round(ohms, 2) if math.isfinite(ohms) else ohms),
                state=noted,
            )
        return Entry(
            kind=EntryKind.PROBE,
            by="T",
            red=red,
            black=black,
            seen="beep" if ohms < BEEPS_BELOW else "silent",
            state=noted,
        )

    def _diode(self, red: tuple[str, ...], black: tuple[str, ...], ohms: float) -> str:
        if ohms < BEEPS_BELOW:
            return "beep"
        g = self._graph("")
        g.add_nodes_from(
            "@" + p for p in (*red, *black, *(x for d in self.diodes.values() for x in d))
        )
        for a, k in self.diodes.values():
            if any(nx.has_path(g, "@" + a, "@" + r) for r in red) and any(
                nx.has_path(g, "@" + k, "@" + b) for b in black
            ):
                return "diode"
        return "silent"


# -- random adapters ------------------------------------------------------------------------------

KINDS = (
    "permanent-supply",
    "power-ground",
    "sensor-supply",
    "sensor-return",
    "analogue-input",
    "pulse-input",
    "high-side-drive",
    "low-side-drive",
    "digital-input",
    "wake",
    "lin",
)


def random_job(seed: int, most: int = 60) -> Job:
    """An invented adapter of two faces with up to `most` cavities in all, merges, a resistor, a fuse, a stud."""
    rnd = random.Random(seed)
    left = rnd.randint(3, most // 2)
    right = rnd.randint(3, most - left)
    ends = {"old": _end(rnd, "old", left, "machine"), "new": _end(rnd, "new", right, "unit")}
    free = {n: [f"{n}.{c}" for c in e.pinout.cavities] for n, e in ends.items()}
    for points in free.values():
        rnd.shuffle(points)
    circuits, extras = [], {}
    while free["old"] and free["new"] and rnd.random() < 0.93:
        join = [free["old"].pop(), free["new"].pop()]
        if rnd.random() < 0.2 and free["new"]:
            join.append(free["new"].pop())
        circuits.append(join)
    if len(circuits) > 3 and rnd.random() < 0.6:
        extras["R1"] = Extra(
            name="R1", kind=ExtraKind.RESISTOR, ohms=rnd.choice([60.0, 120.0, 1000.0])
        )
        circuits[0].append("R1.a")
        circuits[1].append("R1.b")
    if len(circuits) > 3 and rnd.random() < 0.4:
        extras["D1"] = Extra(name="D1", kind=ExtraKind.DIODE, amps=3)
        circuits[2].append("D1.a")
        circuits[3].append("D1.k")
    if free["new"] and free["old"] and rnd.random() < 0.5:
        extras["F1"] = Extra(name="F1", kind=ExtraKind.FUSE, detail="blade", amps=2)
        circuits += [[free["old"].pop(), "F1.a"], ["F1.b", free["new"].pop()]]
    if free["new"] and rnd.random() < 0.5:
        extras["G1"] = Extra(name="G1", kind=ExtraKind.STUD, detail="M6")
        circuits.append([free["new"].pop(), "G1"])
    made = tuple(Circuit(id=f"c{i}", join=tuple(join)) for i, join in enumerate(circuits))
    return Job(
        title=f"random {seed}",
        path=f"random{seed}.yaml",
        ends=frozen(ends),
        circuits=made,
        extras=frozen(extras),
    )


LOADS = (
    (0.0, 0.5),
    (7.5, 7.5),
    (2.0, 50.0),
)  # what hangs between a wire of the loom and the chassis: ground, coil, lamp
ACROSS = ((120.0, 120.0), (0.3, 0.3), (4700.0, 4700.0), (500.0, 4200.0), (10_000.0, math.inf))


def spliced_job(seed: int, most: int = 60) -> Job:
    """The same with its old end cut from a machine: invented loads from its wires to the chassis and to one another."""
    job, rnd = random_job(seed, most), random.Random(7000 + seed)
    old = job.ends["old"]
    free = list(old.pinout.cavities)
    rnd.shuffle(free)
    behind = []
    while len(free) > 1 and rnd.random() < 0.9:
        a, across = free.pop(), rnd.random() < 0.5
        b = free.pop() if across else "chassis"
        behind.append(Link(a=a, b=b, ohms=Span(*rnd.choice(ACROSS if across else LOADS))))
    cut = replace(old, kind="cut-tail", pinout=replace(old.pinout, behind=tuple(behind)))
    return replace(job, ends=frozen({**job.ends, "old": cut}))


def _end(rnd: random.Random, name: str, count: int, side: str) -> End:
    wide = rnd.choice([count, math.ceil(count / 2), math.ceil(count / 3)])
    names = [str(i) for i in range(1, count + 1)]
    rows = tuple(tuple(names[i : i + wide]) for i in range(0, count, wide))
    cavities = {
        n: Cavity(
            name=n, reading=Meaning(rnd.choice(KINDS)), accepts=Accepts(), wire=Wire("0.5 RD", 0.5)
        )
        for n in names
    }
    pinout = Pinout(
        title=name,
        path=f"{name}.yaml",
        cavities=frozen(cavities),
        connector=Connector(face=Face(LookedAt.MATING, rows)),
    )
    return End(name=name, pinout=pinout, kind=EndKind.PIGTAIL, side=side)


Wrong = tuple[str, Callable[[Copper], object]]  # what was done, and how to do it to a `Copper`
MISREADINGS = (
    "mirrored",
    "rotated",
    "rows-swapped",
    "by-columns",
    "snake",
    "shifted+1",
    "shifted-1",
)


LIKE = {
    "open": "open",
    "bridge": "touch",
    "exchange": "exchange",
    "pair-crossed": "exchange",
    "misplaced": "rejoin",
    "mirrored": "mirrored",
    "rotated": "rotated",
    "shifted": "shifted+1",
    "rows-swapped": "rows-swapped",
    "by-columns": "by-columns",
    "snake": "snake",
    "extra-missing": "lose",
    "extra-wrong": "double",
}  # by the engine's word for a kind of mistake, how the copper calls its like


def wrongs(job: Job, rnd: random.Random) -> list[Wrong]:
    """Every single mistake, in an order of the seed."""
    every = [
        *opened(job),
        *exchanged(job),
        *touched(job),
        *rejoined(job),
        *parts_lost_or_turned(job),
        *faces_misread(job),
    ]
    rnd.shuffle(every)
    return every


def joined(job: Job) -> dict[str, str]:
    """The circuit of every point that is joined."""
    return {point: circuit.id for circuit in job.circuits for point in circuit.join}


def contacts(end: End) -> list[str]:
    return [f"{end.name}.{name}" for name in end.pinout.cavities]


def opened(job: Job) -> Iterator[Wrong]:
    for circuit in job.circuits:
        for point in circuit.join:
            yield f"open {point}", lambda copper, p=point: copper.cut(p)


def exchanged(job: Job) -> Iterator[Wrong]:
    """Two contacts of one end, of which one at least is joined, and not both to one circuit."""
    hub = joined(job)
    for end in job.ends.values():
        holes = [hole for hole in contacts(end) if end.kind != "tap" or hole in hub]
        for a, b in combinations(holes, 2):
            if hub.get(a) != hub.get(b):
                yield f"exchange {a} {b}", lambda copper, a=a, b=b: copper.exchange(a, b)


def touched(job: Job) -> Iterator[Wrong]:
    """Two circuits, or a circuit and a free contact, or two free contacts."""
    hub = joined(job)
    free = [
        hole
        for end in job.ends.values()
        if end.kind != "tap"
        for hole in contacts(end)
        if hole not in hub
    ]
    for a, b in combinations([circuit.join[0] for circuit in job.circuits] + free, 2):
        yield f"touch {a} {b}", lambda copper, a=a, b=b: copper.touch(a, b)


def rejoined(job: Job) -> Iterator[Wrong]:
    """A wire crimped into another circuit."""
    hub = joined(job)
    for point in (point for circuit in job.circuits for point in circuit.join):
        for other in job.circuits:
            if other.id != hub[point]:
                yield (
                    f"rejoin {point} {other.id}",
                    lambda copper, p=point, c=other.id: copper.rejoin(p, c),
                )


def parts_lost_or_turned(job: Job) -> Iterator[Wrong]:
    """Resistors left out or of twice the value, diodes left out or turned."""
    for name, extra in job.extras.items():
        if extra.kind == "resistor":
            yield f"lose {name}", lambda copper, n=name: copper.resistors.pop(n)
            yield f"double {name}", lambda copper, n=name: copper.double(n)
        if extra.kind == "diode":
            yield f"lose {name}", lambda copper, n=name: copper.diodes.pop(n)
            yield f"turn {name}", lambda copper, n=name: copper.turn(n)


def faces_misread(job: Job) -> Iterator[Wrong]:
    for end in job.ends.values():
        if end.pinout.connector.face is not None and end.kind != "tap":
            for how in MISREADINGS:
                yield (
                    f"{how} {end.name}",
                    lambda copper, e=end.name, how=how: copper.misread(e, how),
                )
