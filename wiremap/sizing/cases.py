"""The wires and contacts behind a fuse, each as a circuit that the fuse shall protect: a case."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from functools import cached_property, lru_cache
from typing import NamedTuple

from wiremap.graph import Conductor, Harness, Net
from wiremap.model import Extra
from wiremap.sizing.around import Around
from wiremap.sizing.circuit import Protected
from wiremap.sizing.conductor import Cable
from wiremap.sizing.fuse import largest
from wiremap.sizing.fuse_limits import BLADE, FAMILIES
from wiremap.sizing.load import Loads, Peak
from wiremap.sizing.loops import FusedSection, Loops
from wiremap.sizing.paths import MeasuredWays

CARRIED_PAST = ("cut-tail", "tap")  # a cut-off contact and a tapped one carry nothing of it


class Case(NamedTuple):
    """One conductor behind a fuse, and the figures that the fuse is judged by."""

    subject: str  # its contact, or its circuit
    circuit: str  # id
    figures: Protected
    return_known: bool


class Cases:
    """Finds the circuits behind each fuse of one job."""

    def __init__(self, harness: Harness, loads: Loads, ways: MeasuredWays, around: Around) -> None:
        self.harness = harness
        self.loads = loads
        self.loops = Loops(harness, loads, ways, around)
        self.around = around

    def conductors(self, section: Net) -> Iterator[Conductor]:
        """Every conductor of a section's circuits."""
        for circuit in section.circuits:
            yield from self.harness.conductors_by_circuit.get(circuit, ())

    def behind(self, fused: FusedSection) -> Iterator[Case]:
        """One case for each conductor of known size: its contact, the way to it and back."""
        before = self.loops.before_ohms(fused)
        for conductor in self.conductors(fused.section):
            wire = self.loads.cables.get(conductor.id)
            if wire is None or wire.outside_mm is None or not conductor.has_length:
                continue
            loop = self.loops.loop(fused, conductor)
            figures = self.circuit(
                wire,
                self._own_amps(conductor, fused),
                fused.peak,
                limit_C=self.limit_C(conductor),
                family=family_of(fused.fuse),
                source_ohms=before,
                loop_ohms=loop.ohms,
                contact_amps=self.contact_amps(conductor),
            )
            subject = conductor.point or conductor.circuit
            yield Case(subject, conductor.circuit, figures, loop.return_known)

    def circuit(
        self,
        wire: Cable,
        load_amps: float | None,
        peak: Peak | None,
        *,
        limit_C: float | None = None,
        family: str = BLADE,
        source_ohms: float | None = None,
        loop_ohms: float | None = None,
        contact_amps: float | None = None,
    ) -> Protected:
        """A wire of this job with load [A] and peak, and what else is known of it."""
        around = self.around
        return Protected(
            wire=wire,
            load_amps=load_amps,
            source_ohms=source_ohms,
            loop_ohms=loop_ohms,
            min_volts=around.low_volts,
            max_volts=around.high_volts,
            battery_volts=around.battery_volts,
            ambient_C=around.ambient_C,
            limit_C=around.limit_C if limit_C is None else limit_C,
            bundle=around.bundle,
            contact_amps=contact_amps,
            family=family,
            inrush_amps=None if peak is None else peak.amps,
            inrush_s=None if peak is None else peak.seconds,
        )

    def limit_C(self, conductor: Conductor) -> float:
        """What a conductor's insulation stands [C]: as its contacts, their end or the job state.

        Of two contacts that state it for one wire, the lower counts.
        """
        if not self._limits_stated:
            return self.around.limit_C
        job = self.harness.job
        stated = []
        for point in self.harness.points_on(conductor):
            brings = point.address == conductor.point
            own = point.cavity is not None and point.cavity.limit_C is not None
            if brings or own:
                stated.append(job.limit_C(point.end, point.cavity))
        return min(stated, default=job.limit_C())

    @cached_property
    def _limits_stated(self) -> bool:
        """Whether any end or contact states a limit of its own, as few do."""
        ends = self.harness.job.ends.values()
        if any(end.limit_C is not None for end in ends):
            return True
        cavities = (point.cavity for point in self.harness.points.values())
        return any(cavity is not None and cavity.limit_C is not None for cavity in cavities)

    def _own_amps(self, conductor: Conductor, fused: FusedSection) -> float | None:
        own = self.loads.amps.get(conductor.id)
        return fused.load_amps if own is None else own

    def contact_amps(self, conductor: Conductor) -> float | None:
        """What the weakest contact that carries this conductor's current is good for [A]."""
        good_for = []
        for point in self.harness.points_on(conductor):
            if point.cavity is None or point.end is None or point.end.kind in CARRIED_PAST:
                continue
            if point.cavity.accepts.amps is not None:
                good_for.append(point.cavity.accepts.amps)
        return min(good_for, default=None)


def family_of(fuse: Extra | None) -> str:
    """The family whose published limits a fuse is judged by; blade where it names no other."""
    if fuse is not None and fuse.detail in FAMILIES:
        return fuse.detail
    return BLADE


def weakest_case(cases: Sequence[Protected], load_amps: float | None) -> Protected:
    """All conductors behind a fuse as one: the weakest wire, whole load, least contact."""
    thin = min(cases, key=endurance)
    return replace(
        thin,
        load_amps=_most([load_amps, *(case.load_amps for case in cases)]),
        contact_amps=min(_known(case.contact_amps for case in cases), default=None),
        loop_ohms=_most(case.loop_ohms for case in cases),
    )


@lru_cache(maxsize=1024)
def endurance(case: Protected) -> tuple[float, float]:
    """How much a wire stands: the largest fuse, then the current it carries singly [A].

    Raises OutOfRange where the heat balance of the wire does not hold.
    """
    unloaded = replace(case, load_amps=None, inrush_amps=None)
    return largest(unloaded) or 0.0, case.single_amps


def _known(figures: Iterable[float | None]) -> list[float]:
    return [figure for figure in figures if figure is not None]


def _most(figures: Iterable[float | None]) -> float | None:
    return max(_known(figures), default=None)
