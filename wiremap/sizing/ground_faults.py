"""A fault inside a unit: its current flows back through the unit's grounds while the fuse holds."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from wiremap.graph import Conductor, Point
from wiremap.sizing.cases import Cases, family_of
from wiremap.sizing.circuit import Protected
from wiremap.sizing.fuse_judge import HEATS_WIRE, Against, Objection, high_objections
from wiremap.sizing.load import electrical_class
from wiremap.sizing.loops import FusedSection
from wiremap.sizing.paths import GROUNDS
from wiremap.sizing.sized import ROUND


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundWire:
    """A wire of a unit's return, and the share of a fault in the unit that it may carry.

    Of several side by side the best of the others is taken as open, as one joint may fail unseen
    (common practice: n - 1).
    """

    unit: str
    subject: str  # contact or circuit
    case: Protected
    share: float

    def objections(self, rating: float) -> Iterator[Objection]:
        """What the wire's heat and its contact tell against a fuse of this rating [A] before the
        unit.

        Raises OutOfRange where the heat balance of the wire does not hold.
        """
        amps, good = self.share * rating, self.case.contact_amps
        if good is not None and amps > good * (1 + ROUND):
            text = f"{amps:.3g} A are over its contact's {good:g} A"
            yield Objection(Against.CONTACT, text)
        for objection in high_objections(amps, self.case):
            if objection.kind in HEATS_WIRE:
                yield objection


class GroundFaults:
    """Finds the returns of the units behind each fuse of one job."""

    def __init__(self, cases: Cases) -> None:
        self.cases = cases
        self.loads = cases.loads
        self.harness = cases.harness
        self._of_unit: dict[str, tuple[GroundWire, ...]] = {}
        self._behind: dict[tuple[str, str, float | None], list[GroundWire]] = {}

    def behind(self, fused: FusedSection) -> Iterator[GroundWire]:
        """The wires of known size by which a fault in a unit of this section flows back.

        Of wires side by side that are alike the first stands for all.  Worked out once for each
        unit, family of fuses and resistance before the fuse.
        """
        ohms = self.cases.loops.before_ohms(fused)
        family = family_of(fused.fuse)
        for unit in self._units(fused):
            key = (unit, family, ohms)
            if key not in self._behind:
                self._behind[key] = list(self._behind_fuse(unit, family, ohms))
            yield from self._behind[key]

    def _behind_fuse(self, unit: str, family: str, ohms: float | None) -> Iterator[GroundWire]:
        """A unit's wires behind a fuse of a family, with so many ohms before it."""
        if unit not in self._of_unit:
            self._of_unit[unit] = tuple(self._unlike(unit))
        for wire in self._of_unit[unit]:
            yield replace(wire, case=replace(wire.case, family=family, source_ohms=ohms))

    def _units(self, fused: FusedSection) -> list[str]:
        """The units that a section supplies, by the names of their ends."""
        found = {}
        for address in fused.section.points:
            point = self.harness.points[address]
            if point.cavity is None or point.is_machine:
                continue
            if electrical_class(point.function) in ("supply", "lamp"):
                found[point.owner] = True
        return list(found)

    def _unlike(self, unit: str) -> Iterator[GroundWire]:
        """One wire of each kind in a unit's return, as no feed has been looked at yet."""
        for abreast in self._returns(unit):
            shares = self._shares(abreast)
            met = set()
            for wire in abreast:
                cable = self.loads.cables[wire.id]
                rated = self.cases.contact_amps(wire)
                kind = (cable, self.cases.limit_C(wire), shares[wire.id], rated)
                if kind not in met:
                    met.add(kind)
                    yield self._ground_wire(unit, wire, shares[wire.id])

    def _returns(self, unit: str) -> Iterator[list[Conductor]]:
        """The wires of a unit's return, those side by side together.

        At the unit, at the machine, and what lies between, which is taken to carry it all.
        """
        own, exits, between = [], [], []
        for wire in self._wires(unit):
            points = list(self.harness.points_on(wire))
            if any(point.owner == unit for point in points):
                own.append(wire)
            elif any(point.is_machine or point.is_stud for point in points):
                exits.append(wire)
            elif all(point.cavity is None for point in points):
                between.append(wire)
        yield own
        yield exits
        for wire in between:
            yield [wire]

    def _wires(self, unit: str) -> Iterator[Conductor]:
        """Every wire of known size on the metal of a unit's grounds, once."""
        circuits: dict[str, bool] = {}
        for point in self._grounds(unit):
            circuits.update(dict.fromkeys(self.loads.bench.of(point.address).circuits, True))
        for circuit in circuits:
            for wire in self.harness.conductors_by_circuit.get(circuit, ()):
                cable = self.loads.cables.get(wire.id)
                sized = cable is not None and cable.outside_mm is not None
                if sized and wire.has_length:
                    yield wire

    def _grounds(self, unit: str) -> Iterator[Point]:
        for point in self.harness.points.values():
            ground = point.owner == unit and point.function in GROUNDS
            if ground and self.harness.circuits_at(point.address):
                yield point

    def _ground_wire(self, unit: str, wire: Conductor, share: float) -> GroundWire:
        cable = self.loads.cables[wire.id]
        case = self.cases.circuit(
            cable,
            self.loads.amps.get(wire.id),
            None,
            limit_C=self.cases.limit_C(wire),
            contact_amps=self.cases.contact_amps(wire),
        )
        return GroundWire(
            unit=unit,
            subject=wire.point or wire.circuit,
            case=case,
            share=share,
        )

    def _shares(self, abreast: Sequence[Conductor]) -> dict[str, float]:
        """What each of some wires side by side carries with the best of the others open [1]."""
        known = all(each.length_mm for each in abreast)
        siemens = {}
        for each in abreast:
            area = self.loads.cables[each.id].area_mm2
            siemens[each.id] = area / (each.length_mm or 1.0) if known else area
        rising = sorted(siemens.values())
        together = sum(rising)
        shares = {}
        for name, mine in siemens.items():
            alone = len(rising) <= 2  # what lies beside it is the open one
            is_best = mine == rising[-1] and not alone
            others = 0.0 if alone else together - mine - rising[-2 if is_best else -1]
            shares[name] = mine / (mine + others)
        return shares
