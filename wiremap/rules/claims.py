"""Papers that say `measured` of a contact of the machine, and no reading is behind it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from wiremap.evidence import measured_contacts
from wiremap.graph import Point
from wiremap.model import Basis, Cavity
from wiremap.rules.view import View
from wiremap.sizing.unjudged import About, NotJudged
from wiremap.trade.functions import FUNCTIONS

WEIGHTY = ("supply", "ground", "loop")  # classes where a wrong one breaks things at first power
WHY = "the paper says `measured`, and no reading says so here"
CURE = (
    "type what was read (wiremap survey JOB --readings FILE --save), or say it: wiremap next JOB "
    '--about {first}.basis --answer measured --how "12.6 V, ignition off"'
)


def unread_claims(view: View) -> Iterator[NotJudged]:
    """Joined supplies, grounds, guard loops and sensor supplies of the machine that are called
    measured, with no reading behind the word; one entry a paper.
    """
    known = view.fixed(measured)
    papers: dict[str, list[str]] = defaultdict(list)
    for point in view.joined():
        if _is_claimed(point) and point.address not in known:
            papers[point.owner].append(point.address)
    for points in papers.values():
        yield NotJudged(
            subject=tuple(points),
            why=WHY,
            about=About.OTHER,
            cure=CURE.format(first=points[0]),
            by_reading=True,
        )


def _is_claimed(point: Point) -> bool:
    cavity, end = point.cavity, point.end
    if cavity is None or end is None or not end.is_machine:
        return False
    return cavity.basis == Basis.MEASURED and _is_weighty(cavity)


def _is_weighty(cavity: Cavity) -> bool:
    row = FUNCTIONS[cavity.function]
    return row.electrical in WEIGHTY or row.slug == "sensor-supply"


def measured(view: View) -> frozenset[str]:
    """The contacts whose `measured` has a reading behind it."""
    return measured_contacts(view.job)
