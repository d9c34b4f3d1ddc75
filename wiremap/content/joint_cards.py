"""Cards of the joints: colours as found, then the work at one joint, ticked in its order."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from wiremap.content.bus import BusHalf, bus_halves, cut_step
from wiremap.content.bus_cards import bus_card, bus_done
from wiremap.content.cards import Card, CardLink, tick
from wiremap.content.colour_cards import colour_ask, colour_of, stopped_card
from wiremap.content.done import ticked
from wiremap.content.given import Given
from wiremap.content.joint_ends import CONTACTS, end_steps
from wiremap.content.joint_notes import LookAlikes
from wiremap.content.joint_work import (
    joint_boxes,
    joint_numbers,
    joint_order,
    said_step,
)
from wiremap.content.old_plug import parted_words, proved_first
from wiremap.content.steps import Step
from wiremap.content.stop_cards import is_passed, stop_card
from wiremap.content.stops import cut_ends
from wiremap.content.survey_deeds import deeds_left
from wiremap.content.wire_work import before_joints, capped_wires, wires_without_joint
from wiremap.content.words import listed, sentence_case
from wiremap.entries.deeds import belongs
from wiremap.graph import Joint
from wiremap.model import Entry, EntryKind, Stop, says_what

JOINTS = "/joints"
BEFORE = "before the first cut"
LENGTHS = "Lengths in mm, each from its own end's last tie."
LABELLED = ("battery off, proven dead", "both sides of every wire labelled")
IN_FULL = {
    "looked at": "the crimp looked at: all strands in, none cut",
    "tug": "a tug at each wire: none comes",
}
CAPS = "wires that are capped"
JOINT, BUS, WIRE = "joint ", "bus ", "wire "  # begin the names of tasks


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """A piece of work at the bench, shown as one card."""

    name: str  # under which its deeds are kept in the notebook
    heading: str
    lead: tuple[str, ...] = ()
    tails: tuple[str, ...] = ()  # the contacts whose wires are cut: their colours are asked first
    points: tuple[str, ...] = ()  # the contacts it joins: what is owed of them is measured first
    deeds: tuple[str, ...]  # in their order
    bus: BusHalf | None = None  # read by itself once the deeds are done, then its switch set


def is_of_task(entry: Entry) -> bool:
    """Whether an entry is a deed of a task, of one that the job no longer has too."""
    if belongs(entry, BEFORE, CAPS):
        return True
    return entry.kind == EntryKind.DONE and entry.what.startswith((JOINT, BUS, WIRE))


def tasks(given: Given) -> list[Task]:
    """All work between the survey and the ring-out, in its order."""
    first = tuple(step.text for step in before_joints(given))
    found = [Task(name=BEFORE, heading="Before the first cut", deeds=(*LABELLED, *first))]
    numbers, alike = joint_numbers(given), LookAlikes(given)
    halves = list(bus_halves(given))
    cut = {leg for half in halves for leg in half.legs}
    for joint in joint_order(given):
        for half in [h for h in halves if set(h.legs).intersection(joint.points)]:
            halves.remove(half)
            found.append(_bus_task(given, half))
        boxes = joint_boxes(given, numbers, joint, alike, cut=cut)
        before = [said_step(step) for step in proved_first(given, joint)]
        ends = [said_step(step) for step in end_steps(given, joint)]
        found.append(_joint_task(given, joint, boxes, before, ends))
    for wire in wires_without_joint(given):
        deeds = tuple(said_step(step) for step in wire.steps)
        name = f"{WIRE}{wire.circuit}"
        heading = f"Wire {wire.circuit}"
        found.append(Task(name=name, heading=heading, lead=(CONTACTS,), deeds=deeds))
    caps = tuple(said_step(step) for step in capped_wires(given))
    if caps:
        found.append(Task(name=CAPS, heading="Wires that are capped", deeds=caps))
    return found


def _joint_task(
    given: Given,
    joint: Joint,
    boxes: tuple[Step, Step, Step],
    before: Sequence[str],
    ends: Sequence[str],
) -> Task:
    """The work at one joint: its wires with their lengths, its boxes, then its far ends."""
    sleeve, crimp, tug = boxes
    lead = [f"{line.at} {line.text}" for line in sleeve.lines]
    lead += [sleeve.note] if sleeve.note else []
    lead += _lengths(given, joint)
    if ends:
        lead.append(CONTACTS)
    if joint.circuit in given.harm:
        lead.append("mixed up here, something breaks or moves")
    work = crimp.text.removeprefix(f"{joint.id}: ")
    return Task(
        name=f"{JOINT}{joint.id}",
        heading=f"Joint {sleeve.n}: {joint.id}",
        lead=tuple(lead),
        tails=tuple(_tails(given, joint)),
        points=tuple(joint.points),
        deeds=(*before, "cut to length", sleeve.want, work, crimp.want, tug.want, *ends),
    )


def _lengths(given: Given, joint: Joint) -> list[str]:
    """From where lengths are counted; before that, where a plug is cut off, how each of its wires
    is parted.
    """
    cut = {end.name for end in cut_ends(given)}
    if cut.isdisjoint(given.harness.points[point].owner for point in joint.points):
        return [LENGTHS]
    return [f"{sentence_case(parted_words())}.", LENGTHS]


def _bus_task(given: Given, half: BusHalf) -> Task:
    """The two legs of half a bus cut, so that it can be read by itself."""
    red, black = half.legs
    return Task(
        name=f"{BUS}{red} and {black}",
        heading=f"The bus at {red} and {black}",
        lead=(LENGTHS,),
        tails=tuple(leg for leg in half.legs if given.harness.points[leg].brings_lead),
        points=half.legs,
        deeds=(said_step(cut_step(given, half)),),
        bus=half,
    )


def _tails(given: Given, joint: Joint) -> Iterator[str]:
    for conductor in given.conductors(joint):
        bare = conductor.wire is not None and conductor.wire.bare
        if conductor.is_tail and conductor.point and not bare:
            yield conductor.point


def joint_card(
    given: Given, every: Sequence[Task], entries: Sequence[Entry], at: str, owed: Collection[str]
) -> Card:
    """The next piece of work, or what stops it.

    `every` are the tasks of the job, `owed` the contacts that must be measured before they are cut.
    """
    if any(entry.passes == Stop.CUT and says_what(entry.why) for entry in entries):
        owed = ()  # somebody stands to it
    waiting = [task for task in every if not is_done(given, entries, task)]
    first = next(iter(waiting), None)
    if first is not None and first.name != BEFORE and not is_passed(Stop.CUT, entries):
        lead = tuple(_read_first(given, entries, owed))
        return stop_card(Stop.CUT, entries, lead, licensed=given.licensed, unread=bool(owed))
    if first is None:
        return Card(heading="Every joint is ticked", through=True, more=tuple(_looked_back(every)))
    task = next((each for each in every if each.name == at), first)
    more = tuple(_looked_back([each for each in every if each not in waiting]))
    if task not in waiting or task is first:
        return _task_card(given, entries, task, more, owed)
    way = CardLink(path=JOINTS, words=f"first: {first.heading}")
    return Card(heading=task.heading, lead=task.lead, owed=(way,), more=more)


def is_done(given: Given, entries: Sequence[Entry], task: Task) -> bool:
    """Whether all deeds of a task are ticked, its colours told and none of them in question."""
    if set(task.deeds) - ticked(entries, task.name):
        return False
    asked = [colour_of(given, entries, point) for point in task.tails]
    if not all(each.found is not None and not each.differs for each in asked):
        return False
    return task.bus is None or bus_done(task.bus, entries)


def joints_left(given: Given, every: Sequence[Task], entries: Sequence[Entry]) -> int:
    """How many pieces of work are not ticked."""
    return sum(not is_done(given, entries, task) for task in every)


def _task_card(
    given: Given,
    entries: Sequence[Entry],
    task: Task,
    more: tuple[CardLink, ...],
    owed: Collection[str],
) -> Card:
    unread = [point for point in task.points if point in owed]
    if unread:
        words = f"first: measure {listed(*unread)}; once it is cut nobody can read it as it was"
        way = CardLink(path="/survey", words=words)
        return Card(heading=task.heading, lead=task.lead, owed=(way,), more=more)
    colours = [colour_of(given, entries, point) for point in task.tails]
    odd = next((each for each in colours if each.differs), None)
    if odd is not None:
        return stopped_card(given, odd, entries, more)
    unseen = [each for each in colours if each.found is None]
    if unseen:
        asks = tuple(colour_ask(given, each, entries) for each in unseen)
        lead = (*task.lead, "Look at the wire in your hand, not at the paper: which colour has it?")
        return Card(heading=task.heading, lead=lead, asks=asks, more=more)
    done = ticked(entries, task.name)
    left = [deed for deed in task.deeds if deed not in done]
    if task.bus is not None and not left:
        return bus_card(given, task.bus, entries, more)
    lead = task.lead
    if done:
        lead = (*lead, f"done: {listed(*(deed for deed in task.deeds if deed in done))}")
    asks = tuple(tick(task.name, deed, IN_FULL.get(deed, "")) for deed in left)
    return Card(heading=task.heading, lead=lead, asks=asks, more=more)


def _looked_back(done: Sequence[Task]) -> list[CardLink]:
    """A link to the last piece of work that is done, to look at it again; none before the first."""
    last = next(reversed(done), None)
    if last is None:
        return []
    return [CardLink(path=f"{JOINTS}?at={last.name}", words=f"back: {last.heading}")]


def _read_first(given: Given, entries: Sequence[Entry], owed: Collection[str]) -> Iterator[str]:
    if owed:
        yield f"Not measured yet, so not to be cut yet: {listed(*sorted(owed))}."
    for each in deeds_left(given, entries).every:
        yield f"Not done yet: {each.deed.rstrip('.')}."
    for finding in given.cautions:
        yield f"Caution: {finding.message}"
