"""Family `bus`: the terminators that a job itself puts in: where they lie, what they bear."""

from __future__ import annotations

from wiremap.rules.cure import said_anew
from wiremap.rules.limits import limit
from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.segments import segments
from wiremap.rules.terminator_places import added_terminators, crowded_terminators
from wiremap.rules.view import View
from wiremap.sizing.around import around_of

BUS = Family("bus", Matter.WORKING)


@BUS.caution(
    "terminators-together",
    source="ISO 11898-2; common practice",
    what="{parts} across one place of {pair}: a bus has one terminator at each of its two ends",
    why="Past its terminators a bus has an open end: every edge comes back from there.",
    fix="Put one at the far end, or switch on the one in the unit there.",
)
def terminators_together(view: View) -> Hits:
    """Two terminators of the job across the same joints of one pair, or one resistor for both."""
    for segment in view.once(segments):
        for extras in crowded_terminators(view, segment):
            names = [extra.name for extra in extras]
            parts = " and ".join(f"{extra.name} ({extra.ohms:g} ohm)" for extra in extras)
            yield view.hit(*names, place=extras[-1].place, parts=parts, pair=segment.called)


@BUS.caution(
    "terminator-weak",
    source="common practice; SAE J1939-11 asks for about 0.4 W, from memory",
    what="{part} across {pair} is made for {rated}: {least:g} W is the least of a terminator; a "
    "bus wire that touches {volts:g} V puts {watts:.2g} W on it",
    why="A terminator that a short has burnt open leaves a bus that errs now and then.",
    fix="Take one of 0.5 W and say it" + said_anew("watts"),
)
def terminator_weak(view: View) -> Hits:
    """A terminator of the job of less than a quarter of a watt, or of watts that nobody tells."""
    volts = around_of(view.job).high_volts
    for segment in view.once(segments):
        for extra in added_terminators(view, segment):
            assert extra.ohms is not None  # else it is none
            if extra.watts is not None and extra.watts >= limit("terminator-watts"):
                continue
            yield view.hit(
                extra.name,
                place=extra.place,
                part=extra.name,
                pair=segment.called,
                rated="watts that nobody tells" if extra.watts is None else f"{extra.watts:g} W",
                least=limit("terminator-watts"),
                volts=volts,
                watts=volts**2 / extra.ohms,
            )
