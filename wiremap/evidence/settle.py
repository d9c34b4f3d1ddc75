"""The notebooks' answers and judged survey readings, laid over what the files say."""

from __future__ import annotations

from dataclasses import replace

from wiremap.evidence.answers import answers, compared
from wiremap.evidence.cavity_lookup import cavity_of
from wiremap.evidence.found_loads import with_found_loads
from wiremap.evidence.overlay import laid_over, with_cavity
from wiremap.evidence.survey_readings import proven_addresses
from wiremap.evidence.two_values import replaced_by
from wiremap.model import Basis, Job


def settle(job: Job) -> Job:
    """The job with its notebooks' answers and readings applied; notebooks and claims are kept.

    An entry that fits its file carries no fingerprint afterwards: it has been compared.  Running
    it twice changes nothing more.
    """
    job = compared(job)
    replaced = list(job.replaced)
    for about, entry in answers(job).items():
        answered = laid_over(job, about, entry)
        found = replaced_by(job, about, entry, answered)
        if found is not None:
            replaced.append(found)
        job = answered
    job = replace(job, replaced=tuple(replaced))
    for address in proven_addresses(job):
        known = cavity_of(job, address)
        if known is not None and known.cavity.basis != Basis.MEASURED:
            job = with_cavity(job, address, basis=Basis.MEASURED)
    return with_found_loads(job)
