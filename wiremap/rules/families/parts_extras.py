"""Family `parts`: resistors, diodes and fuses of the job, judged as what they are."""

from __future__ import annotations

from wiremap.rules.across import (
    PartAcross,
    PartSide,
    clash_across,
    holds_load,
    parts_across,
    pulled_up,
    series_amps,
    volts_across,
)
from wiremap.rules.clash_kinds import ClashKind
from wiremap.rules.cure import said_anew
from wiremap.rules.diodes import diode_amps, turned_in_ground
from wiremap.rules.guards import AS_METAL
from wiremap.rules.limits import is_over, limit
from wiremap.rules.registry import Family, Hit, Hits, Matter
from wiremap.rules.view import View

PARTS = Family("parts", Matter.UNIT)
OHM = "Ohm's law: P = U^2 / R"
HARMFUL = {
    ClashKind.SOURCES_JOINED: "joins two sources",
    ClashKind.OVER_VOLTAGE: "brings too many volts",
    ClashKind.SUPPLY_ON_SIGNAL: "feeds a signal from a supply",
    ClashKind.MACHINE_PAIRS_JOINED: "joins two buses of the machine",
    ClashKind.LEGS_CROSSED: "joins the two wires of a pair",
    ClashKind.RETURN_OFF_STAR: "joins a return to a ground in a second place",
}


@PARTS.stop(
    "resistor-overloaded",
    source=OHM,
    what="{part} ({ohms:g} ohm, {rated}) takes up to {watts:.3g} W at {volts:g} V between {a} and "
    "{b}",
    why="A resistor beyond its watts burns, and what lies beside it with it.",
    fix="Take one of more watts or more ohms, or take it out; say what it bears"
    + said_anew("watts"),
)
def resistor_overloaded(view: View) -> Hits:
    """A resistor that takes more power than it is made for; one of unstated watts counts as the
    smallest that is sold.
    """
    for part in parts_across(view, "resistor"):
        extra = part.extra
        volts = volts_across(view, part)
        if volts is None or extra.ohms is None:
            continue
        bears = extra.watts or limit("least-watts")
        watts = volts**2 / extra.ohms if extra.ohms else float("inf")
        if is_over(watts, bears):
            yield view.hit(
                extra.name,
                place=extra.place,
                part=extra.name,
                a=_carried(view, part.a),
                b=_carried(view, part.b),
                ohms=extra.ohms,
                rated=f"{extra.watts:g} W" if extra.watts else f"watts not told, {bears:g} W taken",
                watts=watts,
                volts=volts,
            )


def _carried(view: View, side: PartSide) -> str:
    """What a part's side carries first, by name; its leg where it carries nothing."""
    return view.name(side.signals[0].address) if side.signals else side.leg


@PARTS.stop(
    "resistor-in-load",
    source="P = I^2 R",
    what="{part} ({ohms:g} ohm, {rated}) lies in a line that carries {amps:.3g} A: {watts:.3g} W",
    why="A resistor beyond its watts burns, and what lies beside it with it.",
    fix="Take one of more watts or fewer ohms, or take it out; say what it bears"
    + said_anew("watts"),
)
def resistor_in_load(view: View) -> Hits:
    """A resistor in series with a load, or in a unit's ground, that takes more power than it is
    made for; one of unstated watts counts as the smallest that is sold.
    """
    for part in parts_across(view, "resistor"):
        extra, amps = part.extra, series_amps(view, part)
        if amps is None or not extra.ohms:
            continue
        highest = view.job.supply.max_volts or view.job.supply.volts
        if highest:
            amps = min(amps, highest / extra.ohms)
        bears = extra.watts or limit("least-watts")
        watts = amps**2 * extra.ohms
        if is_over(watts, bears):
            yield view.hit(
                extra.name,
                place=extra.place,
                part=extra.name,
                ohms=extra.ohms,
                rated=f"{extra.watts:g} W" if extra.watts else f"watts not told, {bears:g} W taken",
                amps=amps,
                watts=watts,
            )


@PARTS.stop(
    "resistor-lets-through",
    source="Ohm's law; input clamps bear about 1 mA, common practice",
    what="{part} ({ohms:g} ohm) pulls {a} up to {volts:.3g} V from {b} with {milliamps:.3g} mA; "
    "it is made for {stands}",
    why="A resistor keeps the current small, not the volts: an input or a reference dies slowly.",
    fix="Divide the volts with a second resistor to ground, or take the level from a source that "
    "fits.",
)
def resistor_lets_through(view: View) -> Hits:
    """A resistor from a source to a contact of fewer volts that drives more into it than it
    bears.
    """
    for part in parts_across(view, "resistor"):
        pulled = pulled_up(view, part)
        if pulled is not None:
            yield _part_hit(
                view,
                part,
                pulled.weak.address,
                pulled.strong.address,
                ohms=part.extra.ohms,
                volts=pulled.volts,
                milliamps=1000 * pulled.amps,
                stands=f"{pulled.weak.volts} V",
            )


