"""The currents of a job's conductors, and which cable each of them is."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

from wiremap.base import Place
from wiremap.graph import Conductor, Harness, Net, Point
from wiremap.model import Wire
from wiremap.sizing.conductor import Cable, cable, limit
from wiremap.sizing.fuse_limits import loading
from wiremap.sizing.series import joined_over, lets_fuses_open, series_parts
from wiremap.sizing.sized import OutOfRange
from wiremap.trade.functions import FUNCTIONS

DEFAULT_AMBIENT_C = limit("default_ambient_C")
OF_SIZE = "its resistance, current, joint and fuse"  # what is not known without a wire's size
CURRENT_CARRIERS = ("cavity", "leg", "stud")


@dataclass(frozen=True, slots=True)
class Missing:
    """A figure that a file lacks or gives wrongly, and what could not be sized for want of it."""

    subject: str
    reason: str  # what is missing or wrong, in words
    blocks: str
    place: Place | None = None

    def __str__(self) -> str:
        return f"{self.subject}: {self.reason}; not sized: {self.blocks}"


def electrical_class(slug: str) -> str:
    """Supply, ground, bus ... of a function; `unknown` for a word outside the list."""
    found = FUNCTIONS.get(slug)
    return found.electrical if found else "unknown"


def cable_of(wire: Wire) -> Cable:
    """The cable that a wire's wording names.

    Raises OutOfRange where its size is unknown, doubtful or not tabled.
    """
    if wire.doubtful or (wire.csa_mm2 is None and wire.gauge is None):
        raise OutOfRange(f"size of {wire.written!r} is not known")
    found = cable(wire.gauge or f"{wire.csa_mm2!r}", wire.wall or "thin")
    if wire.bare:
        width = found.conductor_mm
        return replace(found, outside_mm=width, least_outside_mm=width)
    if wire.outside_mm is None:
        return found
    most = limit("most_outside_mm")
    if not found.conductor_mm < wire.outside_mm <= most:
        span = f"above its conductor's {found.conductor_mm:.3g} mm and at most {most:g} mm"
        what = f"outside diameter of {wire.written!r}"
        raise OutOfRange(f"{what} must be {span}; got {wire.outside_mm:g}")
    return replace(found, outside_mm=wire.outside_mm, least_outside_mm=wire.outside_mm)


class Loads:
    """What each conductor of a job carries; worked out once."""

    def __init__(self, harness: Harness) -> None:
        self.harness = harness
        self.series = series_parts(harness)
        # metal, and what parts in the way of a load join with it: a current flows through both
        self.bench = joined_over(harness.bench, self.series)
        self.sections = joined_over(harness.sections, filter(lets_fuses_open, self.series))
        self._net_amps: dict[str, float | None] = {}

    def net_amps(self, net: Net) -> float | None:
        """Load on a net [A]: what units and in-line ends draw, or else the machine's figure."""
        if net.name not in self._net_amps:
            points = (self.harness.points[address] for address in net.points)
            self._net_amps[net.name] = load_amps(points)
        return self._net_amps[net.name]

    def point_amps(self, point: Point) -> float | None:
        """What flows through one contact [A]: on the unit's side its own, else the load at it."""
        if point.kind not in CURRENT_CARRIERS:
            return None
        if point.cavity is not None and not point.is_machine and point.cavity.amps is not None:
            return point.cavity.amps
        return self._amps_at(point.address)

    def _amps_at(self, address: str) -> float | None:
        """The load at a point [A]: behind a fuse what lies there, else that of the whole net."""
        section = self.sections.of(address)
        points = [self.harness.points[each] for each in section.points]
        legs = list(filter(_is_fuse_leg, points))
        if legs and not any(map(_is_source, points)):
            for leg in legs:
                behind = self._without_source(leg, leg.address)
                if behind:
                    return load_amps(behind)
        return self.net_amps(self.bench.of(address))

    def _without_source(self, leg: Point, side: str) -> list[Point]:
        """What lies beyond one of a fuse's legs (`side`); empty where a supply comes in there."""
        assert leg.extra is not None
        behind = self.harness.behind(leg.extra, side, self.series)
        return [] if any(map(_is_source, behind)) else behind

    def _amps_to_fuse(self, point: Point) -> float | None:
        """What the wire to a fuse's leg carries [A]: no more than what lies beyond that fuse.

        None for any other wire, and where more than that wire meets at the leg.
        """
        if not _is_fuse_leg(point) or len(self.harness.circuits_at(point.address)) != 1:
            return None
        assert point.extra is not None
        (beyond,) = (leg for leg in point.extra.legs if leg != point.address)
        return load_amps(self._without_source(point, beyond))

    @cached_property
    def amps(self) -> dict[str, float | None]:
        """Current of every conductor by id [A]; None where no figure is stated."""
        found: dict[str, float | None] = {}
        for conductor in self.harness.conductors.values():
            found[conductor.id] = self._conductor_amps(conductor)
        return found

    def _conductor_amps(self, conductor: Conductor) -> float | None:
        if conductor.is_lead:
            return None
        points = list(self.harness.points_on(conductor))
        for point in points:
            amps = self._amps_to_fuse(point)
            if amps is not None:
                return amps
        for point in points:
            return self.point_amps(point)
        return self._circuit_amps(conductor)

    def _circuit_amps(self, conductor: Conductor) -> float | None:
        """What flows in a wire between joints [A]: the load at its circuit's first point."""
        for address in self.harness.circuit(conductor.circuit).join:
            if address in self.harness.points:
                return self._amps_at(address)
        return None

    @cached_property
    def cables(self) -> dict[str, Cable]:
        """The cable of every conductor whose size is known."""
        found: dict[str, Cable] = {}
        for conductor in self.harness.conductors.values():
            if conductor.wire is not None:
                try:
                    found[conductor.id] = cable_of(conductor.wire)
                except OutOfRange:
                    continue
        return found

    def unknown_cables(self) -> Iterator[Missing]:
        """Every conductor without a usable size, and what that blocks."""
        for conductor in self.harness.conductors.values():
            if not conductor.is_lead:
                reason = _unknown(conductor.wire)
                if reason:
                    subject = conductor.point or conductor.circuit
                    yield Missing(subject, reason, OF_SIZE, self._place(conductor))

    def _place(self, conductor: Conductor) -> Place | None:
        """Where the size of a conductor would be stated."""
        circuit = self.harness.circuit(conductor.circuit)
        if conductor.is_new or conductor.is_lead or not conductor.point:
            return circuit.at("wire")
        cavity = self.harness.points[conductor.point].cavity
        return cavity.at("wire") if cavity else circuit.place


