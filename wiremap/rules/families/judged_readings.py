"""Family `judged`: readings that tell of danger although no row of the survey asks for them."""

from __future__ import annotations

from wiremap.rules.cure import typed
from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.unasked import danger_in, probed_points, reading_words, unasked_readings
from wiremap.rules.view import View

JUDGED = Family("judged", Matter.UNIT)


@JUDGED.stop(
    "read-between",
    what="{a} against {b} read {seen}: {means}",
    why="Nothing is joined to a feed that is shorted, or whose plus and minus are exchanged.",
    fix="Find the cause and read it again; if the reading means another thing, answer by name what "
    "the contact is"
    + typed(" (wiremap next JOB --about {address})")
    + "; a wrong one is struck out"
    + typed(": wiremap next JOB --kept"),
)
def read_between(view: View) -> Hits:
    """A supply or reference that read next to nothing against a ground with the battery off, or
    that read below it.
    """
    for reading in view.fixed(unasked_readings):
        means = danger_in(view, reading.entry)
        if means:
            red, black = probed_points(reading.entry)
            also = ((reading.entry.place, "read here"),) if reading.entry.place else ()
            seen = reading_words(reading.entry)
            address = reading.address
            yield view.hit(red, black, also=also, seen=seen, means=means, address=address)
