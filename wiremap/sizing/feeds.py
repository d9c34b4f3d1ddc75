"""Where a job's current comes from: every fed contact and every fuse, each judged."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from wiremap.graph import Harness, Net, Point, WalkedEdge
from wiremap.model import Extra, Fed, Flow, Leaflet
from wiremap.sizing.around import Around
from wiremap.sizing.cases import Case, Cases, endurance, family_of, weakest_case
from wiremap.sizing.circuit import Protected, far_end_amps
from wiremap.sizing.conductor import cable
from wiremap.sizing.drops import Drops
from wiremap.sizing.feed_parts import STUB_MM, Feed, FuseSize, Judged
from wiremap.sizing.fuse import SizedFuse, size_fuse
from wiremap.sizing.fuse_judge import (
    HEATS_WIRE,
    Objection,
    high_objections,
    low_objections,
)
from wiremap.sizing.fuse_limits import BLADE, ratings, selective
from wiremap.sizing.fuse_short import short_objections
from wiremap.sizing.fuse_upstream import upstream_sentence
from wiremap.sizing.ground_faults import GroundFaults, GroundWire
from wiremap.sizing.load import (
    Loads,
    Missing,
    Peak,
    electrical_class,
    greatest_peak,
    load_amps,
    undrawn,
)
from wiremap.sizing.loops import FusedSection
from wiremap.sizing.paths import MeasuredWays
from wiremap.sizing.sized import OutOfRange


class Feeds:
    """Sizes and judges every feed and every fuse of one job.

    `missing` collects what nobody states and what cannot be told for that.
    """

    def __init__(self, harness: Harness, loads: Loads, ways: MeasuredWays, around: Around) -> None:
        self.harness = harness
        self.loads = loads
        self.around = around
        self.cases = Cases(harness, loads, ways, around)
        self.ground_faults = GroundFaults(self.cases)
        self.missing: list[Missing] = []
        self.drops = Drops(harness, loads, ways, around, self.missing)

    # -- feeds ------------------------------------------------------------------------------------

    def fed_points(self) -> Iterator[Point]:
        """Every joined machine-side contact that supplies the job.

        Not a ground: `fed` may tell the length of its wire, but it has no fuse to be judged.
        """
        for point in self.harness.points.values():
            if not point.is_machine or not self.harness.circuits_at(point.address):
                continue
            group = electrical_class(point.function)
            if _supplies(point) or (self._fed(point) is not None and group != "ground"):
                yield point

    def _fed(self, point: Point | None) -> Fed | None:
        """What the job says of a machine-side contact under `fed`."""
        if point is None or point.end is None or point.cavity is None:
            return None
        return point.end.fed.get(point.cavity.name)

    def feed(self, point: Point) -> Feed:
        """The feed at one contact, its fuse judged against all wire up to the next fuse.

        Raises OutOfRange for surroundings or supply that `size_job` refuses beforehand.
        """
        fed = self._fed(point)
        metal = self.loads.bench.of(point.address)
        section = self.loads.sections.of(point.address)
        load = self.loads.net_amps(metal)
        peak = greatest_peak(self._points(metal))
        rating = _rating(fed)
        drops = () if fed is None else tuple(self.drops.of_feed(point, fed, metal))
        stub_mm = self._stub_mm(point, section)
        behind = self._before_fuse(point, section, fed, load)
        cases = self.cases.behind(behind)
        short = stub_mm is not None and stub_mm <= STUB_MM
        judged = tuple((_judged_stub if short else _judged)(case, rating) for case in cases)
        overloaded = () if short else judged
        grounds = tuple(self.ground_faults.behind(behind))
        return Feed(
            address=point.address,
            fed=fed,
            circuits=metal.circuits,
            load_amps=load,
            undrawn=undrawn(self._points(metal)),
            fuse_amps=rating,
            judged=judged,
            sentence=_sentence(overloaded, rating),
            found_sentence=_found_sentence(overloaded, fed, rating),
            stub_mm=stub_mm,
            sized=self._sized([each.case for each in overloaded], grounds, None, load),
            drops=drops,
            grounds=grounds,
            too_small=() if fed is None else self._too_small(rating, load, peak),
            place=point.place if fed is None else fed.place,
            weakest=_weakest(judged),
        )

    def _before_fuse(
        self, point: Point, section: Net, fed: Fed | None, load: float | None
    ) -> FusedSection:
        """A feed's section, up to the next fuse."""
        return FusedSection(
            section=section,
            source=point,
            fed=fed or Fed(cavity=""),
            fuse=None,
            load_amps=load,
            peak=greatest_peak(self._points(section)),
        )

    def _points(self, net: Net) -> Iterator[Point]:
        """The points of a net, each whole."""
        for address in net.points:
            yield self.harness.points[address]

    def _is_stub(self, section: Net) -> bool:
        """Whether a section holds only machine-side contacts and fuse legs: a way to a fuse."""
        has_leg = False
        for point in self._points(section):
            if point.extra is not None and point.extra.is_fuse:
                has_leg = True
            elif not point.is_machine:
                return False
        return has_leg

    def _stub_mm(self, point: Point, section: Net) -> float | None:
        """Length of the new wire from a contact to its own fuses [mm]; None if more hangs on it.

        Infinite where nobody states its length, which is then added to `missing`.
        """
        if not self._is_stub(section):
            return None
        new = [wire for wire in self.cases.conductors(section) if wire.is_new]
        if any(wire.length_mm is None for wire in new):
            reason = "the length of the wire to its own fuse is not stated"
            blocks = "whether that fuse sits close enough to the source"
            self.missing.append(Missing(point.address, reason, blocks, point.place))
            return math.inf
        return math.fsum(wire.length_mm for wire in new if wire.length_mm)

    # -- the job's own fuses ----------------------------------------------------------------------

    def fuses(self) -> dict[str, FuseSize]:
        """Every fuse of the job by its name; raises OutOfRange as `feed` does."""
        fuses = {}
        for extra in self.harness.job.extras.values():
            if extra.is_fuse:
                fuses[extra.name] = self.fuse(extra)
        return fuses

    def fuse(self, extra: Extra) -> FuseSize:
        """One fuse of the job: what feeds it, what lies behind it, its rating chosen or judged.

        Raises OutOfRange as `feed` does.
        """
        source, leg = self._source_and_leg(extra)
        fed = self._fed(source)
        leaflet = self._leaflet(leg)
        section = self.loads.sections.of(leg)
        points = self.harness.behind(extra, leg, self.loads.series)
        load = load_amps(points)
        peak = greatest_peak(points)
        behind = FusedSection(
            section=section,
            source=source,
            fed=fed or Fed(cavity=""),
            fuse=extra,
            load_amps=load,
            peak=peak,
        )
        cases = list(self.cases.behind(behind))
        grounds = tuple(self.ground_faults.behind(behind))
        sized = self._sized([case.figures for case in cases], grounds, leaflet, load)
        if sized is None:
            reason = "no wire of known size lies behind it"
            self.missing.append(Missing(extra.name, reason, "its rating", extra.place))
        rating = _chosen(extra, sized)
        upstream = _rating(fed)
        judged = tuple(_judged(case, rating) for case in cases)
        return FuseSize(
            name=extra.name,
            amps=rating,
            chosen=extra.size_wanted,
            leaflet_amps=leaflet.fuse_amps if leaflet else None,
            sized=sized,
            judged=judged,
            feed=source.address if source else "",
            upstream_amps=upstream,
            upstream_sentence=_sentence(judged, upstream),
            selective=_opens_first(rating, upstream, family_of(extra)),
            load_amps=load,
            undrawn=undrawn(points),
            too_small=self._too_small(rating, load, peak, family_of(extra)),
            grounds=grounds,
            circuits=section.circuits,
            place=extra.place,
            weakest=_weakest(judged),
        )

    def _source_and_leg(self, extra: Extra) -> tuple[Point | None, str]:
        """The contact that feeds a fuse and the fuse's leg away from it.

        None and leg b where no way leads from a fed contact through the fuse.
        """
        one, two = extra.legs
        fed = list(self.fed_points())
        for leg in (two, one):
            for point in fed:
                way = self.harness.way(point.address, leg, self.loads.series)
                if way is not None and _leads_through(way, extra):
                    return point, leg
        return None, two

    def _leaflet(self, leg: str) -> Leaflet | None:
        """The maker's figures of what the fuse feeds: the contact's own, else its connector's."""
        for point in self._points(self.loads.bench.of(leg)):
            if point.cavity is None or point.end is None or point.is_machine:
                continue
            found = point.cavity.leaflet or point.end.pinout.leaflet
            if found is not None:
                return found
        return None

    # -- both -------------------------------------------------------------------------------------

    def _too_small(
        self, rating: float | None, load: float | None, peak: Peak | None, family: str = BLADE
    ) -> tuple[Objection, ...]:
        """What asks for a larger fuse: the whole load behind it and the greatest peak."""
        if rating is None:
            return ()
        any_wire = cable("0.5")  # low objections look at load and peak alone
        circuit = self.cases.circuit(any_wire, load, peak, family=family)
        return tuple(low_objections(rating, circuit))

    def _sized(
        self,
        cases: Sequence[Protected],
        grounds: Sequence[GroundWire],
        leaflet: Leaflet | None,
        load: float | None,
    ) -> SizedFuse | None:
        """The answer for all conductors behind a fuse together; None without one of known size.

        Of the grounds those count that may carry a whole fault.
        """
        if not cases:
            return None
        alone = [ground.case for ground in grounds if ground.share == 1]
        stated = leaflet or Leaflet()
        try:
            return size_fuse(
                weakest_case([*cases, *alone], load),
                leaflet_amps=stated.fuse_amps,
                leaflet_min_csa_mm2=stated.min_csa_mm2,
            )
        except OutOfRange as refusal:
            return SizedFuse(why=str(refusal))


