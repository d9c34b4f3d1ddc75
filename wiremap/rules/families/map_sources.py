"""Family `map`: what a statement rests on, and where sources differ."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from wiremap.base import Place
from wiremap.evidence import answers, contradictions, disagreements, unusable
from wiremap.evidence.expected import Quantity
from wiremap.evidence.reading_spot import seen_words
from wiremap.graph import Point
from wiremap.model import Basis, Cavity
from wiremap.rules.cure import ABOUT, SIGN, typed
from wiremap.rules.live import live_contacts
from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.scope import is_restraint
from wiremap.rules.view import View
from wiremap.trade.functions import FUNCTIONS, called

READ = "Read it on the machine" + typed(" (wiremap survey JOB)")
READ_FED = (
    "Read it with the old unit plugged, ignition on (unplugged it is 0 V, which proves nothing), "
    "and say what the meter showed"
)
MAP = Family("map", Matter.UNIT)


def _weighty(cavity: Cavity) -> str:
    """What a contact is in words, where a wrong one breaks things at first power; else empty."""
    row = FUNCTIONS.get(cavity.function)
    if row is None or cavity.is_class_b or is_restraint(cavity):
        return ""
    if row.electrical in ("supply", "ground"):
        return f"a {row.electrical}"
    if row.electrical == "loop":
        return "a guard loop"
    return "the sensors' supply" if row.slug == "sensor-supply" else ""


def _resting(view: View, basis: Basis) -> Iterator[Point]:
    """Joined contacts of weight that rest on nothing better than this."""
    for point in view.joined():
        if point.cavity is not None and point.cavity.basis == basis and _weighty(point.cavity):
            yield point


@MAP.stop(
    "rests-on-hearsay",
    what="{a} is {what} and is known from what somebody told alone{source}",
    why="A supply, ground, guard loop or 5 V in the wrong place breaks things at first power.",
    fix="{read}, or say which paper has it" + typed(": wiremap next JOB --about {address}.basis"),
)
def rests_on_hearsay(view: View) -> Hits:
    """A joined supply, ground, guard loop or sensor supply whose basis is `told`."""
    for point in _resting(view, Basis.TOLD):
        cavity = point.cavity
        assert cavity is not None
        source = f" ({cavity.source})" if cavity.source else ""
        place = cavity.at("basis") or point.place
        at = point.address
        read = READ_FED if cavity.function == "sensor-supply" else READ
        yield view.hit(at, place=place, address=at, what=_weighty(cavity), source=source, read=read)


@MAP.caution(
    "rests-on-document",
    what="{paper}: {contacts} {verb} known from a document alone{source}",
    why="Documents speak of a type; this machine may have been altered.",
    fix="Read them on this machine and keep the readings"
    + typed(" (wiremap survey JOB)")
    + ", or sign for the document"
    + SIGN,
)
def rests_on_document(view: View) -> Hits:
    """Joined supplies, grounds, guard loops or sensor supplies of the machine whose basis is
    `document`, one line a paper; a unit's own cannot be measured before it is powered.
    """
    papers: dict[str, list[Point]] = defaultdict(list)
    for point in _resting(view, Basis.DOCUMENT):
        if point.is_machine:
            papers[point.owner].append(point)
    for owner, points in papers.items():
        source = view.job.ends[owner].pinout.source.name
        yield view.hit(
            *(point.address for point in points),
            place=points[0].place,
            paper=owner,
            verb="is" if len(points) == 1 else "are",
            contacts=", ".join(_contact(point) for point in points),
            source=f" ({source})" if source else "",
        )


def _contact(point: Point) -> str:
    assert point.cavity is not None
    return f"{point.cavity.name} ({_weighty(point.cavity)})"


@MAP.stop(
    "sources-disagree",
    what="sources disagree on {a}: {claims}",
    why="One of them is wrong, and the joint is made by it.",
    fix="Measure, then answer it by name, both statements stay" + ABOUT,
)
def sources_disagree(view: View) -> Hits:
    """A cavity whose sources give it different functions, until a named answer settles it."""
    for found in disagreements(view.job):
        if found.settled is not None or view.idle_tap(view.points[found.address]):
            continue
        claims = []
        also = []
        for claim in found.claims:
            source = claim.source or claim.basis
            claims.append(f"{called(claim.reading.function)} ({source})")
            also.append((claim.place, f"{source} says {called(claim.reading.function)}"))
        yield view.hit(
            found.address,
            place=found.claims[0].place,
            also=tuple(also[1:]),
            address=found.address,
            claims=" against ".join(claims),
        )


@MAP.stop(
    "survey-contradicts",
    acceptable=False,
    what="at {a} the meter saw {seen}, but the paper promises {promised}{cause}{reads_as}",
    why="Paper and machine differ at this contact, and the joint is made by the paper.",
    fix="Measure again: a reading that fits takes its place; or, knowing both, stand to the paper "
    "by name, and say how you found that out"
    + ABOUT
    + ". A wrong reading is struck out by its mark"
    + typed(": wiremap next JOB --kept")
    + ".",
)
def survey_contradicts(view: View) -> Hits:
    """A survey reading that the description of its cavity does not allow, until one that fits is
    read, or somebody who knows both stands to the paper by name and says how that was found.
    """
    if not any(entry.kind == "survey" for entry in view.job.entries):
        return
    live = view.once(live_contacts)
    for found in contradictions(view.job):
        point = view.points.get(found.address)
        if found.settled is not None or found.expected is None or point is None:
            continue
        if found.address in live and found.expected.quantity == Quantity.VOLTS:
            continue  # the same reading holds the job there, and nobody can sign it
        unit = "V" if found.expected.quantity == "volts" else "ohm"
        reads_as = f"; {view.name(found.reads_as)} should read so too" if found.reads_as else ""
        yield view.hit(
            found.address,
            place=point.place,
            also=((found.entry.place, "read here"),) if found.entry.place else (),
            address=found.address,
            seen=seen_words(found.entry),
            reads_as=reads_as,
            promised=f"{found.expected.shown} {unit}",
            cause=f": {found.why}" if found.why else "",
        )


@MAP.caution(
    "answer-not-counted",
    what="an answer in the notebook does not count: {why_not}",
    why="It says nothing that its question allows, so the job is judged as if nobody had answered.",
    fix="Answer it again in words that count"
    + typed(" (wiremap next JOB --about {address})")
    + ", or strike it out"
    + typed(": wiremap next JOB --kept"),
)
def answer_not_counted(view: View) -> Hits:
    """A notebook answer that its question does not allow, or about something that nobody reads, and
    that no later, readable answer has replaced.
    """
    known = answers(view.job)
    for entry, why_not in unusable(view.job):
        if entry.about not in known:
            yield view.hit(entry.about, place=entry.place, why_not=why_not, address=entry.about)


@MAP.stop(
    "withdrawn",
    source="the file itself",
    what="{what} has been withdrawn: {why}",
    why="Somebody found it wrong after it was shared.",
    fix="Take the newer revision, or check every point of this one by hand and sign" + SIGN,
)
def withdrawn(view: View) -> Hits:
    """A job or pinout that its author has withdrawn."""
    job = view.job
    if job.withdrawn is not None:
        yield view.hit(
            "job", place=job.place or Place(job.path), what="this job", why=job.withdrawn
        )
    for end in job.ends.values():
        paper = end.pinout
        if paper.withdrawn is not None:
            place = paper.place or Place(paper.path)
            what = f"the pinout of {end.name}"
            yield view.hit(end.name, place=place, what=what, why=paper.withdrawn)
