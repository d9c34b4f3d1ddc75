"""The wires and contacts behind a fuse, each as a circuit that the fuse shall protect."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import NamedTuple

from wiremap.graph import Conductor, Harness, Net, Point
from wiremap.model import Extra, Fed, Job
from wiremap.sizing.ampacity import most_bundled
from wiremap.sizing.circuit import Protected, battery_volts, supply_range
from wiremap.sizing.conductor import Cable, linear_ratio
from wiremap.sizing.fuse import largest
from wiremap.sizing.fuse_limits import BLADE, FAMILIES
from wiremap.sizing.load import DEFAULT_AMBIENT_C, Loads, is_machine
from wiremap.sizing.paths import WITHOUT_LENGTH, MeasuredWays, PathPart
from wiremap.sizing.series import DIODE, diode_volts
from wiremap.sizing.sized import OutOfRange

CARRIED_PAST = ("cut-tail", "tap")  # a cut-off contact and a tapped one carry nothing of it


@dataclass(frozen=True, slots=True, kw_only=True)
class Around:
    """Where a job's wires lie and what supplies them."""

    volts: float | None  # nominal
    low_volts: float
    high_volts: float
    battery_volts: float
    ambient_C: float
    limit_C: float
    bundle: int  # 1 where nobody states it


class Case(NamedTuple):
    """One conductor behind a fuse: what it is called, its circuit's id, and the figures."""

    subject: str
    circuit: str
    figures: Protected
    return_known: bool


class Loop(NamedTuple):
    """Resistance out and back [ohm], None where a part is not known; is the way back known?"""

    ohms: float | None
    return_known: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Behind:
    """A section of wires behind a fuse, and where its current comes from.

    `source` is the fed contact, None where nobody names it; `fuse` the job's own fuse before the
    section, None where only the one upstream lies before it.
    """

    section: Net
    source: Point | None
    fed: Fed
    fuse: Extra | None
    load_amps: float | None
    peak_amps: float | None


def around(job: Job) -> Around:
    """A job's surroundings as stated, else as taken: 60 C, class A, single wires, 12 V.

    A bundle beyond the table counts as its largest; `unjudged` tells so.
    """
    supply = job.supply
    nominal = supply.volts or 12.0
    low, high = supply_range(nominal, supply.min_volts, supply.max_volts)
    ambient = job.surroundings.ambient_C
    return Around(
        volts=supply.volts,
        low_volts=low,
        high_volts=high,
        battery_volts=battery_volts(nominal),
        ambient_C=DEFAULT_AMBIENT_C if ambient is None else ambient,
        limit_C=job.limit_C(),
        bundle=min(job.surroundings.bundle or 1, most_bundled()),
    )


