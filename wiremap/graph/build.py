"""From the job to the graph: every circuit becomes conductors and joints, every part its edge."""

from __future__ import annotations

import difflib
from collections import defaultdict
from collections.abc import Iterator, Mapping

from wiremap.base import Place
from wiremap.graph.parts import Bond, Conductor, Joint, Misfit, Point
from wiremap.model import CHASSIS, Cavity, Circuit, End, Extra, Job, Span, Wire, split

Edge = tuple[str, str, str, Conductor | Extra | Bond | None]  # node, node, kind, part
JOINT = "~"  # first letter of a joint's node: no address begins with it


class Draft:
    """The graph while it grows; `wiremap.graph.Harness` reads the finished one."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.points: dict[str, Point] = dict(_points(job))
        self.conductors: dict[str, Conductor] = {}
        self.joints: dict[str, Joint] = {}
        self.bonds: list[Bond] = []
        self.misfits: list[Misfit] = []
        self.circuits_at: dict[str, list[str]] = defaultdict(list)
        self.edges: list[Edge] = []
        self._run_mm = _runs(job)
        for circuit in job.circuits:
            self._circuit(circuit)
        self._extras()
        self._ends()
        self._edges()

    # -- circuits ---------------------------------------------------------------------------------

    def _circuit(self, circuit: Circuit) -> None:
        present = list(self._present(circuit))
        if len(present) < 2:
            if len(set(circuit.join)) < 2:
                self.misfits.append(
                    Misfit(
                        "one-point",
                        circuit.id,
                        present[0].address if present else "",
                        circuit.place,
                    )
                )
            return
        if len(present) == 2 and circuit.wire is None and not circuit.legs:
            self._pair(circuit, present[0], present[1])
        elif len(present) == 2:
            self._wired_pair(circuit, present[0], present[1])
        else:
            self._star(circuit, present)

    def _present(self, circuit: Circuit) -> Iterator[Point]:
        seen: set[str] = set()
        for i, address in enumerate(circuit.join):
            place = circuit.join_places[i] if i < len(circuit.join_places) else circuit.place
            point = self.points.get(address)
            if point is None or address == CHASSIS:
                self.misfits.append(
                    Misfit("unknown-point", circuit.id, address, place, near=self._near(address))
                )
                continue
            if self.circuits_at[address] or address in seen:
                other = self._where(address)
                self.misfits.append(
                    Misfit(
                        "used-twice",
                        circuit.id,
                        address,
                        place,
                        other,
                        (self.circuits_at[address] or [circuit.id])[0],
                    )
                )
            if address in seen:
                continue
            seen.add(address)
            self.circuits_at[address].append(circuit.id)
            yield point

    def _where(self, address: str) -> Place | None:
        for circuit in self.job.circuits:
            for i, name in enumerate(circuit.join):
                if name == address:
                    return circuit.join_places[i] if i < len(circuit.join_places) else circuit.place
        return None

    def _near(self, address: str) -> tuple[str, ...]:
        owner, _ = split(address)
        pool = [a for a in self.points if split(a)[0] == owner] or list(self.points)
        if len(pool) > 500:
            pool = pool[:500]
        return tuple(difflib.get_close_matches(address, pool, n=3, cutoff=0.5))

    def _pair(self, circuit: Circuit, one: Point, two: Point) -> None:
        if one.brings_lead and two.brings_lead:
            self._join(circuit, circuit.id, [(p, self._tail(circuit, p, "")) for p in (one, two)])
        elif one.brings_lead or two.brings_lead:
            lead, other = (one, two) if one.brings_lead else (two, one)
            if other.is_tap:
                self._join(
                    circuit,
                    circuit.id,
                    [(lead, self._tail(circuit, lead, "")), (other, self._direct(circuit, other))],
                )
                return
            tail = self._tail(circuit, lead, "")
            self._conduct(
                Conductor(
                    tail.id,
                    circuit.id,
                    lead.address,
                    other.address,
                    tail.wire,
                    tail.length_mm,
                    tail.origin,
                    lead.address,
                )
            )
        elif one.is_tap and two.is_tap:
            self._join(circuit, circuit.id, [(p, self._direct(circuit, p)) for p in (one, two)])
        else:
            self._wire_needed(circuit, one.address, two.address)

    def _wired_pair(self, circuit: Circuit, one: Point, two: Point) -> None:
        nodes = []
        leads = [p for p in (one, two) if p.brings_lead or p.is_tap]
        new = Conductor(
            f"{circuit.id}:new",
            circuit.id,
            "",
            "",
            self._new_wire(circuit),
            self._new_length(circuit),
            "new",
        )
        for point in (one, two):
            if point not in leads:
                nodes.append(point.address)
                continue
            joint_id = circuit.id if len(leads) == 1 else f"{circuit.id}@{point.address}"
            own = self._direct(circuit, point) if point.is_tap else self._tail(circuit, point, "")
            nodes.append(self._join(circuit, joint_id, [(point, own)], extra=(new.id,)))
        self._conduct(
            Conductor(new.id, circuit.id, nodes[0], nodes[1], new.wire, new.length_mm, "new")
        )

    def _star(self, circuit: Circuit, points: list[Point]) -> None:
        members: list[tuple[Point, Conductor]] = []
        for point in points:
            leg = circuit.legs.get(point.address)
            wire = leg.wire if leg and leg.wire else circuit.wire
            length = leg.length_mm if leg and leg.length_mm is not None else circuit.length_mm
            if point.brings_lead:
                members.append((point, self._tail(circuit, point, "", leg.at_mm if leg else None)))
            elif wire is not None:
                members.append(
                    (
                        point,
                        Conductor(
                            f"{circuit.id}:{point.address}",
                            circuit.id,
                            point.address,
                            "",
                            wire,
                            length,
                            "new",
                            point.address,
                        ),
                    )
                )
            elif point.is_tap:
                members.append((point, self._direct(circuit, point)))
            else:
                self._wire_needed(circuit, point.address)
                members.append(
                    (
                        point,
                        Conductor(
                            f"{circuit.id}:{point.address}",
                            circuit.id,
                            point.address,
                            "",
                            None,
                            length,
                            "new",
                            point.address,
                        ),
                    )
                )
        self._join(circuit, circuit.id, members)

    def _new_wire(self, circuit: Circuit) -> Wire | None:
        if circuit.wire is not None:
            return circuit.wire
        return next((leg.wire for leg in circuit.legs.values() if leg.wire), None)

    def _new_length(self, circuit: Circuit) -> float | None:
        if circuit.length_mm is not None:
            return circuit.length_mm
        return next(
            (leg.length_mm for leg in circuit.legs.values() if leg.length_mm is not None), None
        )

    def _wire_needed(self, circuit: Circuit, *addresses: str) -> None:
        # the intent is clear, so the metal is kept and only the missing wire is told
        self.misfits.append(Misfit("wire-needed", circuit.id, addresses[0], circuit.place))
        if len(addresses) == 2:
            self._conduct(
                Conductor(
                    f"{circuit.id}:new",
                    circuit.id,
                    addresses[0],
                    addresses[1],
                    None,
                    circuit.length_mm,
                    "new",
                )
            )

    def _tail(
        self, circuit: Circuit, point: Point, b: str, at_mm: float | None = None
    ) -> Conductor:
        name = f"{circuit.id}:{point.address}"
        if point.extra is not None:
            return Conductor(name, circuit.id, point.address, b, None, None, "lead", point.address)
        assert point.end is not None and point.cavity is not None
        return Conductor(
            name,
            circuit.id,
            point.address,
            b,
            point.cavity.wire,
            self._tail_mm(circuit, point, at_mm),
            "tail",
            point.address,
        )

    def _tail_mm(self, circuit: Circuit, point: Point, at_mm: float | None) -> float | None:
        end = point.end
        assert end is not None
        at = at_mm if at_mm is not None else circuit.at_mm
        if at is None or circuit.wire is not None:
            return end.tail_mm
        if end.side == "machine":
            return at
        others = {
            p.end.name
            for a in circuit.join
            if (p := self.points.get(a)) and p.end and p.end.side == "machine"
        }
        run = next(
            (
                mm
                for o in sorted(others)
                if (mm := self._run_mm.get(frozenset((o, end.name)))) is not None
            ),
            None,
        )
        return end.tail_mm if run is None else run - at

    def _direct(self, circuit: Circuit, point: Point) -> Conductor:
        wire = point.cavity.wire if point.cavity else None
        return Conductor(
            f"{circuit.id}:{point.address}",
            circuit.id,
            point.address,
            "",
            wire,
            0.0,
            "direct",
            point.address,
        )

    def _join(
        self,
        circuit: Circuit,
        joint_id: str,
        members: list[tuple[Point, Conductor]],
        extra: tuple[str, ...] = (),
    ) -> str:
        node = JOINT + joint_id
        ids = []
        for point, c in members:
            self._conduct(
                Conductor(
                    c.id,
                    c.circuit,
                    point.address,
                    node,
                    c.wire,
                    c.length_mm,
                    c.origin,
                    point.address,
                )
            )
            ids.append(c.id)
        points = tuple(p.address for p, _ in members)
        leg = circuit.legs.get(points[0]) if len(points) == 1 else None
        at = leg.at_mm if leg and leg.at_mm is not None else circuit.at_mm
        self.joints[joint_id] = Joint(
            joint_id,
            circuit.id,
            node,
            circuit.joint,
            (*ids, *extra),
            points,
            at,
            circuit.supported,
            any(p.is_tap for p, _ in members),
        )
        return node

    def _conduct(self, conductor: Conductor) -> None:
        self.conductors[conductor.id] = conductor

    # -- parts ------------------------------------------------------------------------------------

    def _extras(self) -> None:
        for extra in self.job.extras.values():
            if extra.kind in ("resistor", "diode"):
                a, b = extra.legs
                ohms = (
                    Span.of(extra.ohms)
                    if extra.kind == "resistor" and extra.ohms is not None
                    else Span(0.0, float("inf"))
                )
                self.bonds.append(Bond(a, b, ohms, extra.kind, extra.name, place=extra.place))

    def _ends(self) -> None:
        for end in self.job.ends.values():
            machine = end.side == "machine"
            for link in end.pinout.behind if machine else end.pinout.inside:
                a, b = (x if x == CHASSIS else f"{end.name}.{x}" for x in (link.a, link.b))
                if a in self.points and b in self.points:
                    self.bonds.append(
                        Bond(
                            a,
                            b,
                            link.ohms,
                            "behind" if machine else "inside",
                            end=end.name,
                            when=link.when,
                            place=link.place,
                        )
                    )
            for switch in () if machine else end.pinout.switches.values():
                a, b = f"{end.name}.{switch.a}", f"{end.name}.{switch.b}"
                if a in self.points and b in self.points:
                    self.bonds.append(
                        Bond(
                            a,
                            b,
                            Span.of(switch.ohms),
                            "switch",
                            switch.name,
                            end.name,
                            state=end.switches.get(switch.name),
                            place=switch.place,
                        )
                    )

    def _edges(self) -> None:
        add = self.edges.append
        for c in self.conductors.values():
            add((c.a, c.b, "conductor", c))
        for extra in self.job.extras.values():
            if extra.kind == "fuse":
                add((*extra.legs, "fuse", extra))  # type: ignore[arg-type]
            elif extra.kind == "stud":
                add((extra.name, CHASSIS, "bolt", extra))
        for bond in self.bonds:
            add((bond.a, bond.b, bond.origin, bond))
        for a, b in _bridged(self.job):
            add((a, b, "bridge", None))


def _points(job: Job) -> Iterator[tuple[str, Point]]:
    yield CHASSIS, Point(CHASSIS, "chassis", CHASSIS)
    for end in job.ends.values():
        for name, cavity in end.pinout.cavities.items():
            address = f"{end.name}.{name}"
            yield address, Point(address, "cavity", end.name, cavity, end)
    for extra in job.extras.values():
        for address in extra.legs:
            yield (
                address,
                Point(address, "stud" if extra.kind == "stud" else "leg", extra.name, extra=extra),
            )


def _runs(job: Job) -> Mapping[frozenset[str], float]:
    return {frozenset((run.a, run.b)): run.mm for run in job.runs if run.mm is not None}


def _bridged(job: Job) -> Iterator[tuple[str, str]]:
    """Pairs of points whose signal passes a unit from one segment to another: like function to like function."""
    for end in job.ends.values():
        for one, two in end.pinout.bridges:
            left, right = _by_role(end, one), _by_role(end, two)
            if (
                not left.keys() & right.keys()
            ):  # functions unknown: the order in which the segments are written
                left, right = _by_order(end, one), _by_order(end, two)
            for role in sorted(left.keys() & right.keys()):
                yield f"{end.name}.{left[role]}", f"{end.name}.{right[role]}"


def _by_role(end: End, segment: str) -> dict[tuple[str, str], str]:
    cavities = end.pinout.cavities
    return {_role(cavities[c]): c for c in end.pinout.segments.get(segment, ()) if c in cavities}


def _by_order(end: End, segment: str) -> dict[tuple[str, str], str]:
    return {("", f"{i:04}"): c for i, c in enumerate(end.pinout.segments.get(segment, ()))}


def _role(cavity: Cavity) -> tuple[str, str]:
    polarity = next((v for k, v in cavity.reading.qualifiers if k == "polarity"), "")
    return cavity.reading.function, polarity