def _unknown(wire: Wire | None) -> str:
    """What is not known of a wire's size; empty where it is known."""
    if wire is None:
        return "no wire is stated"
    try:
        cable_of(wire)
    except OutOfRange as reason:
        return str(reason)
    return ""


def _is_fuse_leg(point: Point) -> bool:
    return point.extra is not None and point.extra.is_fuse


def _is_source(point: Point) -> bool:
    """Whether a supply of the machine comes in at a point."""
    return point.is_machine and electrical_class(point.function) == "supply"


def load_amps(points: Iterable[Point]) -> float | None:
    """What the units' contacts among these points draw together [A], or the machine's figure.

    Of machine-side figures the greatest counts; None where nothing is stated.
    """
    drawn: list[float] = []
    stated: list[float] = []
    for point in points:
        if point.cavity is not None and point.cavity.amps is not None:
            side = stated if point.is_machine else drawn
            side.append(point.cavity.amps)
    if drawn:
        return sum(drawn)
    return max(stated, default=None)


def undrawn(points: Iterable[Point]) -> tuple[str, ...]:
    """The supply contacts of units among these points whose amps nobody states."""
    return tuple(
        point.address
        for point in points
        if point.cavity is not None
        and point.cavity.amps is None
        and not point.is_machine
        and electrical_class(point.function) == "supply"
    )


class Peak(NamedTuple):
    """What is drawn at the first moment [A], and how long that lasts by common practice [s]."""

    amps: float
    seconds: float


def greatest_peak(points: Iterable[Point]) -> Peak | None:
    """The greatest stated peak among the units' contacts here; None where none is stated.

    Where lamps alone state one it is over as soon as they are warm.
    """
    amps = []
    lamps = True
    for point in points:
        if point.cavity is None or point.cavity.peak_amps is None or point.is_machine:
            continue
        amps.append(point.cavity.peak_amps)
        lamps = lamps and electrical_class(point.function) == "lamp"
    moment = loading("lamp_moment_seconds" if lamps else "first_moment_seconds")
    return Peak(max(amps), moment) if amps else None
