"""What a job leaves out on a proposal's word alone, though the machine had it."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.evidence.cavity_lookup import cavity_of
from wiremap.evidence.expected import electrical, refused
from wiremap.evidence.partners import partners
from wiremap.evidence.told_work import NOT_KNOWN
from wiremap.model import Address, Job, Need, Side

NOTHING_THERE = "nothing there"
NOT_GUESSED = "never joined on a guess"
NO_PARTNER = "no partner: nearest is "
LOST_PARTNER = "its partner goes with another contact now: "
NONE_CARRIES = "no contact on the other side carries "
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
        if known is None or known.end.side is not Side.MACHINE or point in said:
            continue
        cavity = known.cavity
        if electrical(cavity) not in WORKING or refused(cavity):
            continue
        if cavity.need is Need.MAY and "need" in cavity.places:
            continue
        if left.why and is_own_reason(left.why):
            yield point, left.why