@PARTS.stop(
    "resistor-as-wire",
    what="{part} of {ohms:g} ohm is next to a wire between {a} and {b}: it {does}",
    why="So few ohms part nothing: what must not be joined by a wire must not be joined by them.",
    fix="Take the part out, or give the two their own circuits.",
)
def resistor_as_wire(view: View) -> Hits:
    """A resistor between two circuits that a wire must not join, of a few ohms, or of so few that a
    load is held on through it.
    """
    for part in parts_across(view, "resistor"):
        if (part.extra.ohms or AS_METAL) < limit("as-wire-ohms") or holds_load(view, part):
            yield from _clash_hits(view, part)


@PARTS.stop(
    "diode-joins",
    what="{part} lets current through from {a} to {b}: it {does}",
    why="A diode stops one direction only; in the other it is a wire.",
    fix="Take the diode out, or give the two their own circuits.",
)
def diode_joins(view: View) -> Hits:
    """A diode that leads from what drives to what must not be driven from there."""
    for part in parts_across(view, "diode"):
        if part.a.drivers:
            yield from _clash_hits(view, part)


def _clash_hits(view: View, part: PartAcross) -> Hits:
    clash = clash_across(view, part.a, part.b)
    if clash is None:
        return
    kind, a, b = clash
    if kind in HARMFUL:
        ohms = part.extra.ohms or AS_METAL
        yield _part_hit(view, part, a.address, b.address, ohms=ohms, does=HARMFUL[kind])


def _part_hit(view: View, part: PartAcross, a: str, b: str, **facts: object) -> Hit:
    """A hit about a part and two contacts that it ties together, called `a` and `b`."""
    own_facts = {"part": part.extra.name, "a": view.name(a), "b": view.name(b)}
    return view.hit_with((part.extra.name, a, b), own_facts | facts, part.extra.place)


@PARTS.stop(
    "diode-shorts",
    acceptable=False,
    what="{part} conducts from {a} straight to {b}: the supply is shorted through it",
    why="A diode in that direction is a wire: it burns at first power, or takes the output with "
    "it.",
    fix="Turn it round: the ring (cathode) looks to the positive, the anode to ground.",
)
def diode_shorts(view: View) -> Hits:
    """A diode whose anode lies on a positive and whose cathode on a ground."""
    for part in parts_across(view, "diode"):
        positives = [
            s for s in part.a.drivers if s.is_positive or s.row.electrical in ("drive", "lamp")
        ]
        if positives and part.b.grounds:
            ground = part.b.grounds[0].address
            yield _part_hit(view, part, positives[0].address, ground)


@PARTS.stop(
    "diode-blocks",
    what="{part} blocks the way from {a} to {b}: nothing passes",
    why="Turned round, a diode is an open wire that no beep in one direction shows.",
    fix="Turn it round: current flows from anode (`.a`) to cathode (`.k`).",
)
def diode_blocks(view: View) -> Hits:
    """A diode whose cathode looks to the source and whose anode to what waits for it, or one whose
    anode looks to the machine's ground and whose cathode to a unit's.
    """
    for part in parts_across(view, "diode"):
        turned = turned_in_ground(part)
        if turned is not None:
            yield _part_hit(view, part, *turned)
        waiting = part.a.listeners
        if part.a.drivers or part.a.grounds or part.b.grounds:
            continue
        if waiting and part.b.drivers:
            yield _part_hit(view, part, part.b.drivers[0].address, waiting[0].address)


@PARTS.stop(
    "diode-overloaded",
    source="maker's forward current",
    what="{part}, good for {good:g} A, carries {amps:g} A",
    why="A diode beyond its current fails, mostly as a short.",
    fix="Take one of at least twice the current.",
)
def diode_overloaded(view: View) -> Hits:
    """A diode through which more flows than it is made for: a load behind it, or a coil's kick."""
    for part in parts_across(view, "diode"):
        good, amps = part.extra.amps, diode_amps(view, part)
        if good is not None and amps is not None and is_over(amps, good):
            name = part.extra.name
            yield view.hit(name, place=part.extra.place, part=name, good=good, amps=amps)
