"""What a sheet is made from: the settled job's graph and what was found out about it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

from wiremap.base import Finding, Severity
from wiremap.content.stops_passed import never_alone
from wiremap.evidence import NONE_YET, Count, refused, surveyed_cavities
from wiremap.evidence.probe_points import ADAPTER, kind_of
from wiremap.firstpower.judge import PowerVerdict
from wiremap.firstpower.step import PowerStep
from wiremap.graph import Conductor, Harness, Joint, Point
from wiremap.model import Address, Circuit, End, EndKind, Job
from wiremap.ringout.fuses import Fuse, fuses_out
from wiremap.ringout.plan import Plan
from wiremap.ringout.probe import Probe
from wiremap.ringout.unstated import unstated_loads
from wiremap.sizing.cutting import CutLength
from wiremap.sizing.feed_parts import Feed, FuseSize
from wiremap.sizing.job_sizes import JobSizes
from wiremap.sizing.placing import JointSize, RunLayout
from wiremap.sizing.unjudged import NotJudged
from wiremap.survey.rows import Survey


@dataclass(frozen=True, kw_only=True)
class Given:
    """All inputs of a sheet; where one is missing its rows are blank or left out."""

    harness: Harness
    findings: tuple[Finding, ...] = ()
    not_judged: tuple[NotJudged, ...] = ()
    surveyed: Count = NONE_YET  # cavities
    rung_out: Count = NONE_YET  # nets
    lacks_second: bool = False  # rung out, but not once more after the sleeves
    sizes: JobSizes | None = None
    plan: Plan | None = None
    harm: frozenset[str] = frozenset()  # circuits to exchange with harm: told on cards alone
    power: tuple[PowerStep, ...] = ()
    survey: Survey | None = None
    first_power: PowerVerdict | None = None  # over what is kept of it
    filled_in: bool = False  # what the notebook holds is printed too

    # -- the job ----------------------------------------------------------------------------------

    @property
    def job(self) -> Job:
        """The job itself."""
        return self.harness.job

    @property
    def inputs(self) -> tuple[str, ...]:
        """Paths of the files that the job was read from."""
        paths = [self.job.path]
        paths += [end.pinout.path for end in self.job.ends.values()]
        paths += [notebook.path for notebook in self.job.notebooks]
        return tuple(dict.fromkeys(paths))

    @cached_property
    def worked_circuits(self) -> list[Circuit]:
        """The circuits for which work is printed."""
        return [c for c in self.job.circuits if not self.refused_points(c)]

    def points(self, circuit: Circuit) -> list[Point]:
        """The points of a circuit that the job has."""
        known = self.harness.points
        return [known[address] for address in circuit.join if address in known]

    def circuits(self, addresses: Iterable[str]) -> list[Circuit]:
        """The circuits at some points, in the order of the points."""
        harness = self.harness
        return [harness.circuit(c) for a in addresses for c in harness.circuits_at(a)]

    def refused_points(self, circuit: Circuit) -> list[str]:
        """The points of a circuit that nobody may work on."""
        points = self.points(circuit)
        return [p.address for p in points if p.cavity is not None and refused(p.cavity)]

    @cached_property
    def worked_conductors(self) -> list[Conductor]:
        """The conductors of the circuits for which work is printed."""
        worked = {circuit.id for circuit in self.worked_circuits}
        return [c for c in self.harness.conductors.values() if c.circuit in worked]

    def conductors(self, joint: Joint) -> list[Conductor]:
        """The conductors that meet in a joint."""
        return [self.harness.conductors[c] for c in joint.conductors]

    def loose_ends(self, conductor: Conductor) -> Iterator[str]:
        """Where a wire ends that is no joint: in a contact, a holder, a ring."""
        for node in (conductor.a, conductor.b):
            if not self.harness.is_joint(node):
                yield node

    def treated(self, treat: str) -> list[Point]:
        """The cavities left out that are treated so, without those that nobody may touch."""
        found = []
        for point in self.harness.not_joined():
            entry = self.job.not_joined.get(point.address)
            if entry is None or entry.treat != treat:
                continue
            if point.cavity is not None and not refused(point.cavity):
                found.append(point)
        return found

    @property
    def adapter(self) -> bool:
        """Whether both ends are plugs: nothing is cut, all of it is rung out on the bench."""
        return kind_of(self.harness) == ADAPTER

    @cached_property
    def new_faces(self) -> tuple[str, ...]:
        """The ends whose face is probed while it is unmated: pigtails and plugs of our own."""
        kinds = (EndKind.PIGTAIL, EndKind.MATE)
        return tuple(end.name for end in self.job.ends.values() if end.kind in kinds)

    @cached_property
    def unmated_faces(self) -> tuple[str, ...]:
        """Of `new_faces` those that stay unmated while power is first on: an adapter's plugs into
        the machine are mated by then.
        """
        ends = self.job.ends
        return tuple(name for name in self.new_faces if not ends[name].is_machine)

    @cached_property
    def crimped_into(self) -> tuple[str, ...]:
        """The ends into whose cavities new wires go."""
        found: dict[str, None] = {}
        for conductor in self.worked_conductors:
            if not conductor.is_new:
                continue
            for node in (conductor.a, conductor.b):
                end = self.harness.end_of(node) if node in self.harness.points else None
                if end is not None and end.kind == EndKind.MATE:
                    found[end.name] = None
        return tuple(found)

    @cached_property
    def licensed(self) -> bool:
        """Whether a circuit of the job takes a licensed person: no stop is signed alone."""
        return never_alone(self.harness, self.findings)

    # -- the check --------------------------------------------------------------------------------

    @cached_property
    def stops(self) -> list[Finding]:
        """The findings that hold."""
        return [f for f in self.findings if f.holds]

    @property
    def held(self) -> bool:
        """Whether anything keeps the job on hold."""
        return bool(self.stops)

    @property
    def wrong_at_power(self) -> str:
        """Where first power is wrong, under the numbers of the sheet; empty where nothing is."""
        return self.first_power.stamp("P") if self.first_power is not None else ""

    @cached_property
    def cautions(self) -> list[Finding]:
        """Cautions, accepted or not."""
        return [f for f in self.findings if f.severity is Severity.CAUTION]

    @cached_property
    def not_surveyed(self) -> list[str]:
        """The machine's wires that ought to be measured before the cut and were not."""
        measured, countable = surveyed_cavities(self.harness)
        return [address for address in countable if address not in measured]

    # -- the ring-out -----------------------------------------------------------------------------

    @property
    def probes(self) -> tuple[Probe, ...]:
        """The readings of the ring-out."""
        return self.plan.probes if self.plan else ()

    @property
    def second(self) -> tuple[Probe, ...]:
        """The readings of the ring-out after the sleeves."""
        return self.plan.second if self.plan else ()

    @cached_property
    def met_outside(self) -> list[Probe]:
        """The readings with a net parted from what it meets outside the harness: they are taken
        at the beginning of first power.
        """
        return [probe for probe in self.probes if probe.state.parted]

    @cached_property
    def unstated_loads(self) -> tuple[Address, ...]:
        """The machine's wires whose loads are unplugged for the ring-out: nobody states them."""
        return unstated_loads(self.harness, kind_of(self.harness))

    @cached_property
    def fuses_out(self) -> tuple[Fuse, ...]:
        """The fuses that are out until first power puts them back."""
        return fuses_out(self.harness, self.sizes)

    # -- sizes ------------------------------------------------------------------------------------

    @property
    def feeds(self) -> tuple[Feed, ...]:
        """The feeds, sized."""
        return self.sizes.feeds if self.sizes else ()

    @property
    def fuses(self) -> tuple[FuseSize, ...]:
        """The job's own fuses, sized."""
        return tuple(self.sizes.fuses.values()) if self.sizes else ()

    @property
    def joints(self) -> tuple[JointSize, ...]:
        """The joints, sized."""
        return tuple(self.sizes.joints.values()) if self.sizes else ()

    @property
    def runs(self) -> tuple[RunLayout, ...]:
        """The runs, with the places of their joints."""
        return tuple(self.sizes.runs.values()) if self.sizes else ()

    @cached_property
    def surveyed_ends(self) -> tuple[End, ...]:
        """The machine's connectors at which the survey reads."""
        rows = self.survey.rows if self.survey else ()
        names = {Address.read(row.red).end for row in rows}
        ends = self.job.ends.values()
        return tuple(end for end in ends if end.name in names and end.is_machine)

    @property
    def before_what(self) -> str:
        """What must not be done before the job is understood: a cut, or for an adapter a mating."""
        is_cut = any(end.kind is EndKind.CUT_TAIL for end in self.job.ends.values())
        return "the cut" if is_cut else "a plug is mated"

    @property
    def cuts(self) -> tuple[CutLength, ...]:
        """How long each conductor is cut."""
        return tuple(self.sizes.cuts.values()) if self.sizes else ()

    def joint_size(self, joint: str) -> JointSize | None:
        """What was worked out for a joint, if anything was."""
        return self.sizes.joints.get(joint) if self.sizes else None

    def cut(self, conductor: str) -> CutLength | None:
        """How long a conductor is cut, where that is known."""
        return self.sizes.cuts.get(conductor) if self.sizes else None
