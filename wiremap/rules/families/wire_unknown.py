"""Family `wire`: what could not be sized, and for want of what."""

from __future__ import annotations

from wiremap.rules.cure import typed
from wiremap.rules.registry import Family, Hit, Hits, Matter
from wiremap.rules.sized import GUIDE, sizes
from wiremap.rules.view import View

WIRE = Family("wire", Matter.HOUSE)


@WIRE.note(
    "size-missing",
    what="{subject}: {what}; not sized: {blocks}",
    why="A figure that nobody states is not guessed; only what rests on it stays open.",
    fix="Measure or look it up"
    + typed("; what can be answered: wiremap next JOB --full; the rest is written into the file")
    + ".",
    source=GUIDE,
)
def size_missing(view: View) -> Hits:
    """A size, length or load that is not stated, with what could not be sized for want of it."""
    for lack in sizes(view).missing:
        facts = {"subject": lack.subject, "what": lack.reason, "blocks": lack.blocks}
        yield Hit(lack.place, (lack.subject,), facts)
