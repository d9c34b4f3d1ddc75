"""Two contacts that no answer makes partners: what the machine feeds, and what must not be fed."""

from __future__ import annotations

from types import MappingProxyType

from wiremap.evidence.cavity_lookup import PlacedCavity, cavity_of
from wiremap.evidence.expected import electrical
from wiremap.model import Address, Cavity, Flow, Job
from wiremap.trade.functions import called

OF_UNIT = MappingProxyType(  # by class: what a unit drives or feeds itself
    {
        "drive": "an output of the unit",
        "lamp": "an output of the unit",
        "speaker": "an output of the unit",
        "reference": "what feeds the unit's sensors",
    }
)
ANYWHERE = MappingProxyType(  # by class: what nothing feeds at a machine either
    {
        "ground": "a ground",
        "shield": "a shield",
        "bus": "a wire of a bus",
        "data": "a data wire",
        "loop": "a guard's wire",
    }
)


def not_partners(job: Job, one: Address, other: Address) -> str:
    """Why a supply of the machine cannot go with the other contact; empty where it may."""
    mine, theirs = cavity_of(job, one), cavity_of(job, other)
    if mine is None or theirs is None:
        return ""
    if _is_fed_by_machine(mine):
        return _why_not(one, mine.cavity, other, theirs)
    return _why_not(other, theirs.cavity, one, mine) if _is_fed_by_machine(theirs) else ""


def _is_fed_by_machine(known: PlacedCavity) -> bool:
    return known.end.is_machine and electrical(known.cavity) == "supply"


def _why_not(source: Address, supply: Cavity, load: Address, known: PlacedCavity) -> str:
    what = _never_fed(known)
    if not what:
        return ""
    return (
        f"{source} is {called(supply.function)}, and {load} is read as {what} "
        f"({called(known.cavity.function)}): no supply belongs there; if one of them is something "
        f"else, say that first: --about {load} or --about {source}"
    )


def _never_fed(known: PlacedCavity) -> str:
    """What a contact is that nothing may feed; empty for one that may be fed."""
    cavity, group = known.cavity, electrical(known.cavity)
    if known.end.is_machine or group not in OF_UNIT:
        return ANYWHERE.get(group, "")
    comes_in = cavity.flow is not Flow.FROM_UNIT and not cavity.reading.feeds_out(known.end.side)
    return "" if group == "lamp" and comes_in else OF_UNIT[group]
