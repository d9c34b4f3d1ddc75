"""What a slip comes to: everything that the metals it changes do, the worst first.

`base` is the job as drawn, `view` the job with the changed metals in it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from wiremap.graph import Net
from wiremap.model import Span
from wiremap.rules import View
from wiremap.rules.families.chain_guards import guard_bridged, guards_crossed
from wiremap.rules.guards import loops
from wiremap.rules.links import codings
from wiremap.rules.segments import is_known, segment_ohms, segments
from wiremap.slips.effect import Effect, Gravity, named, worst_first
from wiremap.slips.grounds import ground_points, losing_ground
from wiremap.slips.meeting import meeting
from wiremap.slips.parting import parting

ABOUT_EQUAL = 0.1  # share of the larger value by which two resistances may differ,
ABOUT_EQUAL_OHMS = 1.0  # or so many ohms


class PointInWords(NamedTuple):
    """A point that a sentence names: its place among the touched points, and how it is named."""

    place: int
    in_full: bool  # by its wording and its address, not by its address alone


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What comes of a slip: the worst of its effects, and the points that come to harm.

    `harms` counts the different things that do harm.
    """

    grade: Gravity
    cause: str
    sentence: str
    points: tuple[str, ...] = ()
    harms: int


@dataclass(frozen=True, slots=True, kw_only=True)
class OutcomePattern:
    """An outcome of one slip, its points told by their places among those of the touched metals.

    `parts` are the texts of the sentence and, between them, its points.
    """

    grade: Gravity
    cause: str
    parts: tuple[str | PointInWords, ...]
    points: tuple[int, ...]
    harms: int


def effects(base: View, nets: Sequence[Net]) -> list[Effect]:
    """Everything that the changed metals do which the job as drawn does not, the worst first."""
    view = View(base.harness, nets, base=base)
    touched = {point for net in nets for point in net.points}
    found: list[Effect] = []
    for net in nets:
        found += meeting(base, view, net)
    found += parting(base, view, touched)
    found += losing_ground(base, view, touched)
    found += _guards(base, view, touched)
    found += _coded(base, view, touched)
    if not any(effect.cause == "dead bus" for effect in found):
        found += _terminated(base, view, touched)
    return worst_first(base, found)


def _guards(base: View, view: View, touched: set[str]) -> Iterator[Effect]:
    """Guard loops that are bridged or crossed now and were not."""
    if touched.isdisjoint(base.fixed(_guard_points)):
        return
    known = base.fixed(_guards_as_drawn)
    for hit in guard_bridged(view):
        if hit.subject not in known and not touched.isdisjoint(hit.subject):
            where = " with ".join(hit.subject)
            words = f"the guard loop is bridged ({where}): it reads shut with the guard open"
            yield Effect(Gravity.HARM, "guard", words, hit.subject)
    for hit in guards_crossed(view):
        if hit.subject not in known and not touched.isdisjoint(hit.subject):
            words = (
                f"guard loops are crossed at {hit.subject[0]}: one guard switches the other's "
                "function"
            )
            yield Effect(Gravity.HARM, "guard", words, hit.subject)


def _guard_points(view: View) -> frozenset[str]:
    return frozenset(address for loop in view.fixed(loops) for address in loop.addresses)


def _guards_as_drawn(view: View) -> frozenset[tuple[str, ...]]:
    """Whom the findings about guard loops of the job as drawn concern."""
    return frozenset(hit.subject for hit in (*guard_bridged(view), *guards_crossed(view)))


def _coded(base: View, view: View, touched: set[str]) -> Iterator[Effect]:
    """Coding contacts that select something else now."""
    if touched.isdisjoint(base.fixed(_coding_points)):
        return
    before = {coding.point.address: coding for coding in base.once(codings)}
    for coding in codings(view):
        address = coding.point.address
        old = before[address]
        signal = view.signal(address)
        if coding.links == old.links or address not in touched or signal is None:
            continue
        words = f"{named(signal)} selects {coding.selects or 'nothing that is known'}"
        if old.selects:
            words += f" instead of {old.selects}"
        yield Effect(Gravity.QUIET, "wrong set-up", words, (address,))


def _coding_points(view: View) -> frozenset[str]:
    return frozenset(coding.point.address for coding in view.once(codings))


def _terminated(base: View, view: View, touched: set[str]) -> Iterator[Effect]:
    """Buses that end in other ohms now."""
    if touched.isdisjoint(base.fixed(_bus_points)):
        return
    before = base.fixed(_ohms_as_drawn)
    for segment in segments(view):
        pair, *_ = segment.pairs
        old = before.get(pair.high.address)
        if old is None or not is_known(view, segment):
            continue
        ohms = segment_ohms(view, segment)
        if _about_equal(ohms.low, old.low) and _about_equal(ohms.high, old.high):
            continue
        words = (
            f"{pair.called} ends in {_shown(ohms.low)} ohm instead of {_shown(old.low)}: "
            "it errs now and then"
        )
        points = (pair.high.address, pair.low.address)
        yield Effect(Gravity.QUIET, "terminators", words, points)


def _ohms_as_drawn(view: View) -> dict[str, Span]:
    """The ohms that each joined pair ends in, by the address of its high leg."""
    return {
        segment.pairs[0].high.address: segment_ohms(view, segment)
        for segment in view.once(segments)
    }


def _about_equal(one: float, two: float) -> bool:
    return math.isclose(one, two, rel_tol=ABOUT_EQUAL, abs_tol=ABOUT_EQUAL_OHMS)


def _shown(ohms: float) -> str:
    return "no" if ohms == float("inf") else f"{ohms:.3g}"


def _bus_points(view: View) -> frozenset[str]:
    """Every point on the two metals of a joined pair, the legs of its resistors with it."""
    found: set[str] = set()
    for segment in view.once(segments):
        found.update(segment.high.points, segment.low.points)
    return frozenset(found)


def apart_points(view: View) -> frozenset[str]:
    """Points at which what comes of a slip hangs on more than the touched metals: coding contacts,
    guard loops, joined pairs and the grounds of units.
    """
    coding, bus = view.fixed(_coding_points), view.fixed(_bus_points)
    return coding | bus | view.fixed(_guard_points) | view.fixed(ground_points)
