"""Family `chain`: guard loops that must stay loops."""

from __future__ import annotations

from collections import defaultdict
from itertools import groupby, product

from wiremap.rules.cure import SIGN
from wiremap.rules.guards import (
    NAMELESS,
    GuardLoop,
    bridge_words,
    least_shunt,
    loops,
    meetings,
    met_loops,
)
from wiremap.rules.registry import Family, Hit, Hits, Matter
from wiremap.rules.signals import Signal
from wiremap.rules.view import View

CHAIN = Family("chain", Matter.PEOPLE)


@CHAIN.stop(
    "guard-open",
    what="guard loop {chain} is open at {a}{how}",
    why="The unit sees the guard as lifted and will not run; the next person is tempted to bridge "
    "it.",
    fix="Carry both ends of the loop through to their partners.",
)
def guard_open(view: View) -> Hits:
    """A contact of a guard loop that is not carried through to a partner on another connector."""
    for loop in view.fixed(loops):
        for point in loop.points:
            if view.idle_tap(point) or met_loops(view, point):
                continue
            met = [view.name(signal.address) for signal in view.beside(point.address)]
            how = ": it is not joined"
            if met:
                how = f": it meets {', '.join(met)}, of no loop"
            yield view.hit(point.address, chain=loop.called, how=how)


@CHAIN.stop(
    "guard-bridged",
    acceptable=False,
    source="common practice; ISO 14119 on defeating interlocks, from memory, unverified",
    what="guard loop {chain} is bridged: {a} and {b} {how}",
    why="With the loop bridged the machine runs with its guard open and can maim.",
    fix="Take the bridge out; a guard loop is carried through, never closed by an adapter.",
)
def guard_bridged(view: View) -> Hits:
    """Out and back of a guard loop of one connector connected, or with a part of low ohms of
    the job across.
    """
    for _, group in groupby(view.fixed(loops), key=lambda loop: loop.end):
        of_end = list(group)
        backs = [point for loop in of_end for point in loop.back]
        for loop in of_end:
            for out, back in product(loop.out, backs):
                how = bridge_words(view, out, back)
                if how:
                    yield _bridge_hit(view, loop, out.address, back.address, how)


def _bridge_hit(view: View, loop: GuardLoop, out: str, back: str, how: str) -> Hit:
    first, later = sorted((out, back), key=lambda address: str(view.place_of(address)))
    return view.hit(
        out,
        back,
        place=view.place_of(later),
        also=view.described(first, later),
        chain=loop.called,
        a=view.name(first),
        b=view.name(later),
        how=how,
    )


@CHAIN.caution(
    "guard-shunted",
    what="guard loop {chain}: {parts} ({ohms:g} ohm) across {a} and {b}",
    why="A unit that watches the loop by its current or its volts may take the guard for closed, "
    "or for broken.",
    fix="Take the part out, unless the unit's leaflet asks for it; then sign" + SIGN,
)
def guard_shunted(view: View) -> Hits:
    """A part of the job across a guard loop, of too many ohms to hold the loop shut."""
    told_of: set[str] = set()
    for loop in view.fixed(loops):
        for out, back in product(loop.out, loop.back):
            shunt = least_shunt(view, out, back)
            if shunt is None or shunt.parts in told_of:
                continue
            if not bridge_words(view, out, back):
                told_of.add(shunt.parts)
                facts = {"chain": loop.called, "parts": shunt.parts, "ohms": shunt.ohms}
                facts |= {"a": view.name(out.address), "b": view.name(back.address)}
                yield view.hit_with((out.address, back.address), facts)


@CHAIN.stop(
    "guards-crossed",
    what="guard loop {chain} of {end} is crossed with {other}",
    why="One guard then switches the other's function, and both seem to work.",
    fix="Join each loop to the one loop that it belongs to, out and back.",
)
def guards_crossed(view: View) -> Hits:
    """A guard loop whose two ends go to different loops, or to another one although its
    namesake is there.
    """
    known = {(loop.end, loop.chain) for loop in view.fixed(loops)}
    for loop in view.fixed(loops):
        for owner, chains in _met_chains(view, loop).items():
            signals = list(chains.values())
            astray = signals[1:]
            if loop.chain and (owner, loop.chain) in known:
                astray = [s for chain, s in chains.items() if chain != loop.chain] or astray
            if not astray:
                continue
            yield view.hit(
                *loop.addresses,
                place=view.place_of(astray[0].address),
                chain=loop.called,
                end=loop.end,
                other=" and ".join(f"{owner} {chain or NAMELESS}" for chain in chains),
            )


def _met_chains(view: View, loop: GuardLoop) -> dict[str, dict[str, Signal]]:
    """The loops of each other connector that a loop meets, each with the first contact met."""
    met: dict[str, dict[str, Signal]] = defaultdict(dict)
    for meeting in meetings(view, loop):
        theirs = meeting.theirs
        met[theirs.owner].setdefault(theirs.chain or "", theirs)
    return met


@CHAIN.note(
    "guard-exchanged",
    matter=Matter.WORKING,
    what="guard loop {chain}: out and back are exchanged between {end} and {other}",
    why="A plain loop reads alike both ways, but a unit that tests its own output may see a fault.",
    fix="Exchange the two if the unit reports the loop.",
)
def guard_exchanged(view: View) -> Hits:
    """A loop carried through whole, with its out on the other's back and its back on the
    other's out.
    """
    for loop in view.fixed(loops):
        met = meetings(view, loop)
        if len(met) < 2 or not all(meeting.is_turned for meeting in met):
            continue
        other = met[0].theirs.owner
        if loop.end < other:
            yield view.hit(*loop.addresses, chain=loop.called, end=loop.end, other=other)


@CHAIN.stop(
    "guard-half",
    what="guard loop {chain}: {a} and {b} are joined, but not the other two ends in the same way",
    why="With only one of the two turned round the loop does not run from the unit through the "
    "guard and back.",
    fix="Join out to out and back to back.",
)
def guard_half(view: View) -> Hits:
    """A loop with one wire carried straight and the other one turned round."""
    for loop in view.fixed(loops):
        met = meetings(view, loop)
        turned = [meeting for meeting in met if meeting.is_turned]
        if not turned or len(turned) == len(met):
            continue
        first, *_ = turned
        mine, theirs = first.mine, first.theirs
        if loop.end < theirs.owner:
            place = view.place_of(theirs.address)
            yield view.hit(mine.address, theirs.address, place=place, chain=loop.called)
