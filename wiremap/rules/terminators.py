"""Family `bus`, terminators: what stands between the legs of each segment by itself."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

import networkx as nx

from wiremap.base import Severity
from wiremap.graph import Net, span_ohms
from wiremap.graph.walks import graph_of, reached
from wiremap.model import Span
from wiremap.rules.bus import Pair, family_of, halves
from wiremap.rules.registry import Hit, rule
from wiremap.rules.view import View

CAN_CABLE = "ISO 11898-2 (terminators 100 to 130 ohm, read in reprints)"
# Two terminators of 100 to 130 ohm side by side; what a node without one adds (10 kohm and more) is within the band.
LEAST_OHMS, MOST_OHMS = 100 / 2, 130 / 2


@dataclass(frozen=True, slots=True)
class Segment:
    """One stretch of CAN pair: its two metals and the pairs that lie on it."""

    high: Net
    low: Net
    pairs: tuple[Pair, ...]


def segments(view: View) -> list[Segment]:
    """Every joined stretch of CAN pair, once."""
    found: dict[tuple[str, str], list[Pair]] = defaultdict(list)
    for pair in view.fixed(halves).pairs:
        if family_of(pair.high) == "can":
            high, low = (view.net_of(leg.address) for leg in pair.legs)
            if high.circuits and low.circuits and high.points != low.points:
                found[high.points[0], low.points[0]].append(pair)
    return [
        Segment(view.net_of(h), view.net_of(lo), tuple(pairs)) for (h, lo), pairs in found.items()
    ]


Edges = dict[str, list[tuple[str, str, Span]]]


def _edges(view: View) -> Edges:
    """Every active bond but diodes, by the metals at its two ends."""
    found: Edges = defaultdict(list)
    for bond in view.harness.active_bonds():
        if bond.origin != "diode":
            a, b = view.net_of(bond.a).points[0], view.net_of(bond.b).points[0]
            if a != b:
                found[a].append((a, b, bond.ohms))
                found[b].append((a, b, bond.ohms))
    return found


def _waiting(view: View) -> set[str]:
    """The metals at which a terminator switch waits for an answer."""
    return {
        view.net_of(x).points[0]
        for b in view.harness.bonds
        if b.origin == "switch" and b.state not in ("on", "off")
        for x in (b.a, b.b)
    }


def segment_ohms(view: View, segment: Segment) -> tuple[Span, bool]:
    """What a meter would show between the legs of a segment, units plugged in, and whether anything is known of it."""
    high, low = segment.high.points[0], segment.low.points[0]
    edges = view.once(_edges)
    known = any({a, b} == {high, low} for a, b, _ in edges.get(high, ()))
    near = reached(view.once(_network), high)
    parts = [e for node in sorted(near) for e in edges.get(node, ()) if e[0] == node]
    return span_ohms(parts, high, low), known


def _network(view: View) -> nx.Graph[str]:
    """Which metals bonds connect."""
    return graph_of((a, b) for parts in view.once(_edges).values() for a, b, _ in parts)


def _on(segment: Segment) -> str:
    return " and ".join(dict.fromkeys(p.called for p in segment.pairs))


def _legs(segment: Segment) -> tuple[str, str]:
    return segment.pairs[0].high.address, segment.pairs[0].low.address


@rule(
    "switch-unanswered",
    Severity.STOP,
    family="bus",
    source=CAN_CABLE,
    what="{switch} ({ohms} ohm between {a} and {b}{delivered}): nobody has said whether it is on",
    why="A terminator too many or too few stops the bus; how it was delivered is not how it stands.",
    fix="Look at the switch and answer it: `switches: {{{name}: on}}` on the end, or kind answer, about {switch}.",
)
def switch_unanswered(view: View) -> Iterator[Hit]:
    """A terminator switch on a joined pair without an answer."""
    for bond in view.harness.bonds:
        if (
            bond.origin == "switch"
            and bond.state not in ("on", "off")
            and view.net_of(bond.a).circuits
        ):
            assert bond.end is not None
            end = view.job.ends[bond.end]
            delivered = end.pinout.switches[bond.name].delivered
            name = f"{bond.end}.{bond.name}"
            yield Hit(
                end.place,
                (name,),
                {
                    "switch": name,
                    "name": bond.name,
                    "ohms": bond.ohms,
                    "a": bond.a,
                    "b": bond.b,
                    "delivered": f", delivered {delivered}" if delivered else "",
                },
                ((bond.place, "the switch is described here"),) if bond.place else (),
            )


@rule(
    "terminators",
    Severity.STOP,
    family="bus",
    source=CAN_CABLE,
    what="between the legs of {pair} ({a}, {b}) stand {ohms} ohm where two terminators give 60: {so}",
    why="A bus ends in two terminators of 120 ohm on each segment; with any other number the edges ring or sag.",
    fix="{cure}",
)
def terminators(view: View) -> Iterator[Hit]:
    """A segment whose known parts do not come to two terminators side by side."""
    for segment in view.once(segments):
        if {segment.high.points[0], segment.low.points[0]} & view.once(_waiting):
            continue  # asked first
        ohms, known = segment_ohms(view, segment)
        if known and not (ohms.low >= LEAST_OHMS and ohms.high <= MOST_OHMS):
            a, b = _legs(segment)
            so, cure = _verdict(ohms)
            yield Hit(
                view.place_of(a),
                (a, b),
                {
                    "pair": _on(segment),
                    "a": a,
                    "b": b,
                    "ohms": _shown(ohms),
                    "so": so,
                    "cure": cure,
                },
                view.described(a, b),
            )


def _shown(ohms: Span) -> str:
    if ohms.low == ohms.high:
        return "no" if ohms.low == float("inf") else f"{ohms.low:.3g}"
    high = "open" if ohms.high == float("inf") else f"{ohms.high:.3g}"
    return f"{ohms.low:.3g} to {high}"


def _verdict(ohms: Span) -> tuple[str, str]:
    if ohms.high < 5:
        return "the legs touch", "Find the joint that ties the two legs together."
    if ohms.high < LEAST_OHMS:
        return (
            "one too many",
            "Switch one terminator off or leave one resistor out; the two at the ends stay.",
        )
    if ohms.low > 1000:
        return (
            "none",
            "Switch a terminator on, or put 120 ohm across, at each of the two ends of the segment.",
        )
    if ohms.low > MOST_OHMS:
        return "one is missing", "Switch one on, or put 120 ohm across, at the end that has none."
    return (
        "not told closely enough",
        "Measure between the legs with the battery off and write the ohms down.",
    )


@rule(
    "terminators-unknown",
    Severity.CAUTION,
    family="bus",
    source=CAN_CABLE,
    what="nothing is known of the terminators of {pair} ({a}, {b})",
    why="Cutting a pair may take a terminator away with the old unit.",
    fix="Measure into the loom and into the unit with the battery off; write the ohms under `behind` and `inside`.",
)
def terminators_unknown(view: View) -> Iterator[Hit]:
    """A joined CAN segment between whose legs no ohms at all are stated."""
    for segment in view.once(segments):
        _, known = segment_ohms(view, segment)
        if not known:
            a, b = _legs(segment)
            yield Hit(view.place_of(a), (a, b), {"pair": _on(segment), "a": a, "b": b})