class Cases:
    """Finds the circuits behind each fuse of one job."""

    def __init__(self, harness: Harness, loads: Loads, ways: MeasuredWays, place: Around) -> None:
        self.harness = harness
        self.loads = loads
        self.ways = ways
        self.around = place

    def conductors(self, section: Net) -> Iterator[Conductor]:
        """Every conductor of a section's circuits."""
        for circuit in section.circuits:
            yield from self.harness.conductors_by_circuit.get(circuit, ())

    def behind(self, what: Behind) -> Iterator[Case]:
        """One case for each conductor of known size: its contact, the way to it and back."""
        before = self._before_ohms(what)
        for conductor in self.conductors(what.section):
            wire = self.loads.cables.get(conductor.id)
            if wire is None or wire.outside_mm is None or conductor.origin in WITHOUT_LENGTH:
                continue
            loop = self._loop(what, conductor)
            figures = replace(
                self.circuit(wire, self._own_amps(conductor, what), what.peak_amps),
                limit_C=self.limit_C(conductor),
                family=family_of(what.fuse),
                source_ohms=before,
                loop_ohms=loop.ohms,
                contact_amps=self._contact_amps(conductor),
            )
            subject = conductor.point or conductor.circuit
            yield Case(subject, conductor.circuit, figures, loop.return_known)

    def circuit(self, wire: Cable, load_amps: float | None, inrush_amps: float | None) -> Protected:
        """A wire of this job with load and inrush [A], nothing else known of it."""
        place = self.around
        return Protected(
            wire=wire,
            load_amps=load_amps,
            source_ohms=None,
            loop_ohms=None,
            min_volts=place.low_volts,
            max_volts=place.high_volts,
            battery_volts=place.battery_volts,
            ambient_C=place.ambient_C,
            limit_C=place.limit_C,
            bundle=place.bundle,
            inrush_amps=inrush_amps,
        )

    def limit_C(self, conductor: Conductor) -> float:
        """What a conductor's insulation stands [C]: as its contacts, their end or the job state.

        Of two contacts that state it for one wire, the lower counts.
        """
        job = self.harness.job
        stated = []
        for point in self._points(conductor):
            brings = point.address == conductor.point
            own = point.cavity is not None and point.cavity.limit_C is not None
            if brings or own:
                stated.append(job.limit_C(point.end, point.cavity))
        return min(stated, default=job.limit_C())

    def _own_amps(self, conductor: Conductor, what: Behind) -> float | None:
        own = self.loads.amps.get(conductor.id)
        return what.load_amps if own is None else own

    def _contact_amps(self, conductor: Conductor) -> float | None:
        """What the weakest contact that carries this conductor's current is good for [A]."""
        found = []
        for point in self._points(conductor):
            if point.cavity is None or point.end is None or point.end.kind in CARRIED_PAST:
                continue
            if point.cavity.accepts.amps is not None:
                found.append(point.cavity.accepts.amps)
        return min(found, default=None)

    def _points(self, conductor: Conductor) -> Iterator[Point]:
        for address in (conductor.point, conductor.a, conductor.b):
            point = self.harness.points.get(address or "")
            if point is not None:
                yield point

    def _far_point(self, conductor: Conductor, section: Net, source: Point) -> Point:
        """Where a short at the far end of a conductor would lie: at a contact, if it has one."""
        found = [point for point in self._points(conductor) if point.address != source.address]
        points = [self.harness.points[address] for address in section.points]
        found += [point for point in points if not is_machine(point)]
        for point in found:
            if point.cavity is not None:
                return point
        return found[0] if found else source

    def _before_ohms(self, what: Behind) -> float | None:
        """Resistance before the fuse with the copper cold [ohm]; None if nobody states it."""
        if what.source is None or what.fed.milliohm is None:
            return None
        ohms = what.fed.milliohm / 1000
        if what.fuse is not None:
            with suppress(OutOfRange):
                loom = self.ways.upstream(what.source, what.fed, what.load_amps or 0.0)
                ohms += sum(stretch.ohms_20C for stretch in loom)
        return ohms

    def _loop(self, what: Behind, conductor: Conductor) -> Loop:
        """From the fuse to a short at the far end and back, copper hot.

        A return that is not known is taken like the way out.
        """
        if what.source is None:
            return Loop(None, return_known=True)
        amps = what.load_amps or self.loads.amps.get(conductor.id) or 0.0
        far = self._far_point(conductor, what.section, what.source)
        try:
            out = self._out(what.source, what.fed, far, amps)
        except OutOfRange:
            return Loop(None, return_known=True)
        ohms = self._hot_ohms(out)
        diodes = [stretch for stretch in out if stretch.kind == DIODE]
        if what.fuse is not None:  # what lies before the fuse is already counted cold
            ohms -= sum(stretch.ohms_20C for stretch in out if stretch.kind == "loom")
        back = self.ways.back(self._load_at(far), what.fed, amps, by_ohms=True)
        ohms += self._hot_ohms(out if back is None else back)
        diodes += [stretch for stretch in back or () if stretch.kind == DIODE]
        volts = self.around.low_volts
        left = volts - len(diodes) * diode_volts()  # for the ohms of the loop
        if left <= 0:
            return Loop(None, return_known=back is not None)
        return Loop(ohms * volts / left, return_known=back is not None)

    def _load_at(self, far: Point) -> Point:
        """A unit's contact behind a point that belongs to no connector, such as a part's leg."""
        if far.end is not None:
            return far
        for address in self.loads.bench.of(far.address).points:
            point = self.harness.points[address]
            if point.cavity is not None and not is_machine(point):
                return point
        return far

    def _out(self, source: Point, fed: Fed, far: Point, amps: float) -> list[PathPart]:
        found: list[PathPart] = []
        skip = ""
        if fed.length_mm is not None:
            found += self.ways.upstream(source, fed, amps)
            skip = source.address
        if far is not source:
            found += self.ways.along(source.address, far.address, amps, skip_tail_of=skip)
        return found

    def _hot_ohms(self, stretches: Iterable[PathPart]) -> float:
        """Resistance with the copper at the insulation's limit [ohm]."""
        ratio = linear_ratio(self.around.limit_C)
        ohms = 0.0
        for stretch in stretches:
            hot = 1.0 if stretch.cable is None else ratio
            if stretch.kind != DIODE:
                ohms += stretch.ohms_20C * hot
        return ohms


def family_of(fuse: Extra | None) -> str:
    """The family whose published limits a fuse is judged by; blade where it names no other."""
    if fuse is not None and fuse.detail in FAMILIES:
        return fuse.detail
    return BLADE


def weakest_case(cases: Sequence[Protected], load_amps: float | None) -> Protected:
    """All conductors behind a fuse as one: the weakest wire, whole load, least contact."""
    thin = min(cases, key=_room)
    return replace(
        thin,
        load_amps=_most([load_amps, *(case.load_amps for case in cases)]),
        contact_amps=min(_known(case.contact_amps for case in cases), default=None),
        loop_ohms=_most(case.loop_ohms for case in cases),
    )


def _room(case: Protected) -> tuple[float, float]:
    unloaded = replace(case, load_amps=None, inrush_amps=None)
    return largest(unloaded) or 0.0, case.single_amps


def _known(figures: Iterable[float | None]) -> list[float]:
    return [figure for figure in figures if figure is not None]


def _most(figures: Iterable[float | None]) -> float | None:
    return max(_known(figures), default=None)
