"""Family `parts`: what a unit's outputs come to together, and what its grounds lead back."""

from __future__ import annotations

from wiremap.rules.cure import SIGN, said_anew
from wiremap.rules.fed_units import FedUnit, contacts_good_for, fed_units, grounds_good_for
from wiremap.rules.limits import is_over
from wiremap.rules.registry import Family, Hit, Hits, Matter
from wiremap.rules.view import View

PARTS = Family("parts", Matter.UNIT)
COMES_IN = "common practice: what outputs give comes in by the supply"


@PARTS.stop(
    "outputs-over-fuse",
    source=COMES_IN,
    what="{unit}: the loads of its outputs come to {amps:.3g} A, the fuses before it to "
    "{fuses:g} A",
    why="With all of them on the fuse opens; then somebody fits one that the wires do not stand.",
    fix="Feed some of the loads past the unit, or have a named person sign that they are never on "
    "together" + SIGN,
)
def outputs_over_fuse(view: View) -> Hits:
    """A unit whose outputs' loads together are over the fuses that feed it."""
    for unit in fed_units(view):
        if unit.is_over_fuse:
            yield view.described_hit(
                *unit.feeds, unit=unit.name, amps=unit.given_amps, fuses=unit.fuse_amps
            )


@PARTS.caution(
    "outputs-over-supply",
    source=COMES_IN,
    what="{unit}: the loads of its outputs come to {amps:.3g} A, it is stated to draw "
    "{drawn:.3g} A",
    why="Fuse, wire, contact and drop of its feed are judged by what it is stated to draw.",
    fix="State what it draws with all on that may be on together"
    + said_anew("amps")
    + ", or have a named person sign that no more ever are"
    + SIGN
    + ".",
)
def outputs_over_supply(view: View) -> Hits:
    """A unit whose outputs' loads come to more than it is stated to draw, within its fuses."""
    for unit in fed_units(view):
        if unit.is_over_drawn and not unit.is_over_fuse:
            yield view.described_hit(
                *unit.feeds, unit=unit.name, amps=unit.given_amps, drawn=unit.drawn_amps
            )


@PARTS.stop(
    "grounds-over-contacts",
    source="maker's contact current; what flows in flows out",
    what="{unit}: {amps:.3g} A flow back through {points}, good for {good:g} A",
    why="An overloaded ground contact heats and opens; then the unit finds another way to ground.",
    fix="Join all its grounds, or lead a part of the load back past this connector.",
)
def grounds_over_contacts(view: View) -> Hits:
    """A unit's ground contacts that bear less together than what it draws itself and sinks; what
    one is stated to carry alone is told by `contact-current`.
    """
    for unit in fed_units(view):
        amps, good = unit.returned_amps, contacts_good_for(unit)
        stated = (each.cavity.amps for each in unit.grounds if each.cavity)
        fits = good is not None and all(each is None or each <= good for each in stated)
        if good is not None and fits and is_over(amps, good):
            yield _grounds_hit(view, unit, amps, good)


@PARTS.caution(
    "return-below-feeds",
    source="one fault at a time, common practice; heat balance of one wire",
    what="{unit}: a fault behind one fuse and the loads behind the others bring {amps:.3g} A back "
    "through {points}, good for {good:.3g} A",
    why="A ground that several fuses share is protected by none of them.",
    fix="Join all its grounds, use thicker ones, or fit smaller fuses.",
)
def return_below_feeds(view: View) -> Hits:
    """A unit fed through several fuses whose grounds stand less together than what one of them
    lets pass for long and the loads behind the others.
    """
    for unit in fed_units(view):
        amps, good = unit.faulty_amps, grounds_good_for(view, unit)
        if len(unit.lines) > 1 and good is not None and is_over(amps, good):
            yield _grounds_hit(view, unit, amps, good)


def _grounds_hit(view: View, unit: FedUnit, amps: float, good: float) -> Hit:
    addresses = [point.address for point in unit.grounds]
    points = ", ".join(map(view.name, addresses))
    return view.described_hit(*addresses, unit=unit.name, amps=amps, good=good, points=points)
