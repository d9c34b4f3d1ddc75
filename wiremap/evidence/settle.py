"""The notebooks' answers and judged survey readings, laid over what the files say."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from wiremap.evidence.answers import answers, compared
from wiremap.evidence.cavity_lookup import cavity_of
from wiremap.evidence.found_loads import with_found_loads
from wiremap.evidence.left_out import with_known_left_out
from wiremap.evidence.overlay import laid_over, with_cavity
from wiremap.evidence.parts_between import part_between
from wiremap.evidence.survey_readings import proven_addresses
from wiremap.evidence.two_values import replaced_by
from wiremap.model import Basis, Entry, Job, split


def settle(job: Job) -> Job:
    """The job with its notebooks' answers and readings applied; notebooks and claims are kept.

    An entry that fits its file carries no fingerprint afterwards: it has been compared.  Running
    it twice changes nothing more.
    """
    job = compared(job)
    job = _with_answers(job, _files_first(job))
    job = _with_answers(job, _of_added_parts(job))
    for address in proven_addresses(job):
        known = cavity_of(job, address)
        if known is not None and known.cavity.basis != Basis.MEASURED:
            job = with_cavity(job, address, basis=Basis.MEASURED)
    return with_found_loads(with_known_left_out(job))


def _with_answers(job: Job, said: Iterable[tuple[str, Entry]]) -> Job:
    """The job with answers laid over it, and what they took the place of."""
    replaced = list(job.replaced)
    for about, entry in said:
        answered = laid_over(job, about, entry)
        found = replaced_by(job, about, entry, answered)
        if found is not None:
            replaced.append(found)
        job = answered
    return replace(job, replaced=tuple(replaced))


def _files_first(job: Job) -> list[tuple[str, Entry]]:
    """The answers, those last that put a part between contacts: the others speak of the job as
    its files have it.
    """
    return sorted(answers(job).items(), key=lambda said: part_between(job, said[0]) is not None)


def _of_added_parts(job: Job) -> list[tuple[str, Entry]]:
    """The answers about parts that answers added: before, nothing bore their names."""
    added = {name for name, part in job.extras.items() if part.answered}
    if not added:
        return []
    return [each for each in answers(job).items() if split(each[0])[0] in added]
