"""Family `map`: contacts of which papers and words do not tell what they are."""

from __future__ import annotations

from collections import defaultdict
from functools import lru_cache

from wiremap.evidence.confirmed import BETWEEN_POINTS
from wiremap.graph import Point
from wiremap.model import Cavity, Circuit
from wiremap.naming import read_signal
from wiremap.rules.clash import TELLING
from wiremap.rules.cure import ABOUT, ABOUT_POINTS, typed
from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.view import View
from wiremap.trade.functions import FUNCTIONS, are_kin, may_share

MAP = Family("map", Matter.UNIT)
PLAIN = frozenset({"supply", "ground", "reference", "bus"})  # told apart at sight
LIKE_MANY = ("drive", "input", "lamp", "speaker")  # of these a connector often has several

TwinKey = tuple[str, str, tuple[tuple[str, str], ...]]
Twins = dict[TwinKey, list[Point]]


@MAP.caution(
    "words-against-function",
    what="{a} is stated as {stated}, but its words read as {words}",
    why="One of the two is wrong, and everything is judged by what is stated.",
    fix="Look at the machine and answer what it is"
    + typed(" (wiremap next JOB --about {address})")
    + ", or what its words mean there"
    + typed(" (--about {address}.means)")
    + ".",
)
def words_against_function(view: View) -> Hits:
    """A joined contact whose plain words name a supply, a ground, a reference or a bus while its
    stated function is something else, or the other way about.
    """
    for point in view.joined():
        cavity = point.cavity
        if cavity is None or cavity.reading.how != "stated" or not cavity.reading.by_words:
            continue
        if view.is_explained(point.address):
            continue
        words = _plainly_read(cavity.signal)
        if words and _is_another(cavity.function, words) and not _is_lit(view, point, words):
            address, stated = point.address, cavity.function
            yield view.described_hit(address, address=address, stated=stated, words=words)


def _is_lit(view: View, point: Point, words: str) -> bool:
    """Whether it is a lamp's own contact, called by what it lights, that a supply is stated for."""
    signal = view.signal(point.address)
    lamp = FUNCTIONS[words].electrical == "lamp"
    return lamp and signal is not None and signal.row.electrical == "supply" and signal.listens


@lru_cache(maxsize=16384)  # what is joined mostly bears one wording on both sides
def _plainly_read(signal: str) -> str:
    """The function that words alone give beyond doubt; else empty."""
    meaning = read_signal(signal)
    if meaning.unexplained:
        return ""
    classes = {FUNCTIONS[slug].electrical for slug in (meaning.function, *meaning.may_be)}
    plain = meaning.settled or classes <= PLAIN
    return meaning.function if plain else ""


def _is_another(stated: str, words: str) -> bool:
    """Whether two functions differ in what is never mistaken for anything else."""
    if are_kin(stated, words) or may_share(stated, words) or FUNCTIONS[stated].refused:
        return False
    classes = {FUNCTIONS[stated].electrical, FUNCTIONS[words].electrical}
    return len(classes) > 1 and bool(classes & PLAIN)


@MAP.stop(
    "joined-to-nothing",
    what="{a} is joined although its description says {what}",
    why="Where nothing should be, the paper is wrong or the wire goes astray.",
    fix="Check the cavity; describe what is there, or take it out of the circuit.",
)
def joined_to_nothing(view: View) -> Hits:
    """A joined contact that is unused, reserved or left to the maker's discretion, or whose
    hole was found empty.
    """
    for point in view.joined():
        assert point.cavity is not None
        if point.cavity.as_found == "empty":
            yield view.described_hit(point.address, what="the hole is empty")
        elif FUNCTIONS[point.function].electrical == "nothing":
            yield view.described_hit(point.address, what=point.function)


@MAP.stop(
    "unknown-joined",
    what="{a} is joined, but nobody has said what it is for",
    why="An unknown contact may be anything, a supply included.",
    fix="Find out what it is and answer it" + ABOUT,
)
def unknown_joined(view: View) -> Hits:
    """A joined contact of unknown function in a circuit that no named person has settled."""
    for point in view.joined():
        if point.function == "unknown" and not view.is_confirmed(point.address):
            yield view.described_hit(point.address, address=point.address)


@MAP.stop(
    "twins-unsettled",
    what="{a} and {b} are joined, but {end} has {n} contacts like it ({twins}) and the words do "
    "not tell which is meant",
    why="Like signals exchanged work the wrong axle, lamp or valve, and nothing else shows it.",
    fix="Tell them apart at the machine, then say it by name" + ABOUT_POINTS,
)
def twins_unsettled(view: View) -> Hits:
    """Drives, inputs, lamps or speakers of one function whose wordings differ, where both
    connectors have several alike.
    """
    for circuit in view.job.circuits:
        was_proposed = circuit.grade is not None  # then its grade decides, see `map_settled`
        if was_proposed or circuit.id in view.confirmed:
            continue
        hit = next(_twin_hits(view, circuit), None)
        if hit is not None:
            yield hit


def _twin_hits(view: View, circuit: Circuit) -> Hits:
    twins = view.fixed(_twins)
    points = [view.points[a] for a in circuit.join if a in view.points]
    cavities = [point for point in points if point.cavity is not None]
    for one in cavities:
        for two in cavities:
            if two.owner == one.owner or _is_told(one, two):
                continue
            alike = twins.get(_twin_key(two), [])
            if len(alike) < 2 or len(twins.get(_twin_key(one), [])) < 2:
                continue
            yield view.hit(
                circuit.id,
                place=circuit.place,
                also=view.described(one.address, two.address),
                a=view.name(one.address),
                b=view.name(two.address),
                end=two.owner,
                points=BETWEEN_POINTS.join(circuit.join),
                n=len(alike),
                twins=", ".join(point.address for point in alike),
            )


def _twins(view: View) -> Twins:
    twins: Twins = defaultdict(list)
    for point in view.points.values():
        if point.cavity is not None and FUNCTIONS[point.function].electrical in LIKE_MANY:
            twins[_twin_key(point)].append(point)
    return twins


def _twin_key(point: Point) -> TwinKey:
    assert point.cavity is not None
    qualifiers = tuple(q for q in point.cavity.reading.qualifiers if q[0] in TELLING)
    return (point.owner, point.function, qualifiers)


def _is_told(one: Point, two: Point) -> bool:
    """Whether function, words or a standard's mark tell that two contacts are meant for one
    another.
    """
    assert one.cavity is not None and two.cavity is not None
    alike = one.cavity.signal == two.cavity.signal
    if one.function != two.function or alike or _words(one.cavity) == _words(two.cavity):
        return True
    return bool(one.cavity.mark) and one.cavity.mark == two.cavity.mark


def _words(cavity: Cavity) -> list[str]:
    return sorted(word.casefold() for word in cavity.reading.unexplained)
