"""Family `map`, sources: what a statement rests on, where sources differ, how a face was read."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from wiremap.base import Place, Severity
from wiremap.evidence import answers, contradictions, disagreements, unusable
from wiremap.model import Cavity, End
from wiremap.rules.faces import WORDS, Told, better_fit, told_of
from wiremap.rules.registry import Hit, rule
from wiremap.rules.scope import is_restraint
from wiremap.rules.view import View
from wiremap.trade.functions import FUNCTIONS

COMMON = "common practice"


def _weighty(cavity: Cavity) -> str | None:
    row = FUNCTIONS.get(cavity.function)
    if row is None or cavity.is_class_b or is_restraint(cavity):
        return None
    if row.electrical in ("supply", "ground"):
        return f"a {row.electrical}"
    if row.electrical == "loop":
        return "a guard loop"
    return "the sensors' supply" if row.slug == "sensor-supply" else None


def _resting(view: View, basis: str) -> Iterator[Hit]:
    for point in view.joined():
        assert point.cavity is not None
        what = _weighty(point.cavity) if point.cavity.basis == basis else None
        if what:
            place = point.cavity.at("basis") or point.place
            source = f" ({point.cavity.source})" if point.cavity.source else ""
            yield Hit(
                place,
                (point.address,),
                {"a": view.name(point.address), "what": what, "source": source},
            )


@rule(
    "rests-on-hearsay",
    Severity.STOP,
    family="map",
    source=COMMON,
    what="{a} is {what} and rests on what somebody told{source}",
    why="A supply, ground, guard loop or 5 V in the wrong place breaks things at first power.",
    fix="Measure it, or find a document, and state `basis` and `source`.",
)
def rests_on_hearsay(view: View) -> Iterator[Hit]:
    """A joined supply, ground, guard loop or sensor supply whose basis is `told`."""
    yield from _resting(view, "told")


@rule(
    "rests-on-document",
    Severity.CAUTION,
    family="map",
    source=COMMON,
    what="{a} is {what} and rests on a document alone{source}",
    why="Documents speak of a type; this machine may have been altered.",
    fix="Measure it on this machine and note the reading, or sign for the document.",
)
def rests_on_document(view: View) -> Iterator[Hit]:
    """A joined supply, ground, guard loop or sensor supply whose basis is `document`."""
    yield from _resting(view, "document")


@rule(
    "sources-disagree",
    Severity.STOP,
    family="map",
    source=COMMON,
    what="sources disagree on {a}: {claims}",
    why="One of them is wrong, and the joint is made by it.",
    fix="Measure, then answer it in the notebook by name (kind answer, about {address}); both statements stay.",
)
def sources_disagree(view: View) -> Iterator[Hit]:
    """A cavity whose sources give it different functions, until a named answer settles it."""
    for d in disagreements(view.job):
        if d.settled is None and not _idle_tap(view, d.address):
            claims = " against ".join(
                f"{c.reading.function} ({c.source or c.basis})" for c in d.claims
            )
            also = tuple(
                (c.place, f"{c.source or c.basis} says {c.reading.function}") for c in d.claims[1:]
            )
            yield Hit(
                d.claims[0].place,
                (d.address,),
                {"a": view.name(d.address), "address": d.address, "claims": claims},
                also,
            )


@rule(
    "survey-contradicts",
    Severity.STOP,
    family="map",
    source=COMMON,
    what="at {a} the meter saw {seen}, but the paper promises {promised}{reads_as}",
    why="Paper and machine differ at this contact, and the joint is made by the paper.",
    fix="Measure again; then answer in the notebook by name what the contact is (kind answer, about {address}).",
)
def survey_contradicts(view: View) -> Iterator[Hit]:
    """A survey reading that the description of its cavity does not allow, until a named answer settles it."""
    surveyed = any(e.kind == "survey" for n in view.job.notebooks for e in n.entries)
    for judged in contradictions(view.job) if surveyed else ():
        entry = judged.entry
        if (
            judged.settled is not None
            or judged.expected is None
            or judged.address not in view.points
        ):
            continue
        seen = (
            f"{entry.volts:g} V"
            if entry.ohms is None and entry.volts is not None
            else (f"{entry.ohms} ohm" if entry.ohms is not None else entry.seen or "nothing")
        )
        unit = "V" if judged.expected.quantity == "volts" else "ohm"
        reads_as = f"; it reads like {view.name(judged.reads_as)}" if judged.reads_as else ""
        yield Hit(
            view.points[judged.address].place,
            (judged.address,),
            {
                "a": view.name(judged.address),
                "address": judged.address,
                "seen": seen,
                "reads_as": reads_as,
                "promised": f"{judged.expected.band} {unit}",
            },
            ((entry.place, "read here"),) if entry.place else (),
        )


@rule(
    "answer-not-counted",
    Severity.CAUTION,
    family="map",
    source=COMMON,
    what="an answer in the notebook does not count: {why_not}",
    why="It says nothing that its question allows, so the job is judged as if nobody had answered.",
    fix="Answer it again in the notebook (kind answer, about {address}); the last answer that can be read counts.",
)
def answer_not_counted(view: View) -> Iterator[Hit]:
    """A notebook answer that its question does not allow and that no later, readable answer has replaced."""
    known = answers(view.job)
    for entry, why_not in unusable(view.job):
        if entry.about not in known:
            yield Hit(entry.place, (entry.about,), {"why_not": why_not, "address": entry.about})


def _idle_tap(view: View, address: str) -> bool:
    return view.points[address].is_tap and not view.harness.circuits_at(address)


@rule(
    "withdrawn",
    Severity.STOP,
    family="map",
    source="the file itself",
    what="{what} has been withdrawn: {why}",
    why="Somebody found it wrong after it was shared.",
    fix="Take the newer revision, or check every point of this one by hand and sign.",
)
def withdrawn(view: View) -> Iterator[Hit]:
    """A job or pinout that its author has withdrawn."""
    if view.job.withdrawn is not None:
        yield Hit(
            view.job.place or Place(view.job.path),
            ("job",),
            {"what": "this job", "why": view.job.withdrawn},
        )
    for end in view.job.ends.values():
        if end.pinout.withdrawn is not None:
            yield Hit(
                end.pinout.place or Place(end.pinout.path),
                (end.name,),
                {"what": f"the pinout of {end.name}", "why": end.pinout.withdrawn},
            )


@rule(
    "face-unlike-cavities",
    Severity.STOP,
    family="map",
    source=COMMON,
    what="the face of {end} does not match its cavities: {what}",
    why="A face with a contact too many or too few is another connector, or is drawn wrongly.",
    fix="Draw every cavity once, and only those that the table lists.",
)
def face_unlike_cavities(view: View) -> Iterator[Hit]:
    """A drawn face that misses a cavity, shows one that the table lacks, or shows one twice."""
    seen = set()
    for end in view.job.ends.values():
        face = end.pinout.connector.face
        if face is None or end.pinout.path in seen:
            continue
        seen.add(end.pinout.path)
        drawn, listed = list(face.names), set(end.pinout.cavities)
        wrong = [
            ("not drawn", sorted(listed - set(drawn), key=_natural)),
            ("drawn but not listed", sorted(set(drawn) - listed, key=_natural)),
            ("drawn twice", sorted({n for n in drawn if drawn.count(n) > 1}, key=_natural)),
        ]
        told = "; ".join(f"{', '.join(names)} {word}" for word, names in wrong if names)
        if told:
            yield Hit(face.place or end.pinout.place, (end.name,), {"end": end.name, "what": told})


def _natural(name: str) -> tuple[int, str]:
    return (int(name), name) if name.isdigit() else (1 << 30, name)


@rule(
    "table-misread",
    Severity.STOP,
    family="map",
    source=COMMON,
    what="{one} agrees better with {other} when it is read {how}: {n} of {told} statements instead of {before}",
    why="A face read from its wrong side or counted otherwise puts every wire into a wrong hole.",
    fix="Read the moulded digit at contact 1 and at the last contact, and correct the view or the table.",
)
def table_misread(view: View) -> Iterator[Hit]:
    """Two tables of one shell, or further claims on one table, that agree better under a whole-face misreading."""
    ends = list(view.job.ends.values())
    for i, one in enumerate(ends):
        for two in ends[i + 1 :]:
            if _same_shell(one, two):
                yield from _misread(
                    one,
                    _told(one),
                    _told(two),
                    f"the table of {two.name}",
                    f"that of {one.name}",
                    two,
                )
        yield from _claimed(one)


def _same_shell(one: End, two: End) -> bool:
    shells = [" ".join(e.pinout.connector.shell.casefold().split()) for e in (one, two)]
    return (
        bool(shells[0])
        and shells[0] == shells[1]
        and one.pinout.path != two.pinout.path
        and set(one.pinout.cavities) == set(two.pinout.cavities)
    )


def _told(end: End) -> Told:
    return {name: told_of(c) for name, c in end.pinout.cavities.items()}


def _claimed(end: End) -> Iterator[Hit]:
    by_source: dict[str, dict[str, tuple[str, str]]] = defaultdict(dict)
    for name, cavity in end.pinout.cavities.items():
        for claim in cavity.also:
            function = claim.reading.function
            extra = "".join(
                f" {k} {v}" for k, v in claim.reading.qualifiers if k in ("side", "lamp", "circuit")
            )
            by_source[claim.source or claim.basis][name] = (
                "" if function == "unknown" else function + extra,
                "",
            )
    for source, told in sorted(by_source.items()):
        yield from _misread(end, _told(end), told, source, f"the table of {end.name}", end)


def _misread(
    shape: End, one: Told, other: Told, name: str, against: str, guilty: End
) -> Iterator[Hit]:
    fit = better_fit(shape.pinout, one, other)
    if fit is not None:
        face = guilty.pinout.connector.face
        place = (face.place if face else None) or guilty.pinout.place or guilty.place
        subject = (shape.name,) if shape is guilty else (shape.name, guilty.name)
        yield Hit(
            place,
            subject,
            {
                "one": name,
                "other": against,
                "how": WORDS[fit.kind],
                "n": fit.as_misread,
                "told": fit.told,
                "before": fit.as_written,
            },
        )
