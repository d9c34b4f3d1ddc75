"""Ring-out cards for a screen: up to six readings that keep one probe where it is, as plain
data.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from hashlib import sha256

from wiremap.diagnose.judge import expected
from wiremap.diagnose.walk import Turn, Walk
from wiremap.graph import Harness, Reach
from wiremap.model import Address, Entry, Face
from wiremap.ringout.probe import Probe, setting

MOST_READINGS = 6
PITCH = 12.0
EDGE = 9.0
TOP = 18.0
MARK_DIGITS = 16
SPLICE_IN = "splice-in"
PART_PLACES = {
    Reach.HOLDER: "in the empty fuse holder",
    Reach.JOINT: "at its joint, before the sleeve is shrunk",
    Reach.FAR_END: "at its ring",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """One cavity of a drawn face: its name, its middle, whether the probe goes there."""

    name: str
    x: float
    y: float
    here: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceCard:
    """A connector's front with one contact pointed at; lengths in drawing units."""

    said: str
    width: float
    height: float
    holes: tuple[Hole, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """Where one probe goes."""

    probe: str
    address: str
    where: str
    face: FaceCard | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """An answer to touch: what is kept, and how it is called."""

    value: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingCard:
    """One reading to take; `mark` names it and what had been read there when it was shown."""

    mark: str
    heading: str
    turn: Turn
    spots: tuple[Spot, ...]
    lead: tuple[str, ...]
    answers: tuple[Choice, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RingoutCard:
    """What to do now in a ring-out; without readings there is nothing left to take."""

    heading: str
    lead: tuple[str, ...]
    readings: tuple[ReadingCard, ...]


BEEP = Choice(value="b", words="beep")
SILENT = Choice(value="s", words="silent")
DIODE = Choice(value="d", words="a diode's drop")
MENDED = Choice(value="m", words="mended")
UNSURE = Choice(value="n", words="not sure")


def ringout_card(walk: Walk) -> RingoutCard:
    """The next card of a walk: one telling probe, or planned readings around one probe."""
    judged = walk.judged()
    said = tuple(walk.said())
    turn = walk.turn()
    if turn is None:
        return RingoutCard(
            heading=f"Ring-out: {judged.verdict}", lead=(*said, *judged.told()), readings=()
        )
    if turn.mend:
        return RingoutCard(heading="Mend this", lead=said, readings=(mend_card(walk, turn),))
    if turn.telling or turn.probe is None:
        reading = reading_card(walk, turn, heading="The probe that tells")
        return RingoutCard(heading="One reading tells which it is", lead=said, readings=(reading,))
    together = around_one_probe(turn.probe, judged.left, walk.skipped)
    readings = tuple(
        reading_card(walk, planned_turn(probe), heading=f"Reading {probe.n}") for probe in together
    )
    return RingoutCard(heading="Next readings", lead=said, readings=readings)


def around_one_probe(
    first: Probe, left: Sequence[Probe], skipped: Iterable[int]
) -> tuple[Probe, ...]:
    """The first reading and those right behind it that leave one of its probes where it is."""
    passed_over = frozenset(skipped)
    waiting = [probe for probe in left if probe.n >= first.n and probe.n not in passed_over]
    same_red = leading(waiting, [probe.red == first.red for probe in waiting])
    same_black = leading(waiting, [probe.black == first.black for probe in waiting])
    together = max(same_red, same_black, key=len)
    return tuple(together[:MOST_READINGS])


def leading(probes: Sequence[Probe], kept: Sequence[bool]) -> list[Probe]:
    """The probes before the first one that is not kept; those with another state end it too."""
    found: list[Probe] = []
    for probe, keep in zip(probes, kept, strict=True):
        if not keep or probe.state != probes[0].state:
            break
        found.append(probe)
    return found


def reading_card(walk: Walk, turn: Turn, *, heading: str) -> ReadingCard:
    """One reading with where its probes go and the answers it may have."""
    lead = [setting(turn.state)] if turn.state else []
    if turn.unit == "ohms":
        lead.append("read the ohms: a beep alone does not tell")
    if turn.expect:
        lead.append(f"expected: {turn.expect}")
    else:
        lead.append(f"this tells: {turn.why}")
    spots = [spot(walk, "red", address) for address in turn.red]
    spots += [spot(walk, "black", address) for address in turn.black]
    return ReadingCard(
        mark=mark(turn, walk.entries),
        heading=heading,
        turn=turn,
        spots=tuple(spots),
        lead=tuple(lead),
        answers=answers(turn),
    )


def mend_card(walk: Walk, turn: Turn) -> ReadingCard:
    """What is wrong; once it is mended, what that touched is read again."""
    return ReadingCard(
        mark=mark(turn, walk.entries),
        heading=turn.why,
        turn=turn,
        spots=(),
        lead=tuple(walk.show(turn)),
        answers=(MENDED,) if turn.certain else (),
    )


def answers(turn: Turn) -> tuple[Choice, ...]:
    """What may be touched; a figure is typed."""
    if turn.unit == "ohms":
        return (SILENT, UNSURE)
    if turn.unit == "diode":
        return (DIODE, BEEP, SILENT, UNSURE)
    return (BEEP, SILENT, UNSURE)


def spot(walk: Walk, colour: str, address: str) -> Spot:
    """Where a probe goes, in words and, where its face is known and within reach, as a drawing."""
    cut = walk.plan.kind == SPLICE_IN
    at_joint = cut and walk.harness.reach(address) == Reach.JOINT
    return Spot(
        probe=colour,
        address=address,
        where=where(walk.harness, address, at_joint=at_joint),
        face=None if at_joint else face_card(walk.harness, address),
    )


def where(harness: Harness, address: str, *, at_joint: bool) -> str:
    """Where a point is found: its signal and wire, and the place to set the probe."""
    point = harness.points[Address.read(address)]
    cavity = point.cavity
    if cavity is None:
        return PART_PLACES.get(harness.reach(address), "at its leg")
    words = [cavity.signal] if cavity.signal else []
    if cavity.wire is not None and cavity.wire.colour is not None:
        words.append(f"wire {cavity.wire.colour.word}")
    if at_joint:
        words.append(PART_PLACES[Reach.JOINT])
    return ", ".join(words)


def planned_turn(probe: Probe) -> Turn:
    """A planned reading as one to take now."""
    return Turn(
        red=probe.red,
        black=probe.black,
        expect=expected(probe),
        why="; ".join((*probe.proves, *([probe.why] if probe.why else []))),
        probe=probe,
        telling=False,
        state=probe.state,
        unit=probe.expect,
    )


def face_card(harness: Harness, address: str) -> FaceCard | None:
    """A connector's front as its paper draws it; None where nobody has told how it looks."""
    point = harness.points[Address.read(address)]
    if point.end is None or point.cavity is None:
        return None
    face = point.end.connector.face
    if face is None:
        return None
    return drawn_face(face, point.cavity.name, point.end.name)


def drawn_face(face: Face, name: str, end: str) -> FaceCard:
    """A face with one cavity pointed at."""
    rows = face.padded()
    holes = [
        Hole(name=cavity, x=EDGE + PITCH * column, y=TOP + PITCH * row, here=cavity == name)
        for row, cavities in enumerate(rows)
        for column, cavity in enumerate(cavities)
        if cavity is not None
    ]
    keyway = f", keyway {face.key}" if face.key else ""
    return FaceCard(
        said=f"{end}, {side_words(face.view)}{keyway}: cavity {name}",
        width=2 * EDGE + PITCH * (max(map(len, rows)) - 1),
        height=TOP + PITCH * (len(rows) - 1) + EDGE,
        holes=tuple(holes),
    )


def side_words(view: str) -> str:
    """Which way one looks at a face."""
    if view == "mating":
        return "looking into the front (mating face)"
    return "looking at the back, where the wires go in"


def mark(turn: Turn, entries: Iterable[Entry]) -> str:
    """What a reading is known by: its probes, its state, and how often it was answered before."""
    points = frozenset((*turn.red, *turn.black))
    before = sum(points == frozenset((*entry.red, *entry.black)) for entry in entries)
    text = "|".join((*turn.red, "-", *turn.black, str(turn.state), str(before)))
    return sha256(text.encode("utf-8")).hexdigest()[:MARK_DIGITS]
