"""Family `wire`: whether wires fit the contacts and seals that we crimp them into."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from wiremap.graph import Conductor, Point
from wiremap.model import Accepts, EndKind, Span
from wiremap.rules.cure import said_anew
from wiremap.rules.limits import is_over, is_under
from wiremap.rules.registry import Family, Hit, Hits, Matter
from wiremap.rules.sized import sizes
from wiremap.rules.view import View
from wiremap.sizing.conductor import Cable

WIRE = Family("wire", Matter.BENCH)


@dataclass(frozen=True, slots=True)
class _Crimp:
    """A contact that gets its crimp from us, and the wire that ends in it."""

    point: Point
    accepts: Accepts
    conductor: Conductor
    cable: Cable

    def hit(self, view: View, taken: Span, **facts: object) -> Hit:
        """A hit about this contact; `taken` is the range of its crimp or seal."""
        address = self.point.address
        return view.described_hit(address, point=view.name(address), range=str(taken), **facts)


def _crimps(view: View) -> Iterator[_Crimp]:
    if not any(end.kind == EndKind.MATE for end in view.job.ends.values()):
        return
    sized = sizes(view).conductors
    for conductor in view.harness.conductors.values():
        size = sized.get(conductor.id)
        if size is None:
            continue
        for address in (conductor.a, conductor.b):
            point = view.points.get(address)
            if point is None or point.end is None or point.cavity is None:
                continue
            if point.end.kind == EndKind.MATE:
                yield _Crimp(point, point.cavity.accepts, conductor, size.cable)


@WIRE.caution(
    "contact-range",
    what="{point}: its contact takes {range} mm2, the wire is {wire}",
    why="A crimp outside its range pulls out or breaks strands.",
    fix="Choose a wire in the range, or the contact for this size.",
    source="maker's contact range; the strictest reading of it",
)
def contact_range(view: View) -> Hits:
    """A wire that we crimp into a contact whose range does not take it."""
    for crimp in _crimps(view):
        taken = crimp.accepts.csa_mm2
        if taken is not None and not _within(taken, crimp.cable.area_mm2):
            yield crimp.hit(view, taken, wire=crimp.cable.name)


@WIRE.caution(
    "seal-range",
    matter=Matter.WORKING,
    what="{point}: its seal takes insulation of {range} mm, {wire} has {outside:g} mm",
    why="A seal grips the insulation, not the copper: too thin leaks, too thick tears it.",
    fix="Choose another wall thickness, or the seal for this diameter.",
    source="maker's seal range; ISO 6722-1 outside diameters, from memory",
)
def seal_range(view: View) -> Hits:
    """A wire that we put through a seal whose range does not take its insulation."""
    for crimp in _crimps(view):
        taken, wire = crimp.accepts.insulation_mm, crimp.conductor.wire
        if taken is None or (wire is not None and wire.bare):
            continue
        outside = _misfit(taken, crimp.cable)
        if outside is not None:
            name = f"{crimp.cable.name} {crimp.cable.wall} wall"
            yield crimp.hit(view, taken, wire=name, outside=round(outside, 2))


def _misfit(taken: Span, cable: Cable) -> float | None:
    """The insulation's diameter that tears the seal, or under which it leaks [mm]; else None."""
    most, least = cable.outside_mm, cable.least_outside_mm
    if most is not None and is_over(most, taken.high):
        return most
    if least is not None and is_under(least, taken.low):
        return least
    if least is None and most is not None and is_under(most, taken.low):
        return most
    return None


def _within(span: Span, value: float) -> bool:
    return not (is_under(value, span.low) or is_over(value, span.high))


@WIRE.stop(
    "contact-current",
    matter=Matter.UNIT,
    what="{point}: {amps:g} A through a contact good for {good:g} A",
    why="An overloaded contact anneals its spring, heats and opens.",
    fix="Part the load over more contacts, lead it past this connector, or correct the stated amps"
    + said_anew("amps"),
    source="maker's contact current",
)
def contact_current(view: View) -> Hits:
    """A load over what its contact carries; cut-off and tapped contacts carry nothing of it."""
    for point in view.joined():
        if point.cavity is None or point.end is None or point.end.kind in ("cut-tail", "tap"):
            continue
        good = point.cavity.accepts.amps
        amps = point.cavity.amps
        if amps is None:
            amps = view.once(_flows).get(point.address)
        if amps is not None and good is not None and is_over(amps, good):
            name = view.name(point.address)
            yield view.described_hit(point.address, point=name, amps=amps, good=good)


def _flows(view: View) -> dict[str, float]:
    """What is said to flow in the wires that end at each contact [A]."""
    flows: dict[str, float] = defaultdict(float)
    sized = sizes(view).conductors
    for conductor in view.harness.conductors.values():
        size = sized.get(conductor.id)
        if size is not None and size.amps is not None:
            for address in (conductor.a, conductor.b):
                flows[address] = max(size.amps, flows[address])
    return flows