def _supplies(point: Point) -> bool:
    """Whether a machine's contact feeds the job: a supply, unless it is said to be a unit's."""
    stated = point.cavity.flow if point.cavity is not None else None
    return electrical_class(point.function) == "supply" and stated is not Flow.FROM_UNIT


def _rating(fed: Fed | None) -> float | None:
    """The upstream fuse as it shall be, else as found [A]."""
    if fed is None:
        return None
    return fed.found_amps if fed.fuse_amps is None else fed.fuse_amps


def _judged(case: Case, rating: float | None) -> Judged:
    """A conductor and what speaks against a fuse of this rating [A] before it."""
    against = () if rating is None else tuple(high_objections(rating, case.figures))
    return _with(case, against)


def _judged_stub(case: Case, rating: float | None) -> Judged:
    """A conductor on a short way to its own fuse, and what a short circuit there does [A]."""
    against = () if rating is None else tuple(short_objections(rating, case.figures))
    return _with(case, against)


def _with(case: Case, objections: tuple[Objection, ...]) -> Judged:
    figures = case.figures
    return Judged(
        subject=case.subject,
        circuit=case.circuit,
        case=figures,
        ampacity_amps=figures.ampacity_amps,
        objections=objections,
        far_end_amps=far_end_amps(figures),
        return_known=case.return_known,
    )


