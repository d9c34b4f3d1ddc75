"""Family `parts`: what is stated of a load, held against its own words and against its like."""

from __future__ import annotations

from dataclasses import dataclass

from wiremap.graph import Point
from wiremap.model import Cavity
from wiremap.rules.cure import SIGN, said_anew
from wiremap.rules.limits import is_over, is_under, limit
from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.view import View
from wiremap.sizing.around import around_of
from wiremap.sizing.load import electrical_class
from wiremap.trade.loads import kind_of_load, told_watts

PARTS = Family("parts", Matter.UNIT)
LOADED = ("drive", "lamp", "supply")
JUDGED_BY_IT = "Output, wire, contact and fuse are judged by the stated amps"


@dataclass(frozen=True, slots=True)
class _Stated:
    """A joined contact of a load, and the amps that are stated there or of its only partner."""

    address: str
    cavity: Cavity
    amps: float


@PARTS.stop(
    "watts-against-amps",
    source="P = U I at nominal volts",
    what="{a}: {watts:g} W are {draws:.3g} A at {volts:g} V, but {stated:g} A are stated",
    why=f"{JUDGED_BY_IT}: one of the two is wrong.",
    fix="Read the plate of the load, or measure what it draws; then state these amps"
    + said_anew("amps"),
)
def watts_against_amps(view: View) -> Hits:
    """A load whose wording tells more watts than the stated amps give at nominal volts."""
    volts = _nominal_volts(view)
    for load in view.once(_loads):
        watts = told_watts(load.cavity.signal)
        if watts is None:
            continue
        draws = watts / volts
        if is_over(draws, load.amps * (1 + limit("ohms-margin"))):
            yield view.described_hit(
                load.address, watts=watts, draws=draws, volts=volts, stated=load.amps
            )


@PARTS.caution(
    "amps-below-kind",
    what="{a}: {stated:g} A are stated, {watts:.3g} W at {volts:g} V; {kind} usually draw "
    "{least:g} W or more",
    why=f"{JUDGED_BY_IT}; of a load stated too small none of them is right.",
    fix="Read the plate of the load, or measure what it draws; state these amps"
    + said_anew("amps")
    + "; or have a named person sign that this one draws so little"
    + SIGN,
)
def amps_below_kind(view: View) -> Hits:
    """A load that is stated to draw less than the smallest of its kind usually does."""
    volts = _nominal_volts(view)
    for load in view.once(_loads):
        kind = kind_of_load(load.cavity.signal)
        if kind is None or told_watts(load.cavity.signal) is not None:
            continue
        watts = load.amps * volts
        if is_under(watts, kind.least_watts):
            facts = {"watts": watts, "volts": volts, "stated": load.amps}
            yield view.described_hit(
                load.address, kind=kind.called, least=kind.least_watts, **facts
            )


def _nominal_volts(view: View) -> float:
    around = around_of(view.job)
    return around.volts or around.high_volts


def _loads(view: View) -> list[_Stated]:
    """Every joined contact that carries a load, with the amps that are stated of it."""
    loads = []
    for point in view.joined():
        if point.cavity is None or electrical_class(point.function) not in LOADED:
            continue
        amps = point.cavity.amps
        if amps is None:
            amps = _partners_amps(view, point)
        if amps is not None:
            loads.append(_Stated(point.address, point.cavity, amps))
    return loads


def _partners_amps(view: View, point: Point) -> float | None:
    """The amps that the only other contact on its metal states."""
    others = [view.points[each] for each in view.net_of(point.address).points]
    partners = [each.cavity for each in others if each.cavity and each.address != point.address]
    return partners[0].amps if len(partners) == 1 else None
