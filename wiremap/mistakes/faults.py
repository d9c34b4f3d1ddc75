"""The mistakes that hands make, each as a change to what was drawn."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations

from wiremap.graph import LinkKind
from wiremap.graph.walks import graph_of, reached
from wiremap.mistakes.build import PARTED, Bench, Build, Tie
from wiremap.mistakes.face import whole_face
from wiremap.model import CHASSIS, OPEN, Span
from wiremap.model.quantities import plain

KINDS = (
    "open",
    "bridge",
    "exchange",
    "misplaced",
    "pair-crossed",
    "mirrored",
    "rotated",
    "shifted",
    "rows-swapped",
    "by-columns",
    "snake",
    "extra-missing",
    "extra-wrong",
    "load-other",
    "poor-joint",
)

HALVES = ({"can-high", "can-low"}, {"j1850-plus", "j1850-minus"})  # the two wires of a bus pair


@dataclass(frozen=True, slots=True)
class Fault:
    """One mistake: its kind, whom it concerns, and what it does to the build.

    `act` is the change in the builder's terms: ("part", points), ("swap", p, q), ("move", p, into), ("face", pairs),
    ("touch", i, j), ("lose", name), ("scale", name, by), ("turn", name), ("value", (a, b), ohms), ("off", (a, b)),
    ("thin", points, to, ohms).
    """

    kind: str
    subject: tuple[str, ...]
    act: tuple[object, ...]

    def on(self, build: Build) -> Build:
        """The build with this mistake made in it, after all that was done to it before."""
        verb, args = self.act[0], self.act[1:]
        seats, joints, merged, ties = build.seats, build.joints, build.merged, build.ties
        if verb in ("part", "thin"):
            points: tuple[str, ...] = args[0]  # type: ignore[assignment]
            fresh = PARTED + build.bench.rank[points[0]]
            while fresh in joints.values():
                fresh += 10 * PARTED
            joints = {**joints, **dict.fromkeys(build.bench.with_bolted(points), fresh)}
            if verb == "thin":
                ties = (
                    *ties,
                    Tie(points[0], str(args[1]), Span.of(float(str(args[2]))), poor=True),
                )
        elif verb == "move":
            joints = {
                **joints,
                **dict.fromkeys(build.bench.with_bolted((str(args[0]),)), int(str(args[1]))),
            }
        elif verb == "swap":
            p, q = str(args[0]), str(args[1])
            seats = {**seats, p: build.wire(q), q: build.wire(p)}
        elif verb == "face":
            pairs: tuple[tuple[str, str | None], ...] = args[0]  # type: ignore[assignment]
            seats = {**seats, **{p: build.wire(q) if q else None for p, q in pairs}}
        elif verb == "touch":
            i, j = (merged.get(n, n) for n in args)  # type: ignore[call-overload]
            if i != j:
                low, high = min(i, j), max(i, j)
                merged = {**{n: low if to == high else to for n, to in merged.items()}, high: low}
        else:
            ties = tuple(t for old in ties if (t := _tie(old, str(verb), args)) is not None)
        return Build(build.bench, seats, joints, merged, ties)

    def touches(self, bench: Bench) -> tuple[str, ...]:
        """The points whose readings it may change (of a touching pair: all points of both nets)."""
        verb, args = self.act[0], self.act[1:]
        if verb in ("part", "thin"):
            return tuple(args[0])  # type: ignore[arg-type]
        if verb == "move":
            return (str(args[0]),)
        if verb == "swap":
            return (str(args[0]), str(args[1]))
        if verb == "face":
            return tuple(p for p, q in args[0] if p != q)  # type: ignore[attr-defined]
        if verb == "touch":
            return tuple(a for n in args for a in bench.members.get(n, ()))  # type: ignore[call-overload]
        if verb in ("value", "off"):
            return tuple(args[0])  # type: ignore[arg-type]
        return tuple(x for t in bench.ties if t.name == args[0] for x in (t.a, t.b))

    def nets(self, bench: Bench) -> set[int]:
        """The nets as drawn that it concerns: those of its points, and the one that a wire was laid into."""
        if self.act[0] == "touch":
            return {int(str(n)) for n in self.act[1:]}
        found = {bench.group[a] for a in self.touches(bench)}
        return found | {int(str(self.act[2]))} if self.act[0] == "move" else found


def _tie(tie: Tie, verb: str, args: tuple[object, ...]) -> Tie | None:
    if verb == "value":
        return replace(tie, ohms=Span.of(float(str(args[1])))) if (tie.a, tie.b) == args[0] else tie
    if verb == "off":
        return None if (tie.a, tie.b) == args[0] else tie
    if tie.name != args[0]:
        return tie
    if verb == "lose":
        return None
    if verb == "turn":
        return replace(tie, a=tie.b, b=tie.a)
    by = float(args[1])  # type: ignore[arg-type]
    return replace(tie, ohms=Span(tie.ohms.low * by, tie.ohms.high * by))


def made(bench: Bench, faults: tuple[Fault, ...]) -> Build:
    """The harness with all these mistakes in it, made one after another."""
    build = bench.drawn
    for fault in faults:
        build = fault.on(build)
    return build


# -- every modelled mistake -----------------------------------------------------------------------


def every(bench: Bench) -> Iterator[Fault]:
    """Every single mistake that is modelled, kind by kind; none that leaves the metal as drawn."""
    for end in bench.harness.job.ends:
        yield from faces(bench, end)
    for net in sorted({bench.group[a] for a in bench.points}):
        yield from opens(bench, net)
    yield from swaps(bench)
    nets = sorted({bench.group[a] for a in bench.points})
    yield from (touch(bench, i, j) for i, j in combinations(nets, 2))
    for a in bench.points:
        for j in nets:
            if (
                bench.names[j]
                and j != bench.group[a]
                and len(_drawn(bench, bench.group[a])) > 1
                and len(_drawn(bench, j)) > 1
            ):
                yield misjoined(bench, a, j)
    yield from extras(bench)


def _drawn(bench: Bench, net: int) -> tuple[str, ...]:
    return bench.drawn_members[net]


def opens(bench: Bench, net: int) -> Iterator[Fault]:
    """One conductor of a net interrupted: each way of parting its points once.  What is bolted to the chassis stays with it."""
    points = bench.drawn_members.get(net, ())
    if len(points) < 2:
        return
    harness = bench.harness
    ids = dict.fromkeys(c for a in points for c in harness.circuits_at(a))
    wires = [(c.a, c.b) for i in ids for c in harness.conductors_by_circuit.get(i, ())]
    bolts = [
        (u, v) for u, v in harness.links(LinkKind.BOLT) if bench.group[u] == bench.group[v] == net
    ]
    subject = harness.circuits_at(points[0])[:1] or (bench.names[net],)
    seen: set[frozenset[frozenset[str]]] = set()
    for k, (a, _) in enumerate(wires):
        side = reached(graph_of([*wires[:k], *wires[k + 1 :], *bolts]), a)
        one = tuple(p for p in points if p in side)
        other = tuple(p for p in points if p not in side)
        if not one or not other:
            continue
        bolted = other if bolts and CHASSIS not in side else one if bolts else ()
        lost = min(
            (g for g in (one, other) if g != bolted), key=lambda g: (len(g), -bench.rank[g[0]])
        )
        if (way := frozenset((frozenset(one), frozenset(other)))) not in seen:
            seen.add(way)
            yield Fault("open", subject if len(points) == 2 else (*subject, *lost), ("part", lost))


def swaps(bench: Bench) -> Iterator[Fault]:
    """Two contacts of one end exchanged."""
    by_end: dict[str, list[str]] = {}
    for a in bench.points:
        if bench.harness.points[a].end is not None:
            by_end.setdefault(bench.harness.points[a].owner, []).append(a)
    for points in by_end.values():
        for p, q in combinations(points, 2):
            if (fault := swap(bench, p, q)) is not None:
                yield fault


def swap(bench: Bench, p: str, q: str) -> Fault | None:
    """Two contacts exchanged, named by what they carry; None if the metal stays as drawn."""
    i, j = bench.group[p], bench.group[q]
    alone = (len(bench.drawn_members[i]) < 2, len(bench.drawn_members[j]) < 2)
    if i == j or all(alone):
        return None
    if any(alone):
        return Fault("misplaced", (q, p) if alone[0] else (p, q), ("swap", p, q))
    one, two = bench.harness.points[p].cavity, bench.harness.points[q].cavity
    assert one is not None and two is not None
    halves = {one.function, two.function} in HALVES
    kind = "pair-crossed" if halves and one.pair == two.pair else "exchange"
    return Fault(kind, (p, q), ("swap", p, q))


def exchanged(bench: Bench, p: str, q: str) -> Fault:
    """Two contacts exchanged whatever the drawing joins them to, for builds in which other wires sit in them."""
    return Fault("exchange", (p, q), ("swap", p, q))


def parted(bench: Bench, wires: tuple[str, ...]) -> Fault:
    """The wires of these contacts off their joint."""
    subject = bench.harness.circuits_at(wires[0])[:1] or (bench.names[bench.group[wires[0]]],)
    return Fault("open", (*subject, *wires), ("part", wires))


def touch(bench: Bench, i: int, j: int) -> Fault:
    """Two nets that touch; of what a mistake parted, its first contact stands for the net."""
    names = (bench.names[n] if n < PARTED else list(bench.rank)[n % PARTED] for n in (i, j))
    return Fault("bridge", tuple(sorted(names)), ("touch", min(i, j), max(i, j)))


def misjoined(bench: Bench, point: str, net: int) -> Fault:
    """One contact's wire joined into another circuit."""
    return Fault("misplaced", (point, bench.names[net]), ("move", point, net))


