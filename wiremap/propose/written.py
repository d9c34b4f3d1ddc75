"""The proposal as a commented job file."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from wiremap.base import plural
from wiremap.evidence import settle
from wiremap.evidence.confirmed import BETWEEN_POINTS, confirmed_circuits
from wiremap.files.dump import dump_job
from wiremap.model import EndKind, Grade, Job, Side
from wiremap.propose.result import GRADES, Proposal

_BY_HAND = (
    "Taps, fuses and studs are added by hand (an in-line module with its own: `wiremap start`); so "
    "are tail lengths, `fed`, `supply` and `surroundings`."
)


def job_text(proposal: Proposal, job: Job, assumed: str = "") -> str:
    """The job as YAML, with what a person has to settle, and what was assumed, told above it."""
    return dump_job(job, header=list(_header(proposal, job, assumed)))


def counted(job: Job) -> str:
    """How many circuits a job has, how many of each grade, by name and by hand."""
    by_name = confirmed_circuits(settle(job))
    count = Counter(circuit.grade for circuit in job.circuits if circuit.id not in by_name)
    parts = [f"{count[grade]} {grade}" for grade in GRADES]
    parts += [f"{len(by_name)} settled by name"] if by_name else []
    parts += [f"{count[None]} made by hand"] if count[None] else []
    return f"{plural(len(job.circuits), 'circuit')}: {', '.join(parts)}"


def _all_mated(job: Job) -> bool:
    """Whether every connector of machine and unit is mated; a unit in between may be too."""
    return all(end.kind is EndKind.MATE for end in job.ends.values() if end.side != Side.BETWEEN)


def _header(proposal: Proposal, job: Job, assumed: str) -> Iterator[str]:
    yield "A proposal, not a finding: nothing here has been measured."
    count = Counter(circuit.grade for circuit in proposal.circuits)
    yield f"{counted(job)}."
    if count[Grade.ASK]:
        first = next(circuit for circuit in proposal.circuits if circuit.grade is Grade.ASK)
        points = BETWEEN_POINTS.join(first.join)
        yield "Each `ask` holds until a named person settles it in the notebook (it stays here):"
        yield f'  wiremap next JOB --about "{points}" --answer yes --how "what was seen" --by NAME'
    for need in proposal.needs_logic:
        yield f"Needs more than a splice: {', '.join(need.points)}: {need.why}."
    for lost in proposal.no_home:
        yield f"Left out: {lost.point}: {lost.why}."
    if _all_mated(job):
        yield "Nothing is cut, each connector is mated: every circuit needs `wire` and `length_mm`."
    yield _BY_HAND
    if assumed:
        yield f"Assumed: {assumed}."
    yield "Wiring only: this does not prove that the two units understand each other."
