"""Family `fuse`: what a maker's leaflet asks of fuse and lead."""

from __future__ import annotations

from collections.abc import Iterable

from wiremap.rules.cure import SIGN
from wiremap.rules.limits import is_under
from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.sized import sizes
from wiremap.rules.view import View

FUSE = Family("fuse", Matter.UNIT)


@FUSE.caution(
    "leaflet-fuse-differs",
    what="{fuse}: {reason}",
    why="A maker's stated figure beats a computed one.",
    fix="Follow the leaflet, or sign why not" + SIGN,
    source="maker's leaflet",
)
def leaflet_fuse_differs(view: View) -> Hits:
    """A fuse other than the leaflet's, a machine's fuse above it with none of the job between,
    a lead thinner than it asks for, or a leaflet's fuse that the wire does not stand.
    """
    yield from _above_a_leaflet(view)
    for fuse in sizes(view).fuses.values():
        says, has = fuse.leaflet_amps, fuse.amps
        if says is not None and has is not None and has != says:
            reason = f"the leaflet says {says:g} A, the job has {has:g} A"
            yield view.hit(fuse.name, place=fuse.place, fuse=fuse.name, reason=reason)
        if fuse.sized is not None and fuse.sized.thin_lead:
            place, name, reason = fuse.place, fuse.name, fuse.sized.thin_lead
            yield view.hit(name, "lead", place=place, fuse=name, reason=reason)


def _above_a_leaflet(view: View) -> Hits:
    """Machine fuses alone before a unit whose leaflet asks for less, and wires it finds thin."""
    for feed in sizes(view).feeds:
        for address in view.harness.sections.of(feed.address).points:
            point = view.points[address]
            if point.cavity is None or point.end is None or point.end.is_machine:
                continue
            leaflet = point.cavity.leaflet or point.end.pinout.leaflet
            signal = view.signal(address)
            if leaflet is None or signal is None or signal.row.electrical != "supply":
                continue
            says, has = leaflet.fuse_amps, feed.fuse_amps
            if says is not None and has is not None and has > says and feed.stub_mm is None:
                reason = f"the leaflet says {says:g} A, {has:g} A lies before it"
                yield view.hit(address, fuse=address, reason=reason)
            thin = _thinner(view, feed.circuits, leaflet.min_csa_mm2, point.owner)
            if thin is not None:
                wants = f"the leaflet wants a lead of at least {leaflet.min_csa_mm2:g} mm2"
                yield view.hit(address, "lead", fuse=address, reason=f"{wants}, {thin:g} mm2 leads")


def _thinner(view: View, circuits: Iterable[str], least: float | None, unit: str) -> float | None:
    """The thinnest wire of these circuits below what a leaflet asks for, its unit's own apart."""
    sizes_mm2 = [
        wire.wire.csa_mm2
        for circuit in circuits
        for wire in view.harness.conductors_by_circuit.get(circuit, ())
        if wire.wire is not None and wire.wire.csa_mm2 is not None
        if wire.point is None or wire.point.end != unit
    ]
    thinnest = min(sizes_mm2, default=None)
    if least is None or thinnest is None or not is_under(thinnest, least):
        return None
    return thinnest
