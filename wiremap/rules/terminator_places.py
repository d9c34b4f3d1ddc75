"""Where the terminators of a bus lie, as far as it is told."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from wiremap.model import Address, Extra
from wiremap.rules.limits import limit
from wiremap.rules.pairs import Pair
from wiremap.rules.segments import Segment, segments
from wiremap.rules.view import View
from wiremap.sizing.unjudged import About, NotJudged


def added_terminators(view: View, segment: Segment) -> list[Extra]:
    """The job's resistors between the legs of a segment, of the ohms of one terminator or two."""
    terminators = []
    for extra in view.extras(segment.high, "resistor"):
        across = any(leg in segment.low for leg in extra.legs)
        if (
            across
            and extra.ohms is not None
            and (is_one_terminator(extra.ohms, extra.ohms) or is_both_terminators(extra))
        ):
            terminators.append(extra)
    return terminators


def is_both_terminators(extra: Extra) -> bool:
    """Whether a resistor has the ohms of two terminators side by side."""
    least, most = limit("terminator-least-ohms") / 2, limit("terminator-most-ohms") / 2
    return extra.ohms is not None and least <= extra.ohms <= most


def is_one_terminator(low: float, high: float) -> bool:
    """Whether ohms are those of one terminator."""
    return limit("terminator-least-ohms") <= low and high <= limit("terminator-most-ohms")


def crowded_terminators(view: View, segment: Segment) -> list[list[Extra]]:
    """The job's terminators of a segment that lie across the same joints, where several do, or
    one stands for two.
    """
    places: dict[frozenset[str], list[Extra]] = defaultdict(list)
    for extra in added_terminators(view, segment):
        joints = (joint.id for leg in extra.legs for joint in view.harness.joints_at(leg))
        places[frozenset(joints)].append(extra)
    return [
        extras for extras in places.values() if len(extras) > 1 or is_both_terminators(extras[0])
    ]


def unplaced(view: View) -> Iterator[NotJudged]:
    """Pairs of the machine with one terminator left in its loom, while nobody tells whether the
    old unit was the bus's other end.
    """
    for segment in view.once(segments):
        for pair in segment.pairs:
            if view.job.ends[pair.end].is_machine and _keeps_one(view, pair):
                why = "whether the bus ends here is open: the old unit's ohms are not stated"
                legs = (pair.high.address, pair.low.address)
                yield NotJudged(subject=legs, why=why, about=About.OTHER)


def _keeps_one(view: View, pair: Pair) -> bool:
    pinout = view.job.ends[pair.end].pinout
    names = {Address.read(leg.address).cavity for leg in pair.legs}
    if any({link.a, link.b} == names for link in pinout.inside):
        return False
    behind = (*pinout.behind, *pinout.found)
    return any({x.a, x.b} == names and is_one_terminator(x.ohms.low, x.ohms.high) for x in behind)