def faces(bench: Bench, end: str) -> Iterator[Fault]:
    """The whole face of an end read wrongly, each way that changes the metal."""
    face = bench.harness.job.ends[end].pinout.connector.face
    if face is None:
        return
    known = set(bench.points)
    for kind, places in whole_face(face).items():
        pairs = tuple(
            (f"{end}.{p}", f"{end}.{q}" if q else None)
            for p, q in places.items()
            if f"{end}.{p}" in known
        )
        if any(q not in known for _, q in pairs if q):
            continue
        fault = Fault(
            kind.rstrip("+-1"),
            (end, kind[7:]) if kind.startswith("shifted") else (end,),
            ("face", pairs),
        )
        if fault.on(bench.drawn).signature():
            yield fault


def extras(bench: Bench) -> Iterator[Fault]:
    """A resistor or diode left out, of a wrong value, or the wrong way round."""
    for extra in bench.harness.job.extras.values():
        if extra.kind == "resistor" and any(t.name == extra.name for t in bench.ties):
            yield Fault("extra-missing", (extra.name,), ("lose", extra.name))
            for by in (0.5, 2.0):
                yield Fault("extra-wrong", (extra.name,), ("scale", extra.name, by))
        elif extra.kind == "diode":
            yield Fault("extra-missing", (extra.name,), ("lose", extra.name))
            yield Fault("extra-wrong", (extra.name,), ("turn", extra.name))


