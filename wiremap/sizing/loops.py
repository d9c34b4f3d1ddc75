"""What a short behind a fuse would have to flow through: the ohms before the fuse, and those of the
loop from it to the short and back.
"""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from typing import NamedTuple

from wiremap.graph import Conductor, Harness, Net, Point
from wiremap.model import Extra, Fed
from wiremap.sizing.around import Around
from wiremap.sizing.conductor import linear_ratio
from wiremap.sizing.load import Loads, Peak
from wiremap.sizing.paths import MeasuredWays, PathPart
from wiremap.sizing.series import DIODE, diode_volts
from wiremap.sizing.sized import OutOfRange


@dataclass(frozen=True, slots=True, kw_only=True)
class FusedSection:
    """A section of wires behind a fuse, and where its current comes from.

    `source` is the fed contact, None where nobody names it; `fuse` the job's own fuse before the
    section, None where only the one upstream lies before it.
    """

    section: Net
    source: Point | None
    fed: Fed
    fuse: Extra | None
    load_amps: float | None
    peak: Peak | None


class Loop(NamedTuple):
    """Resistance out and back [ohm], None where a part is not known; is the way back known?"""

    ohms: float | None
    return_known: bool


class Loops:
    """Works out the loops behind the fuses of one job."""

    def __init__(self, harness: Harness, loads: Loads, ways: MeasuredWays, around: Around) -> None:
        self.harness = harness
        self.loads = loads
        self.ways = ways
        self.around = around
        self._known: dict[tuple[str, str, str, float], Loop] = {}

    def before_ohms(self, fused: FusedSection) -> float | None:
        """Resistance before the fuse with the copper cold [ohm]; None if no source's is stated.

        Before a fuse of the job's own lies the machine's loom too, 0 ohm where its length is not
        known.
        """
        if fused.source is None or fused.fed.milliohm is None:
            return None
        ohms = fused.fed.milliohm / 1000
        if fused.fuse is not None:
            with suppress(OutOfRange):
                loom = self.ways.upstream(fused.source, fused.fed, fused.load_amps or 0.0)
                ohms += sum(stretch.ohms_20C for stretch in loom)
        return ohms

    def loop(self, fused: FusedSection, conductor: Conductor) -> Loop:
        """From the fuse to a short at the far end and back, copper hot.

        A return that is not known is taken like the way out.  Wires with one far end have one loop.
        """
        source = fused.source
        if source is None:
            return Loop(None, return_known=True)
        amps = fused.load_amps or self.loads.amps.get(conductor.id) or 0.0
        far = self._far_point(conductor, fused.section, source)
        fuse = "" if fused.fuse is None else fused.fuse.name
        key = (source.address, fuse, far.address, amps)
        if key not in self._known:
            self._known[key] = self._loop(fused, source, far, amps)
        return self._known[key]

    def _loop(self, fused: FusedSection, source: Point, far: Point, amps: float) -> Loop:
        try:
            out = self._out(source, fused.fed, far, amps)
        except OutOfRange:
            return Loop(None, return_known=True)
        ohms = self._hot_ohms(out)
        diodes = [stretch for stretch in out if stretch.kind == DIODE]
        if fused.fuse is not None:  # what lies before the fuse is already counted cold
            ohms -= sum(stretch.ohms_20C for stretch in out if stretch.kind == "loom")
        back = self.ways.back(self._load_at(far), fused.fed, amps, by_ohms=True)
        ohms += self._hot_ohms(out if back is None else back)
        diodes += [stretch for stretch in back or () if stretch.kind == DIODE]
        volts = self.around.low_volts
        left = volts - len(diodes) * diode_volts()  # for the ohms of the loop
        if left <= 0:
            return Loop(None, return_known=back is not None)
        return Loop(ohms * volts / left, return_known=back is not None)

    def _far_point(self, conductor: Conductor, section: Net, source: Point) -> Point:
        """Where a short at the far end of a conductor would lie: at a contact, if it has one."""
        found = [
            point for point in self.harness.points_on(conductor) if point.address != source.address
        ]
        points = [self.harness.points[address] for address in section.points]
        found += [point for point in points if not point.is_machine]
        for point in found:
            if point.cavity is not None:
                return point
        return found[0] if found else source

    def _load_at(self, far: Point) -> Point:
        """A unit's contact behind a point that belongs to no connector, such as a part's leg."""
        if far.end is not None:
            return far
        for address in self.loads.bench.of(far.address).points:
            point = self.harness.points[address]
            if point.cavity is not None and not point.is_machine:
                return point
        return far

    def _out(self, source: Point, fed: Fed, far: Point, amps: float) -> list[PathPart]:
        """Every part of the way from the upstream fuse to the short."""
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