def _weakest(judged: Sequence[Judged]) -> str:
    """The conductor whose figures stand for all behind a fuse; empty where there is none."""
    if not judged:
        return ""
    return min(judged, key=lambda each: endurance(each.case)).subject


def _sentence(judged: Sequence[Judged], rating: float | None) -> str:
    """What an upstream fuse of this rating [A] does to the conductor that is worst off.

    A wire that is heated comes first, then the one that carries least.
    """
    if rating is None or not judged:
        return ""

    def weight(each: Judged) -> tuple[bool, float, str]:
        against = high_objections(rating, each.case)
        heats = any(objection.kind in HEATS_WIRE for objection in against)
        return not heats, each.ampacity_amps, each.subject

    worst = min(judged, key=weight)
    return upstream_sentence(rating, worst.case)


def _found_sentence(judged: Sequence[Judged], fed: Fed | None, rating: float | None) -> str:
    """What the fuse that was found would do, in a sentence; empty where it may stay."""
    if fed is None or fed.found_amps == rating:
        return ""
    return _sentence(judged, fed.found_amps)


def _chosen(extra: Extra, sized: SizedFuse | None) -> float | None:
    """A fuse's rating as written, else as chosen where the job asks for it [A]."""
    if extra.amps is not None:
        return extra.amps
    if extra.size_wanted and sized is not None and sized.found:
        return sized.number("fuse")
    return None


def _opens_first(rating: float | None, upstream: float | None, family: str) -> bool | None:
    """Whether a fuse opens before the one upstream [A]; None where no curve tells."""
    if rating is None or upstream is None or rating not in ratings(family):
        return None
    return selective(rating, upstream, family=family).first


def _leads_through(way: Sequence[WalkedEdge], fuse: Extra) -> bool:
    """Whether a way goes through a fuse, not only to one of its legs."""
    fuses = [step.part.legs for step in way if isinstance(step.part, Extra)]
    return fuse.legs in fuses