def poor(bench: Bench, net: int, ohms: float) -> Iterator[Fault]:
    """A joint or a conductor of a net with ohms of its own: each way of parting its points once."""
    for fault in opens(bench, net):
        lost: tuple[str, ...] = fault.act[1]  # type: ignore[assignment]
        kept = [a for a in bench.drawn_members[net] if a not in lost]
        between = sorted((lost, tuple(kept)), key=lambda side: bench.rank[side[0]])
        subject = (
            fault.subject[0],
            *(", ".join(side) for side in between),
            f"about {plain(ohms)} ohm",
        )
        yield Fault("poor-joint", subject, ("thin", lost, kept[0], ohms))


def values(build: Build, red: str, black: str, ohms: float) -> Iterator[Fault]:
    """A resistor, or what sits behind the machine's loom, of the value that was read straight across it; open too."""
    nets = {build.net(red), build.net(black)}
    for tie in build.ties:
        if (
            not tie.diode
            and (tie.name or tie.outside)
            and {build.net(tie.a), build.net(tie.b)} == nets
        ):
            if math.isinf(ohms):
                if tie.outside:
                    yield Fault(
                        "load-other",
                        (tie.a, tie.b, f"open{_terminators(build.bench, tie, ohms)}"),
                        ("off", (tie.a, tie.b)),
                    )
                continue
            rest = Build(
                build.bench,
                build.seats,
                build.joints,
                build.merged,
                tuple(t for t in build.ties if t is not tie),
            )
            usual = (
                (0.5, 1.0, 2.0) if tie.name else (1.0,)
            )  # half and twice a part's value are supposed anyway
            if rest.ohms((red,), (black,)) == OPEN and not any(
                tie.ohms.low * by <= ohms <= tie.ohms.high * by for by in usual
            ):
                about = f"about {plain(ohms)} ohm{_terminators(build.bench, tie, ohms)}"
                kind, subject = (
                    ("extra-wrong", (tie.name, about))
                    if tie.name
                    else ("load-other", (tie.a, tie.b, about))
                )
                yield Fault(kind, subject, ("value", (tie.a, tie.b), ohms))


def _terminators(bench: Bench, tie: Tie, ohms: float) -> str:
    """What half of what was drawn across a bus pair means, and what nothing there."""
    known = {p.function for x in (tie.a, tie.b) if (p := bench.harness.points.get(x)) is not None}
    if math.isinf(ohms):
        return (
            ": no terminator there, or a wire of the pair broken"
            if known in HALVES
            else ": nothing there, or a wire to it broken"
        )
    half = tie.ohms.low / 2 <= ohms <= tie.ohms.high / 2
    return ": one terminator too many in this half" if half and known in HALVES else ""
