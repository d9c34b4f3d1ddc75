"""What the papers of a job leave unjudged: whose protection, and which other figures."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from wiremap.rules.sized import sizes
from wiremap.rules.view import View
from wiremap.sizing.feed_parts import Feed, FuseSize, Judged

WITHOUT_SIZE = ("direct", "lead")  # a tapped wire that stays, a part's own leads
FUSE = "its fuse"
SOURCE = "the resistance of its source (milliohm)"
WAY = "the length from its fuse (length_mm)"
LENGTHS = "lengths on the way"
BUNDLE = "how many loaded wires lie together (bundle)"
VOLTS = "the supply's volts"
AMBIENT = "the ambient is not stated"


@dataclass(frozen=True, slots=True)
class Unjudged:
    """Points or circuits that could not be judged, and for want of what."""

    subject: tuple[str, ...]
    why: str

    def as_dict(self) -> dict[str, object]:
        """The same as plain data."""
        return {"subject": list(self.subject), "why": self.why}


def unjudged_protection(view: View) -> list[Unjudged]:
    """Every fed contact and fuse whose protection of the wires behind it could not be judged."""
    found = []
    for feed in sizes(view).feeds:
        lacks = list(dict.fromkeys(_of_feed(view, feed)))
        if lacks:
            found.append(Unjudged((feed.address,), ", ".join(lacks)))
    for fuse in sizes(view).fuses.values():
        lacks = list(dict.fromkeys(_of_fuse(view, fuse)))
        if lacks:
            found.append(Unjudged((fuse.name,), ", ".join(lacks)))
    return found


def _of_feed(view: View, feed: Feed) -> Iterator[str]:
    """What is lacking to judge the fuse before a feed."""
    unfused = feed.fed is not None and feed.fed.unfused
    if feed.fuse_amps is None and not unfused:
        yield FUSE
    if feed.stub_mm is not None or unfused:
        return  # judged by its length, or told to have no fuse at all
    yield from _wires(view, feed.address)
    yield from _source(feed)
    yield from _around(view, feed.judged)


def _of_fuse(view: View, fuse: FuseSize) -> Iterator[str]:
    """What is lacking to judge a fuse of the job."""
    if fuse.amps is None:
        yield "its rating"
    for leg in view.job.extras[fuse.name].legs:
        if not fuse.feed or fuse.feed not in view.harness.sections.of(leg):
            yield from _wires(view, leg)
    feeds = [feed for feed in sizes(view).feeds if feed.address == fuse.feed]
    if not feeds:
        yield "its source"
    for feed in feeds:
        yield from _source(feed)
    yield from _around(view, fuse.judged)


def _wires(view: View, address: str) -> Iterator[str]:
    """Wires of unknown size between a point and the next fuse."""
    for circuit in view.harness.sections.of(address).circuits:
        for conductor in view.harness.conductors_by_circuit.get(circuit, ()):
            if conductor.origin in WITHOUT_SIZE or conductor.id in sizes(view).conductors:
                continue
            yield f"the size of {conductor.point or conductor.circuit}"


def _source(feed: Feed) -> Iterator[str]:
    if feed.fed is None or feed.fed.milliohm is None:
        yield SOURCE
    if feed.fed is None or feed.fed.length_mm is None:
        yield WAY


def _around(view: View, judged: Iterable[Judged]) -> Iterator[str]:
    if any(each.case.loop_ohms is None for each in judged):
        yield LENGTHS
    if view.job.surroundings.bundle is None:
        yield BUNDLE
    if view.job.supply.volts is None:
        yield VOLTS


def not_judged(view: View) -> tuple[Unjudged, ...]:
    """Everything that the papers leave unjudged, each subject with its reason."""
    found = unjudged_protection(view)
    for lack in sizes(view).missing:
        found.append(Unjudged((lack.subject,), f"{lack.what}; not sized: {lack.blocks}"))
    if view.job.surroundings.ambient_C is None:
        taken = f"{sizes(view).ambient_C:g} C was taken"
        found.append(Unjudged(("surroundings",), f"{AMBIENT}; {taken}"))
    return tuple(found)
