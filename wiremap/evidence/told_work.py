"""What hands have done, told by an answer: a joint held on both sides, a contact that stays out."""

from __future__ import annotations

from dataclasses import replace

from wiremap.evidence.confirmed import circuit_at
from wiremap.model import Address, Circuit, Entry, Job, Treat, frozen

HELD = ".supported"  # behind the points of a circuit: whether its joints are held is spoken of
TREATED = ".treat"  # behind a contact that stays out: what is done with it is spoken of


def held_circuit(job: Job, about: str) -> Circuit | None:
    """The circuit whose joints an answer calls held; None if it speaks of none."""
    return circuit_at(job, about.removesuffix(HELD)) if about.endswith(HELD) else None


def treated_contact(job: Job, about: str) -> Address | None:
    """The contact that stays out and whose treatment an answer tells; None if of none."""
    address = Address.read(about.removesuffix(TREATED))
    return address if about.endswith(TREATED) and address in job.not_joined else None


def with_work(job: Job, about: str, entry: Entry, *, yes: bool) -> Job:
    """The job with what was told of a joint or of a contact; `yes`: that the joint is held."""
    held = held_circuit(job, about)
    if held is not None:
        circuits = (replace(each, supported=yes) if each is held else each for each in job.circuits)
        return replace(job, circuits=tuple(circuits))
    contact, word = treated_contact(job, about), entry.answer.strip().casefold()
    if contact is None or word not in tuple(Treat):
        return job
    left = job.not_joined[contact]
    told = replace(left, treat=Treat(word), why=left.why.strip() or entry.how)
    return replace(job, not_joined=frozen({**job.not_joined, contact: told}))
