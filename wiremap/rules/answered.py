"""What a named person has said of a contact's partner and the job does not show yet."""

from __future__ import annotations

from collections.abc import Mapping

from wiremap.evidence.confirmed import LEFT_ALONE
from wiremap.evidence.partners import Partner, partners, through_parts
from wiremap.model import Address
from wiremap.rules.cure import typed
from wiremap.rules.view import View

LET_IN = typed(": wiremap propose --keep-answers JOB -o job-2.yaml")


def said_already(view: View, address: str) -> str:
    """That it is said what a contact goes with, and how that comes into the job; else empty."""
    point = Address.read(address)
    partner = view.fixed(_partners).get(point)
    if partner is None or _is_shown(view, partner):
        return ""
    goes_with = partner.goes_with or LEFT_ALONE
    return f"; {partner.entry.by} has said it ({goes_with}): let it into the job{LET_IN}"


def _partners(view: View) -> Mapping[Address, Partner]:
    return partners(view.job)


def _is_shown(view: View, partner: Partner) -> bool:
    if partner.goes_with is None:
        return not view.is_joined(partner.point)
    return partner.goes_with in through_parts(view.job, partner.point)
