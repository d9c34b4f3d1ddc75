"""What one way to fit a unit takes, counted from its job: graph, slips, survey and ring-out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from typing import Any

from wiremap.base import Finding, Severity
from wiremap.check import Checked
from wiremap.graph import ConductorOrigin, Harness, Point
from wiremap.model import Cavity, End, EndKind, ExtraKind, Job, Treat
from wiremap.ringout.plan import plan
from wiremap.share.harm import harmful_slips
from wiremap.survey.rows import survey

MATED = (EndKind.PIGTAIL, EndKind.MATE)
MINUTES_AN_HOUR = 60
MM_A_METRE = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class Minutes:
    """How many minutes a joint, a contact, a reading takes, as the user says; None: not told."""

    joint: float | None = None
    contact: float | None = None
    reading: float | None = None

    @property
    def any_told(self) -> bool:
        """Whether any of them was told."""
        return (self.joint, self.contact, self.reading) != (None, None, None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """What one way takes, and what it leaves of the machine.

    `joints` are the splices made, Ts on wires in service among them; `contacts` what is crimped on
    new wires: contacts, rings, holder contacts; `mated` how many contacts of this job's plugs a
    current passes; `plugs` the connectors to buy; `wire_m` new wire as far as lengths are stated,
    `wires` its pieces.  `blanks` and `caps` count contacts that stay out, by how they are treated.
    `wires_cut` and `wires_uncut` are the machine's own; `joints_to_undo` are the joints and cuts
    that would be undone to put it back.  `harmful_slips` is None where they are not counted.
    `hours` counts what the user timed; None if nothing.
    """

    file: str
    verdict: str
    stops: int
    cautions: int  # not signed
    circuits: int
    joints: int
    contacts: int
    mated: int
    plugs: int
    blanks: int
    caps: int
    wires: int
    wire_m: float
    wires_cut: int
    wires_uncut: int
    survey_readings: int
    ring_out_readings: int
    harmful_slips: int | None
    joints_to_undo: int
    hours: float | None

    @property
    def places(self) -> int:
        """Every joint, crimp and mated contact: each a place that can fail."""
        return self.joints + self.contacts + self.mated

    def as_dict(self) -> dict[str, Any]:
        """As plain data."""
        return {**asdict(self), "places": self.places}


def count_way(checked: Checked, file: str, minutes: Minutes, *, full: bool) -> Way:
    """One job, counted.  The job was read, so it has a harness."""
    harness = checked.harness
    assert harness is not None
    job = harness.job
    new = [c for c in harness.conductors.values() if c.is_new]
    lengths = [conductor.length_mm for conductor in new if conductor.length_mm]
    joints, contacts = len(harness.joints), _contacts(harness)
    survey_readings, ring_out_readings = len(survey(job).rows), len(plan(harness).probes)
    cut = sum(_wire_count(end) for end in job.ends.values() if end.kind is EndKind.CUT_TAIL)
    tapped = sum(joint.tap for joint in harness.joints.values())
    treated = [entry.treat for entry in job.not_joined.values()]
    return Way(
        file=file,
        verdict=checked.verdict,
        stops=sum(finding.holds for finding in checked.findings),
        cautions=sum(_is_open_caution(finding) for finding in checked.findings),
        circuits=len(job.circuits),
        joints=joints,
        contacts=contacts,
        mated=_mated(harness),
        plugs=sum(end.kind is EndKind.MATE for end in job.ends.values()),
        blanks=treated.count(Treat.BLANK),
        caps=treated.count(Treat.CAP),
        wires=len(new),
        wire_m=round(sum(lengths) / MM_A_METRE, 2),
        wires_cut=cut,
        wires_uncut=sum(_wire_count(end) for end in _machine_ends(job)) - cut,
        survey_readings=survey_readings,
        ring_out_readings=ring_out_readings,
        harmful_slips=harmful_slips(harness, full=full),
        joints_to_undo=cut + tapped,
        hours=_hours(minutes, joints, contacts, survey_readings + ring_out_readings),
    )


def _machine_ends(job: Job) -> Iterator[End]:
    for end in job.ends.values():
        if end.is_machine:
            yield end


def _wire_count(end: End) -> int:
    """How many of an end's cavities bear a wire, as far as its paper tells."""
    return sum(_has_wire(cavity) for cavity in end.pinout.cavities.values())


def _has_wire(cavity: Cavity) -> bool:
    return not cavity.unused and cavity.as_found != "empty"


def _contacts(harness: Harness) -> int:
    """Ends of wires that are crimped into a plug, a ring or a holder."""
    return sum(
        _is_crimped(harness.points.get(node))
        for conductor in harness.conductors.values()
        if conductor.origin is not ConductorOrigin.LEAD
        for node in (conductor.a, conductor.b)
    )


def _is_crimped(point: Point | None) -> bool:
    """Whether a wire is crimped where it ends."""
    if point is None:
        return False
    if point.end is not None:
        return point.end.kind is EndKind.MATE
    return point.extra is not None and point.extra.kind in (ExtraKind.FUSE, ExtraKind.STUD)


def _mated(harness: Harness) -> int:
    """Contacts of this job's plugs that carry a circuit."""
    mated = (p for p in harness.points.values() if p.end is not None and p.end.kind in MATED)
    return sum(bool(harness.circuits_at(point.address)) for point in mated)


def _is_open_caution(finding: Finding) -> bool:
    return finding.severity is Severity.CAUTION and finding.accepted is None


def _hours(minutes: Minutes, joints: int, contacts: int, readings: int) -> float | None:
    """Hours for what was timed; None if nothing was."""
    if not minutes.any_told:
        return None
    each = ((joints, minutes.joint), (contacts, minutes.contact), (readings, minutes.reading))
    spent = sum(count * took for count, took in each if took is not None)
    return round(spent / MINUTES_AN_HOUR, 1)
