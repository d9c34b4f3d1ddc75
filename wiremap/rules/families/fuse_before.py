"""Family `fuse`: what lies between a source and the next fuse."""

from __future__ import annotations

import math

from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.sized import sizes
from wiremap.rules.view import View
from wiremap.sizing.feed_parts import STUB_MM, Feed
from wiremap.sizing.fuse_judge import HEATS_WIRE, Against

FUSE = Family("fuse", Matter.UNIT)
NEAR = "33 CFR 183.455 (b)(1), 7 in: a rule for boats, used for want of one for road vehicles"


@FUSE.stop(
    "feed-without-fuse",
    what="{a} is fed without a fuse, and no fuse of the job lies close behind it",
    why="A short then burns the wire: nothing opens.",
    fix="Fit a fuse within 180 mm of the source.",
    source=NEAR,
)
def feed_without_fuse(view: View) -> Hits:
    """A source that the job says is unfused and that does not lead to a fuse within 180 mm."""
    for feed in sizes(view).feeds:
        if feed.fed is not None and feed.fed.unfused and not feed.is_short_stub:
            yield view.hit(feed.address, place=feed.place)


@FUSE.caution(
    "fuse-far-from-source",
    what="{a}: {mm:g} mm of wire lie between the source and its own fuse; at most {most:g} mm is "
    "usual",
    why="That stretch has only the fuse upstream, and what else it feeds goes dark with a fault.",
    fix="Move the fuse closer to the tap.",
    source=NEAR,
)
def fuse_far_from_source(view: View) -> Hits:
    """A stub of more than 180 mm before the job's own fuse of which nothing worse is told."""
    for feed in sizes(view).feeds:
        stopped = _heats(feed) or (feed.fed is not None and feed.fed.unfused)
        if feed.stub_mm is not None and STUB_MM < feed.stub_mm < math.inf and not stopped:
            circuit = view.circuit_of(feed.address)
            place = circuit.at("length_mm") if circuit else feed.place
            yield view.hit(feed.address, place=place, mm=feed.stub_mm, most=STUB_MM)


def _heats(feed: Feed) -> bool:
    """Whether the fuse upstream is too large for a wire up to the next fuse."""
    kinds = {objection.kind for judged in feed.judged for objection in judged.objections}
    return bool(kinds & HEATS_WIRE)


@FUSE.caution(
    "wire-before-its-fuse",
    what="{a}: a short on the {mm:g} mm to its own fuse destroys the {wire} wire: {reason}",
    why="The fuse behind it sees nothing of a short before it, and a wire that glows there sets "
    "fire to what it lies in.",
    fix="Use a thicker wire up to its own fuse, or fit a smaller fuse upstream.",
    source="ISO 8820-3 opening limits, IEC 60364-4-43",
)
def wire_before_its_fuse(view: View) -> Hits:
    """A wire on the short way to the job's own fuse that a short circuit there destroys before
    the fuse upstream opens.
    """
    for feed in sizes(view).feeds:
        against = [(j.ampacity_amps, j, o) for j in feed.judged for o in j.objections]
        against = [each for each in against if each[2].kind == Against.BEFORE_FUSE]
        if against:
            _, judged, objection = min(against, key=lambda each: each[0])
            facts = {"mm": feed.stub_mm, "wire": judged.case.wire.name, "reason": objection.text}
            yield view.hit_with((feed.address,), facts, view.place_of(feed.address))
