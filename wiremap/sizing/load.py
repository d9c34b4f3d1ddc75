"""The currents of a job's conductors, and which cable each of them is."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from wiremap.base import Place
from wiremap.graph import Conductor, Harness, Net, Point
from wiremap.model import Wire
from wiremap.sizing.conductor import Cable, cable
from wiremap.sizing.sized import OutOfRange
from wiremap.trade.functions import FUNCTIONS

DEFAULT_AMBIENT_C = 60.0
DEFAULT_LIMIT_C = 85.0
LEAD_MM = 0.6  # a resistor's or diode's own lead, common practice


@dataclass(frozen=True, slots=True)
class Missing:
    """A figure that a file does not give, and what could not be sized for want of it."""

    subject: str
    what: str
    blocks: str
    place: Place | None = None

    def __str__(self) -> str:
        return f"{self.subject}: {self.what}; not sized: {self.blocks}"


def electrical_class(slug: str) -> str:
    """Supply, ground, bus ... of a function; `unknown` for a word outside the list."""
    found = FUNCTIONS.get(slug)
    return found.electrical if found else "unknown"


def cable_of(wire: Wire) -> Cable:
    """The cable that a wire's wording names; raises OutOfRange where its size is unknown, doubtful or not tabled."""
    if wire.doubtful or (wire.csa_mm2 is None and wire.gauge is None):
        raise OutOfRange(f"size of {wire.written!r} is not known")
    found = cable(wire.gauge if wire.gauge else f"{wire.csa_mm2!r}", wire.wall or "thin")
    if wire.bare:
        return replace(found, outside_mm=found.conductor_mm)
    if wire.outside_mm is None:
        return found
    if not found.conductor_mm < wire.outside_mm <= 50:
        raise OutOfRange(
            f"outside diameter of {wire.written!r} must be above its conductor's {found.conductor_mm:.3g} mm and "
            f"at most 50 mm; got {wire.outside_mm:g}"
        )
    return replace(found, outside_mm=wire.outside_mm)


class Loads:
    """What each conductor of a job carries; worked out once."""

    def __init__(self, harness: Harness) -> None:
        self.harness = harness
        self._net_amps: dict[str, float | None] = {}

    def net_amps(self, net: Net) -> float | None:
        """Load on a net: the sum of what units and in-line ends draw, or else the greatest machine-side figure."""
        if net.name not in self._net_amps:
            self._net_amps[net.name] = load_amps(self.harness.points[a] for a in net.points)
        return self._net_amps[net.name]

    def point_amps(self, point: Point) -> float | None:
        """What flows through one contact: its own figure on the unit's side, the whole load on the machine's."""
        if point.kind not in ("cavity", "leg", "stud"):
            return None
        if point.cavity is not None and not is_machine(point) and point.cavity.amps is not None:
            return point.cavity.amps
        return self.net_amps(self.harness.bench.of(point.address))

    @cached_property
    def amps(self) -> dict[str, float | None]:
        """Current of every conductor by id; None where no figure is stated."""
        found: dict[str, float | None] = {}
        for conductor in self.harness.conductors.values():
            at = conductor.point or next(
                (n for n in (conductor.a, conductor.b) if n in self.harness.points), None
            )
            if conductor.origin == "lead" or at is None:
                found[conductor.id] = (
                    None if conductor.origin == "lead" else self._circuit_amps(conductor)
                )
            else:
                found[conductor.id] = self.point_amps(self.harness.points[at])
        return found

    def _circuit_amps(self, conductor: Conductor) -> float | None:
        for address in self.harness.circuit(conductor.circuit).join:
            if address in self.harness.points:
                return self.net_amps(self.harness.bench.of(address))
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
            if conductor.id in self.cables or conductor.origin == "lead":
                continue
            subject = conductor.point or conductor.circuit
            place = self._place(conductor)
            if conductor.wire is None:
                yield Missing(
                    subject, "no wire is stated", "its resistance, current, joint and fuse", place
                )
                continue
            try:
                cable_of(conductor.wire)
            except OutOfRange as reason:
                yield Missing(
                    subject, str(reason), "its resistance, current, joint and fuse", place
                )

    def _place(self, conductor: Conductor) -> Place | None:
        circuit = self.harness.circuit(conductor.circuit)
        if conductor.origin in ("tail", "direct") and conductor.point:
            cavity = self.harness.points[conductor.point].cavity
            return cavity.at("wire") if cavity else circuit.place
        return circuit.at("wire")


def is_machine(point: Point) -> bool:
    """Whether a point belongs to a machine-side end."""
    return point.end is not None and point.end.side == "machine"


def load_amps(points: Iterable[Point]) -> float | None:
    """What the units' contacts among these points draw together, or else the greatest machine-side figure."""
    drawn: list[float] = []
    stated: list[float] = []
    for point in points:
        if point.cavity is not None and point.cavity.amps is not None:
            (stated if is_machine(point) else drawn).append(point.cavity.amps)
    return sum(drawn) if drawn else max(stated, default=None)


def peak_amps(points: Iterable[Point]) -> float | None:
    """The greatest stated peak among these points; None where none is stated."""
    return max(
        (
            p.cavity.peak_amps
            for p in points
            if p.cavity is not None and p.cavity.peak_amps is not None and not is_machine(p)
        ),
        default=None,
    )
