"""Family `bus`: what stands between the legs of each segment by itself."""

from __future__ import annotations

import math

from wiremap.evidence.resistors import EXAMPLE, RESISTOR, joints_across
from wiremap.model import Span
from wiremap.rules.cure import typed
from wiremap.rules.limits import limit
from wiremap.rules.registry import Family, Hit, Hits, Matter
from wiremap.rules.segments import (
    Segment,
    is_known,
    is_unanswered,
    nodes_waiting,
    segment_ohms,
    segments,
)
from wiremap.rules.view import View

BUS = Family("bus", Matter.WORKING)
CAN_CABLE = "ISO 11898-2 (terminators 100 to 130 ohm, read in reprints)"


@BUS.stop(
    "switch-unanswered",
    source=CAN_CABLE,
    what="{switch} ({ohms} ohm between {a} and {b}{delivered}): nobody has said whether it is on",
    why="A terminator too many or too few stops the bus; how it was delivered is not how it "
    "stands.",
    fix="Look at the switch and answer on or off" + typed(": wiremap next JOB --about {switch}"),
)
def switch_unanswered(view: View) -> Hits:
    """A terminator switch on a joined pair without an answer."""
    for bond in view.harness.bonds:
        if bond.end is None or not is_unanswered(bond) or not view.net_of(bond.a).circuits:
            continue
        end = view.job.ends[bond.end]
        delivered = end.pinout.switches[bond.name].delivered
        name = f"{bond.end}.{bond.name}"
        yield view.hit(
            name,
            place=end.place,
            also=((bond.place, "the switch is described here"),) if bond.place else (),
            switch=name,
            name=bond.name,
            ohms=bond.ohms,
            a=bond.a,
            b=bond.b,
            delivered=f", delivered {delivered}" if delivered else "",
        )


@BUS.stop(
    "terminators",
    source=CAN_CABLE,
    what="between the wires of {pair} ({a}, {b}) stand {ohms} ohm where two terminators give 60: "
    "{so}",
    why="A bus ends in two terminators of 120 ohm on each segment; with any other number the "
    "edges ring or sag.",
    fix="{cure}",
)
def terminators(view: View) -> Hits:
    """A segment whose known parts do not come to two terminators side by side."""
    least, most = both_terminators()
    for segment in view.once(segments):
        if view.once(nodes_waiting).intersection(segment.nodes) or not is_known(view, segment):
            continue  # asked first
        ohms = segment_ohms(view, segment)
        if ohms.low < least or ohms.high > most:
            so, cure = _verdict(ohms, _put_across(view, segment))
            unread = _unread(view, segment) if ohms.low > most else ""
            cure = unread or cure
            yield _segment_hit(view, segment, ohms=_shown(ohms), so=so, cure=cure)


def both_terminators() -> tuple[float, float]:
    """The least and the most that two terminators side by side give [ohm]."""
    return limit("terminator-least-ohms") / 2, limit("terminator-most-ohms") / 2


def _unread(view: View, segment: Segment) -> str:
    """What to read first where nobody knows what a unit or a loom has between its legs; else
    empty.
    """
    known = {frozenset((bond.a, bond.b)) for bond in view.harness.bonds}
    asked = []
    for pair in segment.pairs:
        legs = frozenset(leg.address for leg in pair.legs)
        if legs not in known:
            asked.append(f"{pair.high.address} to {pair.low.address}")
    if not asked:
        return ""
    read = (
        f"Put nothing across yet: battery off, each connector by itself, read {' and '.join(asked)}"
    )
    keep = typed(" (wiremap survey JOB --readings FILE --save)")
    return f"{read}{keep}; 120 ohm there is one terminator, 60 are both."


def _segment_hit(view: View, segment: Segment, **facts: object) -> Hit:
    a, b = segment.legs
    also = view.described(a, b) if "ohms" in facts else ()
    named = {"pair": segment.called, "a": a, "b": b}
    return view.hit_with((a, b), named | facts, None, also)


def _shown(ohms: Span) -> str:
    if ohms.exact:
        return "no" if math.isinf(ohms.low) else f"{ohms.low:.3g}"
    high = "open" if math.isinf(ohms.high) else f"{ohms.high:.3g}"
    return f"{ohms.low:.3g} to {high}"


def _put_across(view: View, segment: Segment) -> str:
    """How a terminator of the job's own is told, at the first pair whose wires it joins."""
    for pair in segment.pairs:
        end, high = pair.high.end, pair.high.cavity
        if end is not None and high is not None and joints_across(view.job, end, high):
            about = f"{pair.high.address}.{RESISTOR}"
            return typed(f': wiremap next JOB --about {about} --answer "{EXAMPLE}" --by NAME')
    return ""


def _verdict(ohms: Span, put: str) -> tuple[str, str]:
    """What is wrong between the legs, and its cure; `put` tells how a resistor is added."""
    least, most = both_terminators()
    if ohms.high < limit("legs-touch-ohms"):
        return "the two wires touch", "Find the joint that ties the two together."
    if ohms.high < least:
        cure = "Switch one terminator off or leave one resistor out; the two at the ends stay."
        return "one too many", cure
    if ohms.low > limit("no-terminator-ohms"):
        cure = (
            "Switch a terminator on, or put 120 ohm across, at each of the two ends of the segment"
        )
        return "none", f"{cure}{put}."
    if ohms.low > most:
        cure = "Switch one on, or put 120 ohm across, at the end that has none"
        return "one is missing", f"{cure}{put}."
    cure = "Measure between the two with the battery off and write the ohms down."
    return "not told closely enough", cure


@BUS.caution(
    "terminators-unknown",
    source=CAN_CABLE,
    what="nothing is known of the terminators of {pair} ({a}, {b})",
    why="With the old unit a terminator of the bus may go away.",
    fix="Battery off, read between the two into the loom and into the unit"
    + typed(": wiremap survey JOB; what a unit has is answered: wiremap next JOB --about {high}")
    + ".",
)
def terminators_unknown(view: View) -> Hits:
    """A joined CAN segment between whose wires no ohms at all are stated."""
    for segment in view.once(segments):
        if not is_known(view, segment):
            pairs = sorted(segment.pairs, key=lambda p: view.job.ends[p.end].is_machine)
            yield _segment_hit(view, segment, high=f"{pairs[0].high.address}.terminator")
