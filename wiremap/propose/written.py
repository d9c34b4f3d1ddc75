"""The proposal as a commented job file."""

from __future__ import annotations

from wiremap.files.dump import dump_job
from wiremap.model import Job
from wiremap.propose.result import Proposal


def job_text(proposal: Proposal, job: Job) -> str:
    """The job as YAML, with what a person has to settle told above it."""
    asks = [c for c in proposal.circuits if c.grade == "ask"]
    header = [
        "A proposal, not a finding: nothing here has been measured.",
        f"{len(proposal.circuits)} circuits: "
        + ", ".join(
            f"{sum(c.grade == g for c in proposal.circuits)} {g}"
            for g in ("certain", "likely", "ask")
        )
        + ".",
    ]
    if asks:
        header += [
            "Each `ask` holds until a named person has settled it under `confirmed`, saying how:",
            f'  confirmed: [{{circuit: {asks[0].join[0]}, by: AB, date: 2026-01-31, how: "what was seen"}}]',
        ]
    for need in proposal.needs_logic:
        header.append(f"Needs more than a splice: {', '.join(need.points)}: {need.why}.")
    for lost in proposal.no_home:
        header.append(f"No home: {lost.point}: {lost.why}.")
    header += [
        "In-line units, taps, fuses and studs are added by hand; so are tail lengths, `fed`, `supply` and `surroundings`.",
        "Wiring only: this does not prove that the two units understand each other.",
    ]
    return dump_job(job, header=header)
