"""What a sheet is made from: the settled job's graph and whatever the other rooms found out about it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from wiremap.base import Finding, Severity
from wiremap.evidence import refused, surveyed_cavities
from wiremap.graph import Harness
from wiremap.model import Address, Circuit

if TYPE_CHECKING:
    from wiremap.firstpower.judge import PowerStep
    from wiremap.ringout.plan import Plan
    from wiremap.ringout.probe import Probe
    from wiremap.sizing.job import JobSizes
    from wiremap.sizing.placing import CutLength, JointSize
    from wiremap.survey.rows import Survey


@dataclass(frozen=True)
class Given:
    """All inputs of a sheet; every part but the harness may be missing, and then its rows are blank or left out."""

    harness: Harness
    findings: tuple[Finding, ...] = ()
    surveyed: tuple[int, int] = (0, 0)
    rung_out: tuple[int, int] = (0, 0)
    sizes: JobSizes | None = None
    plan: Plan | None = None
    harm: frozenset[str] = frozenset()  # circuits whose joints can be exchanged with harm
    power: tuple[PowerStep, ...] = ()
    survey: Survey | None = None

    @property
    def inputs(self) -> tuple[str, ...]:
        """Paths of the files that the job was read from."""
        job = self.harness.job
        return tuple(
            dict.fromkeys(
                [
                    job.path,
                    *(e.pinout.path for e in job.ends.values()),
                    *(n.path for n in job.notebooks),
                ]
            )
        )

    @property
    def held(self) -> bool:
        """Whether anything keeps the job on hold."""
        return any(f.holds for f in self.findings)

    @property
    def stops(self) -> list[Finding]:
        """The findings that hold."""
        return [f for f in self.findings if f.holds]

    @property
    def cautions(self) -> list[Finding]:
        """Cautions, accepted or not."""
        return [f for f in self.findings if f.severity is Severity.CAUTION]

    def refused_points(self, circuit: Circuit) -> list[Address]:
        """The points of a circuit that nobody may work on."""
        found = []
        for address in circuit.join:
            point = self.harness.points.get(address)
            if point is not None and point.cavity is not None and refused(point.cavity):
                found.append(address)
        return found

    @property
    def not_surveyed(self) -> list[str]:
        """The machine's wires that ought to be measured before the cut and were not."""
        measured, countable = surveyed_cavities(self.harness)
        return [a for a in countable if a not in measured]

    @property
    def met_outside(self) -> list[Probe]:
        """The readings taken while a net is parted from what it meets outside the harness: they stand at the head of first power."""
        return [p for p in self.plan.probes if p.state.parted] if self.plan else []

    def joint_size(self, joint: str) -> JointSize | None:
        """What was worked out for a joint, if anything was."""
        return self.sizes.joints.get(joint) if self.sizes else None

    def cut(self, conductor: str) -> CutLength | None:
        """How long a conductor is cut, where that is known."""
        return self.sizes.cuts.get(conductor) if self.sizes else None

    @property
    def worked(self) -> list[Circuit]:
        """The circuits for which work is printed."""
        return [c for c in self.harness.job.circuits if not self.refused_points(c)]
