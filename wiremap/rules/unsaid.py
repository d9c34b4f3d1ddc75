"""What papers leave unsaid that would be a finding if it were said, told as not judged.

A statement left out must not be the way to pass: where another paper would have shown a danger, the
subject is named instead.
"""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.evidence.judged_reading import ReadingVerdict
from wiremap.evidence.survey_readings import judge_survey
from wiremap.graph import Point
from wiremap.model import Basis, Cavity, Circuit, End
from wiremap.rules.twists import bus_circuits, shared_twist
from wiremap.rules.unasked import reading_words, unasked_readings
from wiremap.rules.view import View
from wiremap.sizing.unjudged import About, NotJudged
from wiremap.trade.dangers import names_alternating
from wiremap.trade.functions import FUNCTIONS

VOLTS_AC = "whether it carries alternating volts, and how many, is not stated"
UNPROMISED = "no paper tells what should be"
VOLTS = "its volts are not stated, and what it is joined with states its own"
WITHOUT_LEVEL = ("ground", "shield", "loop", "coding", "nothing", "unknown")
ONE_SOURCE = "one source alone tells what it is, and nobody measured it"
NOT_PROVEN = "one source alone tells what it is, and what was read there does not prove it"
WATCHED = "whether the unit notices that it is left open is not stated"
PLATING = "its plating is not stated, beside contacts whose plating is"
MOVES = "whether its soldered joint moves is not stated (`surroundings: {moves: ...}`)"
NOT_COUNTED = (ReadingVerdict.STALE, ReadingVerdict.REFUSED)
SOLDERED = ("lap-solder", "solder-sleeve")
KEEP_OUT = "whether its run passes a hinge, heat or a bend is not stated"
TWIST = "how far its wires lie without twist is not stated"
PULSES = ("pulse-input", "pulse-output")  # of pickups and alternators: the trade's AC lines


def unsaid(view: View) -> Iterator[NotJudged]:
    """All of it, one entry an end or a run and a lack."""
    points_lacking: dict[tuple[str, str], list[str]] = {}
    for point in view.points.values():
        for lack in _lacks(view, point):
            points_lacking.setdefault((point.owner, lack), []).append(point.address)
    for (_, lack), subject in points_lacking.items():
        yield _untold(subject, lack)
    for reading in view.fixed(unasked_readings):
        read = f"{reading_words(reading.entry)} was read there"
        yield _untold([reading.address], f"{read}: {reading.why or UNPROMISED}")
    yield from _soldered(view)
    yield from _open_runs(view)
    for one, two in bus_circuits(view):
        if shared_twist(view, one, two) is None and not _has_new_wire(view, one, two):
            yield _untold([one.id, two.id], TWIST)


def _has_new_wire(view: View, *circuits: Circuit) -> bool:
    """Whether new wire of a stated length is part of some circuits: that much is untwisted."""
    conductors = view.harness.conductors_by_circuit
    every = (each for circuit in circuits for each in conductors.get(circuit.id, ()))
    return any(each.is_new and each.length_mm is not None for each in every)


def _lacks(view: View, point: Point) -> Iterator[str]:
    cavity, end = point.cavity, point.end
    if cavity is None or end is None:
        return
    if not view.is_joined(point.address):
        if _may_be_watched(view, point, cavity, end):
            yield WATCHED
        return
    row = FUNCTIONS[cavity.function]
    pulses = end.is_machine and row.slug in PULSES and cavity.volts is None
    if cavity.volts_ac is None and (pulses or names_alternating(cavity.signal)):
        yield VOLTS_AC
    if _rests_on_one(cavity, end):
        yield NOT_PROVEN if point.address in view.fixed(_points_read) else ONE_SOURCE
    if _volts_stated_beside(view, point):
        yield VOLTS
    if cavity.plating is None and end.name in view.fixed(_ends_plated):
        yield PLATING


def _volts_stated_beside(view: View, point: Point) -> bool:
    """Whether a contact of unknown volts meets one of another connector that states its own."""
    signal = view.signal(point.address)
    if signal is None or signal.volts is not None or signal.row.electrical in WITHOUT_LEVEL:
        return False
    beside = (view.points[other.address].cavity for other in view.beside(point.address))
    return any(cavity is not None and cavity.volts is not None for cavity in beside)


def _may_be_watched(view: View, point: Point, cavity: Cavity, end: End) -> bool:
    drives = FUNCTIONS[cavity.function].electrical == "drive" and not end.is_machine
    return drives and cavity.detects_open is None and not view.idle_tap(point)


def _rests_on_one(cavity: Cavity, end: End) -> bool:
    """Whether hearsay, or at the machine a paper, tells its function, and nothing checks it."""
    if cavity.function == "unknown" or cavity.also:
        return False
    weak = (Basis.TOLD, Basis.DOCUMENT) if end.is_machine else (Basis.TOLD,)
    return cavity.basis in weak


def _points_read(view: View) -> frozenset[str]:
    """The contacts at which a reading of the survey counts."""
    if not view.job.entries:
        return frozenset()
    judged = judge_survey(view.job)
    return frozenset(each.address for each in judged if each.verdict not in NOT_COUNTED)


def _ends_plated(view: View) -> frozenset[str]:
    """The ends of which a joined contact's plating is stated."""
    stated = (point for point in view.joined() if point.cavity and point.cavity.plating)
    return frozenset(point.owner for point in stated)


def _soldered(view: View) -> Iterator[NotJudged]:
    """Soldered joints of which nobody states whether they move; all of a job in one entry."""
    if view.job.surroundings.moves is not None:
        return
    joints = view.harness.joints.values()
    circuits = [each.circuit for each in joints if each.kind in SOLDERED and not each.supported]
    if circuits:
        yield _untold([*dict.fromkeys(circuits)], MOVES)


def _open_runs(view: View) -> Iterator[NotJudged]:
    """Runs of which no keep-out is stated, with the joints that the job places on them."""
    for run in view.job.runs:
        if run.keep_out:
            continue
        placed = []
        for circuit in view.job.circuits:
            if circuit.at_mm is not None and {run.a, run.b} <= {one.end for one in circuit.join}:
                placed.append(circuit.id)
        yield _untold([run.a, run.b, *placed], KEEP_OUT)


def _untold(subject: list[str], why: str) -> NotJudged:
    return NotJudged(
        subject=tuple(subject), why=why, about=About.OTHER, by_reading=why == ONE_SOURCE
    )
