"""Where a job's current comes from: every fed contact, every fuse, and the wires and contacts behind each."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import replace

from wiremap.graph import Conductor, Harness, Net, Point
from wiremap.model import Extra, Fed, Leaflet
from wiremap.sizing.ampacity import ampacity_amps, bundle_factor
from wiremap.sizing.conductor import cable
from wiremap.sizing.feed_parts import Drop, Feed, FuseSize, Judged
from wiremap.sizing.fuse import (
    Circuit,
    Fault,
    check_circuit,
    far_end_amps,
    high_faults,
    largest,
    low_faults,
    ratings,
    selective,
    size_fuse,
    supply_range,
    upstream_sentence,
)
from wiremap.sizing.load import Loads, Missing, electrical_class, is_machine, load_amps, peak_amps
from wiremap.sizing.paths import Stretch, Ways
from wiremap.sizing.sized import OutOfRange, Sized, Value, source_title, weakest

__all__ = ["STUB_MM", "Drop", "Feed", "FuseSize", "Judged", "Sources"]

STUB_MM = 180.0  # a marine rule of thumb, 7 in, used for want of a road-vehicle one


class Sources:
    """Works out feeds and fuses of one job."""

    def __init__(self, harness: Harness, loads: Loads, ways: Ways) -> None:
        self.harness, self.loads, self.ways = harness, loads, ways
        self.missing: list[Missing] = []
        supply = harness.job.supply
        self.volts = supply.volts
        self.low, self.high = (
            supply_range(supply.volts, supply.min_volts, supply.max_volts)
            if supply.volts
            else (supply.min_volts or 9.0, supply.max_volts or 16.0)
        )
        self.bundle = harness.job.surroundings.bundle or 1

    # -- feeds ------------------------------------------------------------------------------------

    def fed_points(self) -> Iterator[Point]:
        """Every joined machine-side contact that supplies the job."""
        for point in self.harness.points.values():
            if (
                is_machine(point)
                and self.harness.circuits_at(point.address)
                and point.end is not None
            ):
                named = point.cavity is not None and point.cavity.name in point.end.fed
                if named or electrical_class(point.function) == "supply":
                    yield point

    def feed(self, point: Point) -> Feed:
        """The feed at one contact, its upstream fuse judged against everything before the next fuse."""
        assert point.end is not None and point.cavity is not None
        fed = point.end.fed.get(point.cavity.name)
        metal, section = (
            self.harness.bench.of(point.address),
            self.harness.sections.of(point.address),
        )
        load = self.loads.net_amps(metal)
        rating = (fed.fuse_amps if fed.fuse_amps is not None else fed.found_amps) if fed else None
        stub = self._is_stub(section)
        judged: tuple[Judged, ...] = ()
        sized, sentence, found = None, "", ""
        if not stub:
            cases = tuple(
                self._cases(point, section, fed or Fed(cavity=point.cavity.name), None, load)
            )
            judged = tuple(self._judged(c, rating) for c in cases)
            worst = self._worst(judged, rating)
            if worst is not None and rating is not None:
                sentence = upstream_sentence(rating, worst.case)
            if fed and fed.found_amps is not None and fed.found_amps != rating:
                before = self._worst(judged, fed.found_amps, again=True)
                found = upstream_sentence(fed.found_amps, before.case) if before is not None else ""
            sized = self._sized([c for _, _, c in cases], None, load)
        drops = tuple(self._drops(point, fed, metal)) if fed else ()
        stub_mm, known = self._stub(section)
        if stub and not known:
            self.missing.append(
                Missing(
                    point.address,
                    "the length of the wire to its own fuse is not stated",
                    "whether that fuse sits close enough to the source",
                    point.place,
                )
            )
        return Feed(
            point.address,
            fed,
            metal.circuits,
            load,
            rating,
            judged,
            sentence,
            found,
            stub_mm if stub else None,
            known,
            sized,
            drops,
            self._low(rating, load, peak_amps(self.harness.points[a] for a in metal.points))
            if fed
            else (),
            fed.place if fed else point.place,
        )

    def _is_stub(self, section: Net) -> bool:
        """Whether a section holds nothing but machine-side contacts and fuse legs: a stub on its way to a fuse."""
        points = [self.harness.points[a] for a in section.points]
        legs = [p for p in points if p.extra is not None and p.extra.kind == "fuse"]
        return bool(legs) and all(p in legs or is_machine(p) for p in points)

    def _stub(self, section: Net) -> tuple[float, bool]:
        lengths = [c.length_mm for c in self._conductors(section) if c.origin == "new"]
        return sum(x for x in lengths if x is not None), None not in lengths

    def _conductors(self, section: Net) -> Iterator[Conductor]:
        for circuit in section.circuits:
            yield from self.harness.conductors_by_circuit.get(circuit, ())

    # -- what lies behind a fuse ------------------------------------------------------------------

    def _cases(
        self, source: Point, section: Net, fed: Fed, fuse: Extra | None, load: float | None
    ) -> Iterator[tuple[str, str, Circuit]]:
        """One case for every conductor in a section: its own size and contact, the way to it and back."""
        before = self._before(source, fed, fuse, load or 0.0)
        for conductor in self._conductors(section):
            wire = self.loads.cables.get(conductor.id)
            if wire is None or wire.outside_mm is None or conductor.origin in ("direct", "lead"):
                continue
            own = self.loads.amps.get(conductor.id)
            far = self._far_point(conductor, section, source)
            loop = self._loop(source, far, fed, fuse, load or own or 0.0)
            subject = conductor.point or conductor.circuit
            contact = self._contact_amps(conductor)
            points = [self.harness.points[a] for a in section.points]
            yield (
                subject,
                conductor.circuit,
                Circuit(
                    wire,
                    own if own is not None else load,
                    before,
                    loop,
                    self.low,
                    self.high,
                    self.ways.ambient_C,
                    self.ways.limit_C,
                    self.bundle,
                    contact,
                    peak_amps(points),
                ),
            )

    def _contact_amps(self, conductor: Conductor) -> float | None:
        found = []
        for address in (conductor.point, conductor.a, conductor.b):
            point = self.harness.points.get(address or "")
            if (
                point is None
                or point.cavity is None
                or point.end is None
                or point.end.kind in ("cut-tail", "tap")
            ):
                continue  # a cut-off contact and a tapped one carry nothing of it
            if point.cavity.accepts.amps is not None:
                found.append(point.cavity.accepts.amps)
        return min(found, default=None)

    def _far_point(self, conductor: Conductor, section: Net, source: Point) -> str:
        own = [
            n
            for n in (conductor.point, conductor.a, conductor.b)
            if n is not None and n in self.harness.points and n != source.address
        ]
        others = [a for a in section.points if not is_machine(self.harness.points[a])]
        return (own or others or [source.address])[0]

    def _before(self, source: Point, fed: Fed, fuse: Extra | None, amps: float) -> float | None:
        """Resistance before the fuse with the copper cold; None when the source's is not stated."""
        if fed.milliohm is None:
            return None
        ohms = fed.milliohm / 1000
        if fuse is None:
            return ohms
        with suppress(OutOfRange):
            ohms += sum(s.ohms_20C for s in self.ways.upstream(source, fed, amps))
        return ohms

    def _loop(
        self, source: Point, far: str, fed: Fed, fuse: Extra | None, amps: float
    ) -> float | None:
        """Resistance from the fuse to a short at the far end and back, copper hot; None when a part is not known."""
        try:
            out = [] if fed.length_mm is None else list(self.ways.upstream(source, fed, amps))
            skip = source.address if fed.length_mm is not None else ""
            out += (
                self.ways.along(source.address, far, amps, skip_tail_of=skip)
                if far != source.address
                else []
            )
        except OutOfRange:
            return None
        ohms = sum(self._limit_ohms(s) for s in out)
        if fuse is not None:  # what lies before the fuse is already counted cold
            ohms -= sum(s.ohms_20C for s in out if s.kind == "loom")
        back = self.ways.back(self.harness.points[far], fed, amps, by_ohms=True)
        return ohms + sum(self._limit_ohms(s) for s in (back if back is not None else out))

    def _limit_ohms(self, stretch: Stretch) -> float:
        if stretch.cable is None:
            return stretch.ohms_20C
        return stretch.ohms_20C * (234.5 + self.ways.limit_C) / 254.5

    def _judged(self, case: tuple[str, str, Circuit], rating: float | None) -> Judged:
        subject, circuit, found = case
        carries = (
            ampacity_amps(found.wire, found.limit_C, found.ambient_C)
            * bundle_factor(found.bundle)[0]
        )
        faults = tuple(high_faults(rating, found)) if rating is not None else ()
        return Judged(subject, circuit, found, carries, faults, far_end_amps(found))

    def _low(
        self, rating: float | None, load: float | None, peak: float | None
    ) -> tuple[Fault, ...]:
        """What asks for a larger fuse: the whole load behind it and the greatest peak."""
        if rating is None:
            return ()
        plain = Circuit(
            cable("0.5"),
            load,
            None,
            None,
            self.low,
            self.high,
            self.ways.ambient_C,
            self.ways.limit_C,
            inrush_amps=peak,
        )
        return tuple(low_faults(rating, plain))

    def _worst(
        self, judged: Sequence[Judged], rating: float | None, again: bool = False
    ) -> Judged | None:
        """The conductor against which most speaks: the thinnest of those with a fault, else the thinnest."""

        def weight(j: Judged) -> tuple[bool, float, str]:
            faults = (
                tuple(high_faults(rating, j.case)) if again and rating is not None else j.faults
            )
            return (
                not any(f.kind in ("wire", "let-through") for f in faults),
                j.ampacity_amps,
                j.subject,
            )

        return min(judged, key=weight, default=None)

    def _sized(
        self, cases: Sequence[Circuit], leaflet: Leaflet | None, load: float | None
    ) -> Sized | None:
        """The answer for all conductors behind a fuse together: the weakest wire, the whole load, the least contact."""
        if not cases:
            return None
        weakest_case = self._weakest(cases, load)
        try:
            check_circuit(weakest_case)
            return size_fuse(
                weakest_case,
                leaflet_amps=leaflet.fuse_amps if leaflet else None,
                leaflet_min_csa_mm2=leaflet.min_csa_mm2 if leaflet else None,
            )
        except OutOfRange as refusal:
            return Sized((), why=str(refusal))

    def _weakest(self, cases: Sequence[Circuit], load: float | None) -> Circuit:
        def room(case: Circuit) -> tuple[float, float]:
            return (
                largest(replace(case, load_amps=None, inrush_amps=None)) or 0.0,
                ampacity_amps(case.wire, case.limit_C, case.ambient_C),
            )

        thin = min(cases, key=room)
        loads = [c for c in (load, *(c.load_amps for c in cases)) if c is not None]
        contacts = [c.contact_amps for c in cases if c.contact_amps is not None]
        loops = [c.loop_ohms for c in cases if c.loop_ohms is not None]
        return replace(
            thin,
            load_amps=max(loads, default=None),
            contact_amps=min(contacts, default=None),
            loop_ohms=max(loops, default=None),
        )

    # -- the job's own fuses ----------------------------------------------------------------------

    def fuse(self, extra: Extra) -> FuseSize:
        """One fuse of the job: which leg is fed, what lies behind the other, the rating chosen or judged."""
        a, b = extra.legs
        source, behind = self._orient(a, b)
        leaflet = self._leaflet(behind)
        section = self.harness.sections.of(behind)
        points = self._behind(extra, behind)
        load = load_amps(points)
        fed = self._fed(source)
        cases: list[tuple[str, str, Circuit]] = []
        if source is not None:
            cases = [
                (
                    s,
                    c,
                    replace(
                        case,
                        load_amps=case.load_amps if case.load_amps is not None else load,
                        inrush_amps=peak_amps(points),
                    ),
                )
                for s, c, case in self._cases(source, section, fed or Fed(cavity=""), extra, load)
            ]
        else:
            cases = list(self._loose(section, load, peak_amps(points)))
        upstream = (
            None if fed is None else fed.fuse_amps if fed.fuse_amps is not None else fed.found_amps
        )
        sized = self._sized([c for _, _, c in cases], leaflet, load)
        if sized is None:
            self.missing.append(
                Missing(
                    extra.name, "no wire of known size lies behind it", "its rating", extra.place
                )
            )
        rating = extra.amps
        if rating is None and extra.size_wanted and sized is not None and sized.found:
            rating = sized.number("fuse")
        judged = tuple(self._judged(c, rating) for c in cases)
        worst = self._worst(judged, upstream, again=True) if upstream is not None else None
        return FuseSize(
            extra.name,
            rating,
            extra.size_wanted,
            leaflet.fuse_amps if leaflet else None,
            sized,
            judged,
            source.address if source else "",
            upstream,
            upstream_sentence(upstream, worst.case)
            if worst is not None and upstream is not None
            else "",
            selective(rating, upstream)[0]
            if rating is not None and upstream is not None and rating in ratings()
            else None,
            load,
            self._low(rating, load, peak_amps(points)),
            section.circuits,
            extra.place,
        )

    def _loose(
        self, section: Net, load: float | None, peak: float | None
    ) -> Iterator[tuple[str, str, Circuit]]:
        """Cases for a fuse whose source nobody names: wire and contact alone."""
        for conductor in self._conductors(section):
            wire = self.loads.cables.get(conductor.id)
            if (
                wire is not None
                and wire.outside_mm is not None
                and conductor.origin not in ("direct", "lead")
            ):
                own = self.loads.amps.get(conductor.id)
                yield (
                    conductor.point or conductor.circuit,
                    conductor.circuit,
                    Circuit(
                        wire,
                        own if own is not None else load,
                        None,
                        None,
                        self.low,
                        self.high,
                        self.ways.ambient_C,
                        self.ways.limit_C,
                        self.bundle,
                        self._contact_amps(conductor),
                        peak,
                    ),
                )

    def _orient(self, a: str, b: str) -> tuple[Point | None, str]:
        """The fed contact and the leg away from it; leg b is taken as that where nothing tells."""
        fed = list(self.fed_points())
        for behind in (b, a):
            for point in fed:
                way = self.harness.way(point.address, behind)
                if way is not None and any(
                    isinstance(part, Extra) and part.legs == (a, b) for _, _, part in way
                ):
                    return point, behind
        return None, b

    def _behind(self, extra: Extra, behind: str) -> list[Point]:
        """Every point that draws its current through this fuse."""
        return self.harness.behind(extra, behind)

    def _fed(self, source: Point | None) -> Fed | None:
        if source is None or source.end is None or source.cavity is None:
            return None
        return source.end.fed.get(source.cavity.name)

    def _leaflet(self, behind: str) -> Leaflet | None:
        """The maker's figures of what the fuse feeds: the contact's own, else its connector's."""
        for address in self.harness.bench.of(behind).points:
            point = self.harness.points[address]
            if point.cavity is None or point.end is None or is_machine(point):
                continue
            if (own := point.cavity.leaflet or point.end.pinout.leaflet) is not None:
                return own
        return None

    # -- drop -------------------------------------------------------------------------------------

    def _drops(self, source: Point, fed: Fed, metal: Net) -> Iterator[Drop]:
        for address in metal.points:
            load = self.harness.points[address]
            if (
                load.cavity is None
                or is_machine(load)
                or electrical_class(load.function) != "supply"
            ):
                continue
            amps = self.loads.point_amps(load)
            if amps is None:
                self.missing.append(
                    Missing(address, "its amps are not stated", "the drop to it", load.place)
                )
                continue
            if not self.volts:
                self.missing.append(
                    Missing("supply", "its volts are not stated", f"the drop to {address}")
                )
                continue
            try:
                yield self._drop(source, fed, load, amps, self.volts)
            except OutOfRange as reason:
                self.missing.append(Missing(address, str(reason), "the drop to it", fed.place))

    def _drop(self, source: Point, fed: Fed, load: Point, amps: float, volts: float) -> Drop:
        shared = self.loads.net_amps(self.harness.bench.of(source.address)) or amps
        out = (
            []
            if fed.length_mm is None and source.is_tap
            else list(self.ways.upstream(source, fed, shared))
        )
        if fed.fuse_amps is not None or fed.found_amps is not None:
            out.append(
                self.ways.fuse(fed.fuse or "upstream fuse", fed.fuse_amps or fed.found_amps, shared)
            )
        out += self.ways.along(
            source.address,
            load.address,
            amps,
            skip_tail_of=source.address if fed.length_mm is not None else "",
        )
        out.append(self.ways.contact(load, amps))
        back = self.ways.back(load, fed, amps)
        total = (*out, *(back if back is not None else out))
        beside = self.ways.parallel_ohms(load, fed)
        together = None if beside is None else sum(s.volts_20C for s in out) + shared * beside
        return Drop(
            source.address,
            load.address,
            amps,
            volts,
            tuple(out),
            back or (),
            back is None,
            self._drop_sized(total, volts, amps, back is None, together),
        )

    def _drop_sized(
        self, ways: Sequence[Stretch], volts: float, amps: float, like: bool, together: float | None
    ) -> Sized:
        hot, cold = sum(s.volts_hot for s in ways), sum(s.volts_20C for s in ways)
        loom = sum(s.volts_20C for s in ways if s.kind == "loom")
        wires = [s.cable for s in ways if s.cable is not None]
        status = weakest("computed", "from memory, unverified", *(c.status for c in wires))
        source = "; ".join(
            dict.fromkeys([*(c.source for c in wires), source_title("drop.toml", "contact-manual")])
        )
        at = f"in {self.ways.ambient_C:g} C ambient, at running temperature"
        told = "sum of I R of loom, fuse, joints, contacts and wires, out and back"
        results = [
            Value("drop", hot, "V", f"{told}, {at}", source, status),
            Value(
                "drop_percent", hot / volts * 100, "%", "U / nominal volts x 100", source, status
            ),
            Value("drop_20C", cold, "V", f"{told}, copper at 20 C", source, status),
            Value(
                "drop_20C_percent",
                cold / volts * 100,
                "%",
                "U / nominal volts x 100",
                source,
                status,
            ),
            Value(
                "drop_worst_percent",
                hot * volts / self.low / self.low * 100,
                "%",
                f"at the lowest {self.low:g} V, for a load that keeps its watts",
                source,
                status,
            ),
        ]
        if loom:
            results += [
                Value(
                    "loom_drop_20C",
                    loom,
                    "V",
                    "of it the machine's own loom, out and back, at 20 C",
                    source,
                    status,
                ),
                Value(
                    "loom_drop_20C_percent",
                    loom / volts * 100,
                    "%",
                    "U / nominal volts x 100",
                    source,
                    status,
                ),
            ]
        if together is not None:
            results.append(
                Value(
                    "drop_20C_grounds_together",
                    together,
                    "V",
                    "the same with all grounds of the unit side by side, as it ties them inside",
                    source,
                    status,
                )
            )
        lines = [f"contacts {10:g} mohm, joints 1 mohm each, the most expected"]
        lines += ["no return was found: taken like the way out"] if like else []
        inputs = (("volts", volts), ("amps", amps), ("ambient_C", self.ways.ambient_C))
        return Sized(tuple(results), inputs, tuple(lines))
