"""What is asked before any explanation is told apart: half of a comb, or where a wire goes."""

from __future__ import annotations

import math
from collections.abc import Collection

from wiremap.diagnose.explain import Ask, first_half
from wiremap.diagnose.search import Search
from wiremap.diagnose.splits import Probed
from wiremap.diagnose.weigh import Evidence
from wiremap.evidence import is_short, is_silent
from wiremap.ringout.masks import ones_of
from wiremap.ringout.taken import Taken


def narrowing(search: Search) -> Ask | None:
    """Half of the smallest comb that beeped, as long as nobody knows which of its points met."""
    evidence, suppose = search.evidence, search.single.suppose
    answered: list[list[tuple[str, str]]] = []
    for index in ones_of(evidence.failing):
        taken = evidence.readings[index]
        if is_short(taken.entry) and not taken.is_alone and not taken.state:
            pairs = suppose.pairs_not_silent(index)
            if pairs and not any(evidence.read_alone(a, b) for a, b in pairs):
                answered.append(pairs)
    if not answered:
        return None
    pairs = min(answered, key=len)
    reds = tuple(dict.fromkeys(a for a, _ in pairs))
    blacks = tuple(dict.fromkeys(b for _, b in pairs))
    if len(blacks) > 1:
        blacks = first_half(blacks)
    else:
        reds = first_half(reds)
    if evidence.asked(reds, blacks):
        return None
    why = "they beeped all together: find out which of them it is, half of them at a time"
    return Ask(red=reds, black=blacks, why=why)


def sweep_for_wire(search: Search) -> Ask | None:
    """A sweep from a point that should have beeped and did not: where else does its wire go?"""
    evidence = search.evidence
    arrived: set[str] = set()
    for index, plain in enumerate(evidence.plain):
        if plain is not None and search.is_joined_as_drawn(index):
            arrived.update((plain.a, plain.b))
    silences = [
        taken
        for taken in map(evidence.readings.__getitem__, ones_of(evidence.failing))
        if _is_lone_silence(taken)
    ]
    torn = {evidence.drawn.net_of[a] for t in silences for a in t.points}
    for silence in silences:
        for point in silence.points:
            there = () if point in arrived else _elsewhere(evidence, point, torn)
            if len(there) > 2 and not evidence.asked((point,), there):
                why = f"sweep over them one after another: where does the wire of {point} go?"
                return Ask(red=(point,), black=there, why=why)
    return None


def _is_lone_silence(taken: Taken) -> bool:
    """Whether a reading is a silence between two points alone: if it failed, a wire is astray."""
    return taken.is_alone and is_silent(taken.entry) and not taken.diode_range


def _elsewhere(evidence: Evidence, point: str, torn: Collection[int]) -> Probed:
    """The points at which the wire of a point may be found and that were not tried against it yet.

    All points of other nets that lost a wire first; then all of its own net, one of any other.
    Points that a part joins it with as drawn are left out.
    """
    drawn = evidence.drawn
    likely: list[str] = []
    there: list[str] = []
    for net, points in drawn.reached.items():
        if net == drawn.net_of[point]:
            there += points
        elif net in torn:
            likely += points
        else:
            there += points[:1]
    there = likely + there
    free = [other for other in there if other != point and not evidence.tried(point, other)]
    sound = drawn.sound
    return tuple(
        other
        for other in free
        if math.isinf(sound.ohms((point,), (other,)).low) and not sound.diode((point,), (other,))
    )
