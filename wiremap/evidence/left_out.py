"""What a job leaves out on a proposal's word alone, though the machine had it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wiremap.evidence.answers import answer
from wiremap.evidence.cavity_lookup import cavity_of
from wiremap.evidence.expected import electrical, refused
from wiremap.evidence.partners import partners
from wiremap.model import Address, Job, Need, frozen
from wiremap.trade.functions import called

NOTHING_THERE = "nothing there"
NOT_GUESSED = "never joined on a guess"
NO_PARTNER = "no partner: nearest is "
LOST_PARTNER = "its partner goes with another contact now: "
NONE_CARRIES = "no contact on the other side carries "
NOT_KNOWN = "nobody knows what it is for: find out first"
NONE_THERE = "the other side has no contact that may be joined"
WORKING = frozenset({"drive", "lamp", "speaker", "input", "loop", "bus"})  # classes that did work


def is_own_reason(why: str) -> bool:
    """Whether a proposal wrote why a contact stays out; anything else is a person's reason."""
    if why == NOTHING_THERE or f": {NOT_GUESSED}" in why:
        return True
    return why.startswith((NO_PARTNER, LOST_PARTNER, NONE_CARRIES, NONE_THERE, NOT_KNOWN))


def not_agreed(job: Job) -> Iterator[tuple[Address, str]]:
    """Each working contact of the machine that a proposal left out, and the reason that it gave.

    What a person gave a reason for, or answered of its partner, is agreed; so is what its paper
    says may be left out.
    """
    said = partners(job)
    for left in job.not_joined.values():
        point = Address.read(left.point)
        known = cavity_of(job, point)
        if known is None or not known.end.is_machine or point in said:
            continue
        cavity = known.cavity
        if electrical(cavity) not in WORKING or refused(cavity):
            continue
        if cavity.need is Need.MAY and "need" in cavity.places:
            continue
        if left.why and is_own_reason(left.why):
            yield point, left.why


def with_known_left_out(job: Job) -> Job:
    """The job with why contacts stay out of which nobody knew what they are, and of which an answer
    says that nothing is there.
    """
    found = {}
    for point, left in job.not_joined.items():
        known, said = cavity_of(job, point), answer(job, point)
        if said is None or known is None or not left.why.startswith(NOT_KNOWN):
            continue
        if electrical(known.cavity) == "nothing":
            told = f"{called(known.cavity.function)}, by {said.by}"
            found[point] = replace(left, why=told)
    return replace(job, not_joined=frozen({**job.not_joined, **found})) if found else job
