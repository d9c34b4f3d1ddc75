"""Family `judged`: what the papers leave unjudged, guessed, or say otherwise than was measured."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

from wiremap.base import some_of
from wiremap.rules.cure import SIGN, typed
from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.sized import GUIDE, sizes
from wiremap.rules.unjudged import unjudged_loads, unjudged_protection
from wiremap.rules.view import View
from wiremap.sizing.unjudged import About, NotJudged
from wiremap.trade.functions import called

JUDGED = Family("judged", Matter.UNIT)
MOST_POINTS = 6  # named of those that lack one thing


@JUDGED.stop(
    "protection-unjudged",
    source=GUIDE,
    what="whether a fuse protects the wires could not be judged: {lacks}",
    why="A wire that its fuse does not protect burns; what nobody states, nobody has looked at.",
    fix="Answer what is lacking"
    + typed(": wiremap next JOB")
    + "; or have a named person sign who has looked at it on the machine"
    + SIGN,
)
def protection_unjudged(view: View) -> Hits:
    """Fed circuits for whose protection a size, a fuse, the source, the way, the bundle, the
    ambient or the supply's volts are not stated, one line a job.
    """
    yield from _unjudged_hit(view, unjudged_protection(view))


@JUDGED.stop(
    "load-unjudged",
    source=GUIDE,
    what="whether a load is within what feeds it could not be judged: {lacks}",
    why="An output or a feed that is loaded beyond its rating dies or blows its fuse in service.",
    fix="Answer what each draws and gives"
    + typed(" (wiremap next JOB --about {at}.amps)")
    + ", or have a named person sign who has looked at it"
    + SIGN,
)
def load_unjudged(view: View) -> Hits:
    """Feeds whose load nobody states, and outputs or diodes of which one figure is lacking."""
    yield from _unjudged_hit(view, unjudged_loads(view))


def _unjudged_hit(view: View, unjudged: list[NotJudged]) -> Hits:
    """One line for the whole job: what is lacking of which fed contact, fuse or output."""
    if not unjudged:
        return
    lacks: dict[str, dict[str, None]] = defaultdict(dict)
    for each in _once(unjudged):
        lacks[each.why].update(dict.fromkeys(map(str, each.subject[:1])))
    sentence = "; ".join(f"{why} ({_named(list(at))})" for why, at in lacks.items())
    subject = dict.fromkeys(name for each in unjudged for name in each.subject)
    place = view.place_of(next(iter(subject))) or view.job.place
    at = _answered_at(view, next(iter(subject)))
    yield view.hit(*subject, place=place, lacks=sentence, at=at)


def _answered_at(view: View, name: str) -> str:
    """Where figures are answered: of a diode at a contact beside it, as its own are a rating."""
    part = view.job.extras.get(name)
    beside = (p for c in view.job.circuits for p in c.join if part and set(part.legs) & {*c.join})
    return next((point for point in beside if point.end in view.job.ends), name)


def _once(unjudged: Iterable[NotJudged]) -> Iterator[NotJudged]:
    """What is lacking; that the bundle is, once: sizing says first what it took instead."""
    bundle_told = False
    for each in unjudged:
        if not (each.of_bundle and bundle_told):
            yield each
        bundle_told |= each.of_bundle


def _named(points: Sequence[str]) -> str:
    """Where it is lacking, the first few."""
    return some_of(points, MOST_POINTS)


@JUDGED.stop(
    "nothing-judged",
    source=GUIDE,
    what="no current, fuse or drop could be judged: {reason}",
    why="Outside the range of the formulas nothing is known of any wire.",
    fix="Correct the figure"
    + typed(": wiremap next JOB --about surroundings.ambient_C")
    + "; if it is true, this harness is no work for this program.",
)
def nothing_judged(view: View) -> Hits:
    """Surroundings outside the range in which currents can be worked out."""
    for each in sizes(view).not_judged:
        if each.about == About.SURROUNDINGS:
            place = each.place or view.job.surroundings.place or view.job.place
            yield view.hit(*each.subject, place=place, reason=each.why)


@JUDGED.caution(
    "read-from-wording",
    what="{paper}: the functions of {cavities} were read from their wording; nobody has stated "
    "them",
    why="Words of one maker mean another thing with the next; the map rests on what was read.",
    fix="Answer what a contact is where it is read wrongly"
    + typed(" (wiremap next JOB --about {at})")
    + "; then sign what stays"
    + SIGN,
)
def read_from_wording(view: View) -> Hits:
    """Joined contacts whose function nobody has stated, one line a paper."""
    papers: dict[str, list[str]] = defaultdict(list)
    for point in view.joined():
        if point.cavity is not None and point.cavity.reading.how == "name":
            papers[point.owner].append(point.address)
    for owner, addresses in papers.items():
        end = view.job.ends[owner]
        cavities = ", ".join(_read_as(view, address) for address in addresses)
        yield view.hit(*addresses, place=end.pinout.place, paper=owner, cavities=cavities)


def _read_as(view: View, address: str) -> str:
    point = view.points[address]
    assert point.cavity is not None
    return f"{point.cavity.name} ({point.cavity.signal}: {called(point.function)})"


@JUDGED.stop(
    "two-values",
    what="{about} is {paper} in the file and {answer} in the notebook",
    why="Of two values one is wrong, and the sheet is printed with that of the notebook.",
    fix="If the answer is right, sign it"
    + typed(" (wiremap sign JOB --by NAME)")
    + " and the file may stay as it is; if the file is, strike the answer out"
    + typed(" (its mark: wiremap next JOB --kept)")
    + ".",
)
def two_values(view: View) -> Hits:
    """A figure that the job or a pinout states otherwise than an answer in the notebook."""
    for replaced in view.job.replaced:
        yield view.hit(
            replaced.about,
            place=replaced.entry.place,
            about=replaced.about,
            paper=replaced.paper,
            answer=replaced.answer,
        )


@JUDGED.stop(
    "surroundings-beyond-insulation",
    source="ISO 6722-1 classes; what the job states",
    what="{wires}: {ambient:g} C around, but the insulation stands {limit}",
    why="The wire's insulation softens without any current in it.",
    fix="Lay it elsewhere, or use a wire of a higher class and say what it stands"
    + typed(": wiremap next JOB --about {about} --by NAME"),
)
def surroundings_beyond_insulation(view: View) -> Hits:
    """Wires whose insulation does not stand the surroundings, one line a job."""
    wires = sizes(view).too_hot
    if wires:
        addresses = dict.fromkeys(wire.subject for wire in wires)
        limits = sorted({wire.limit_C for wire in wires})
        yield view.hit(
            *addresses,
            place=view.job.surroundings.place or view.job.place,
            wires=", ".join(addresses),
            about=_insulation(view, addresses),
            ambient=wires[0].ambient_C,
            limit=" or ".join(f"{limit:g} C" for limit in limits),
        )


def _insulation(view: View, wires: Iterable[str]) -> str:
    """Where it is said what wires stand: of one at its contact, of several for the whole job."""
    first, *others = wires
    return "surroundings.limit_C" if others or first not in view.points else f"{first}.limit_C"
