"""Cards of the ring-out: up to six readings that keep one probe where it is, what to mend."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from wiremap.content.cards import Blank, Card, CardLink, CardQuestion, CardSpot, Choice, mark_for
from wiremap.content.probe_spot import probe_spot
from wiremap.content.survey_cards import OHMS, OPEN
from wiremap.diagnose.turn import Turn, planned_turn
from wiremap.diagnose.walk import Walk
from wiremap.mistakes.expectation import Shows
from wiremap.model import Entry
from wiremap.ringout.probe import Probe, state_deed

MOST_READINGS = 6
MANY = 4  # points under one probe that are told as one place
CLIP_ON = "first a clip, which stays, on"
INSTEAD = Blank(name="ohms", words="or the ohms on the display (OL: write open)", figure=True)
NAMED = Blank(name="named", words="or which of them beeped (as loom.3)")
CONTACTS = Blank(name="points", words="at which points (as loom.3 donor.12)")
BEEP = Choice(value="b", words="beep")
SILENT = Choice(value="s", words="silent")
DIODE = Choice(value="d", words="a diode's drop")
MENDED = Choice(value="m", words="mended")
UNSURE = Choice(value="n", words="not sure")
MEND = CardLink(path="/ringout?at=mended", words="I mended something: say where")
BACK = CardLink(path="/ringout", words="back to the readings")
ASKED_AGAIN = "what was read at the circuits of these points is asked again"


def ringout_card(walk: Walk) -> Card:
    """The next card of a walk: one telling probe, what to mend, or readings around one probe."""
    judged = walk.judged()
    turn = walk.turn()
    said = tuple(walk.said())
    if turn is None or is_second(turn):
        heading = f"Ring-out: {judged.verdict}"
        return Card(
            heading=heading,
            lead=(*said, *judged.told()),
            more=(MEND,),
            through=judged.verdict == "pass",
        )
    if turn.mend:
        return Card(heading="Mend this", stop=said, asks=tuple(mend_asks(walk, turn)))
    if turn.telling or turn.probe is None:
        ask = reading(walk, turn, heading="The probe that tells")
        heading = "One reading tells which it is"
        return Card(heading=heading, stop=said, asks=(ask,), more=(MEND,))
    together = around_one_probe(turn.probe, judged.left, walk.skipped)
    asks = [reading(walk, planned_turn(each), heading=f"Reading {each.n}") for each in together]
    count = len(walk.plan.probes)
    left = f"{len(judged.left)} of {count} readings left"
    heading = "Next readings" if len(asks) > 1 else "Next reading"
    return Card(
        heading=heading, lead=(*said, left), asks=tuple(probe_drawn_once(asks)), more=(MEND,)
    )


def is_second(turn: Turn) -> bool:
    """Whether what is to be read next belongs to the second ring-out, as planned."""
    return turn.probe is not None and not turn.telling and turn.state.shrunk


def probe_drawn_once(asks: Sequence[CardQuestion]) -> Iterable[CardQuestion]:
    """The readings; where a probe stays at its point, that is drawn at the first of them alone."""
    first, *others = asks
    yield first
    for ask in others:
        spots = (_stays(spot) if spot in first.spots else spot for spot in ask.spots)
        yield replace(ask, spots=tuple(spots))


def _stays(spot: CardSpot) -> CardSpot:
    return replace(spot, where="stays where it is", face=None)


def mended_card(walk: Walk) -> Card:
    """What was mended, wherever it was."""
    mended = sum(entry.kind == "mended" for entry in walk.entries)
    ask = CardQuestion(
        mark=mark_for("mended", str(mended)),
        heading="Something was mended",
        lead=(ASKED_AGAIN,),
        blanks=(CONTACTS,),
        of=Turn(why=""),
    )
    return Card(heading="What was mended", asks=(ask,), more=(BACK,))


def around_one_probe(
    first: Probe, left: Sequence[Probe], skipped: Iterable[int]
) -> tuple[Probe, ...]:
    """The first reading and those right behind it that leave one of its probes where it is."""
    passed_over = frozenset(skipped)
    behind = left[[probe.n for probe in left].index(first.n) :]
    waiting = [probe for probe in behind if probe.n not in passed_over]
    same_red = leading(waiting, [probe.red == first.red for probe in waiting])
    same_black = leading(waiting, [probe.black == first.black for probe in waiting])
    together = max(same_red, same_black, key=len)
    return tuple(together[:MOST_READINGS])


def leading(probes: Sequence[Probe], kept: Sequence[bool]) -> list[Probe]:
    """The first probes, up to one that is not kept or that wants another state of the harness."""
    found: list[Probe] = []
    for probe, keep in zip(probes, kept, strict=True):
        if not keep or probe.state != probes[0].state:
            break
        found.append(probe)
    return found


def reading(walk: Walk, turn: Turn, *, heading: str) -> CardQuestion:
    """One reading with where its probes go and the answers it may have."""
    to_do = state_deed(turn.state)
    lead = [to_do] if to_do else []
    if turn.probe is not None and turn.probe.why:
        lead.append(turn.probe.why)
    elif turn.unit == Shows.OHMS:
        lead.append("read the ohms: a beep alone does not tell")
    lead.append(f"expected: {turn.expect}" if turn.expect else f"this tells: {turn.why}")
    spots = [spot(walk, CLIP_ON, address) for address in clips_to_hang(walk, turn)]
    spots += under(walk, "red probe", turn.red, turn)
    spots += under(walk, "black probe", turn.black, turn)
    return CardQuestion(
        mark=mark(turn, walk.entries),
        heading=heading,
        spots=tuple(drawn_once(spots)),
        lead=tuple(lead),
        choices=choices(turn),
        blanks=blanks(turn),
        of=turn,
    )


def clips_to_hang(walk: Walk, turn: Turn) -> tuple[str, ...]:
    """The clips that go on for a reading; they hang once it was taken."""
    if turn.probe is None or times_read(turn, walk.entries):
        return ()
    return turn.probe.clips


def under(walk: Walk, probe: str, points: Sequence[str], turn: Turn) -> list[CardSpot]:
    """Where one probe goes; many points are told as one place."""
    if len(points) < MANY:
        return [spot(walk, probe, address) for address in points]
    together = f"{len(points)} points, one after another"
    if is_comb(turn):
        together = f"the {len(points)} clipped together"
    return [CardSpot(probe=probe, address=together, where=", ".join(points), face=None)]


def is_comb(turn: Turn) -> bool:
    """Whether the points under the black probe are clipped together."""
    return turn.probe is not None and turn.probe.comb


def drawn_once(spots: Iterable[CardSpot]) -> Iterable[CardSpot]:
    """The spots, each contact drawn at the first of them alone."""
    drawn: set[str] = set()
    for each in spots:
        yield replace(each, face=None) if each.address in drawn else each
        drawn.add(each.address)


def mend_asks(walk: Walk, turn: Turn) -> Iterable[CardQuestion]:
    """What is wrong; once it is mended, what that touched is read again."""
    known = mark(turn, walk.entries)
    if turn.certain:
        lead = tuple(walk.show(turn))
        yield CardQuestion(mark=known, heading=turn.why, lead=lead, choices=(MENDED,), of=turn)
        return
    found = [Choice(value=f"m {' '.join(walk.places(m))}", words=m.words()) for m in turn.mend]
    heading = "Which was it? Look, mend it, then say so"
    yield CardQuestion(
        mark=known,
        heading=heading,
        lead=(turn.why, ASKED_AGAIN),
        choices=tuple(found),
        blanks=(CONTACTS,),
        of=turn,
    )


def blanks(turn: Turn) -> tuple[Blank, ...]:
    """What may be typed: the ohms; of points touched one after another, the one that beeps."""
    if turn.unit == Shows.OHMS:
        return (OHMS,)
    return (NAMED, INSTEAD) if turn.is_sweep and not is_comb(turn) else (INSTEAD,)


def choices(turn: Turn) -> tuple[Choice, ...]:
    """What may be touched; a figure is typed."""
    if turn.unit == Shows.OHMS:
        return (OPEN, UNSURE)
    if turn.unit == Shows.DIODE:
        return (DIODE, BEEP, SILENT, UNSURE)
    return (BEEP, SILENT, UNSURE)


def spot(walk: Walk, colour: str, address: str) -> CardSpot:
    """Where a probe of the ring-out goes."""
    return probe_spot(walk.harness, walk.plan.kind, colour, address)


def mark(turn: Turn, entries: Iterable[Entry]) -> str:
    """What a reading is known by: its probes, its state, and how often it was answered before."""
    before = times_read(turn, entries)
    mends = [m.words() for m in turn.mend]
    return mark_for(*turn.red, "-", *turn.black, str(turn.state), *mends, str(before))


def times_read(turn: Turn, entries: Iterable[Entry]) -> int:
    """How often the meter was put between these points before."""
    points = frozenset((*turn.red, *turn.black))
    return sum(points == frozenset((*entry.red, *entry.black)) for entry in entries)
