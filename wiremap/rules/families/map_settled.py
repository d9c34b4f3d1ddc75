"""Family `map`: every doubtful circuit settled by a named person."""

from __future__ import annotations

from wiremap.evidence.confirmed import BETWEEN_POINTS, called_by
from wiremap.evidence.left_out import not_agreed
from wiremap.evidence.partners import denial_of, denied
from wiremap.evidence.reasons import doubts, other_reasons, settled_before
from wiremap.model import Address, Circuit, Entry
from wiremap.rules.answered import said_already
from wiremap.rules.cure import ABOUT_JOINED, ABOUT_POINTS, SIGN, typed
from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.view import View

MAP = Family("map", Matter.UNIT)


@MAP.stop(
    "ask-unsettled",
    what="circuit {called} is a guess (`ask`) and nobody has settled it{stale}{because}",
    why="The proposal could not tell that both are the same signal.",
    fix="Find out at the machine, then say it by name" + ABOUT_POINTS,
)
def ask_unsettled(view: View) -> Hits:
    """A circuit graded `ask` without a named person's settlement."""
    return _graded(view, "ask")


@MAP.caution(
    "likely-unsettled",
    what="circuit {called} is only `likely`{stale}{because}",
    why="One soft point speaks against it.",
    fix="Check that point, then say it by name" + ABOUT_POINTS + "; or sign the finding" + SIGN,
)
def likely_unsettled(view: View) -> Hits:
    """A circuit graded `likely` without a named person's settlement."""
    return _graded(view, "likely")


@MAP.stop(
    "circuit-denied",
    what="{by} has said ({date}) that {points} are not one signal, and the job still joins them",
    why="Whoever looked at the machine knows better than the proposal.",
    fix="Propose anew, with what was answered"
    + typed(": wiremap propose --keep-answers JOB -o job-2.yaml")
    + "; or look again and say yes"
    + ABOUT_POINTS,
)
def circuit_denied(view: View) -> Hits:
    """A circuit to which a named person has answered no."""
    denials = view.fixed(_denied)
    for circuit in view.job.circuits:
        entry = denial_of(circuit, denials)
        if entry is not None:
            points = entry.about
            if BETWEEN_POINTS not in points:
                points = called_by(view.job, circuit)
            yield view.circuit_hit(
                circuit, by=entry.by, date=entry.date or "no date", points=points
            )


@MAP.caution(
    "left-out-on-a-guess",
    matter=Matter.WORKING,
    what="{a} is left out and nobody has agreed; the machine had it ({reason})",
    why="What the old unit did there is done by nobody afterwards.",
    fix="Say what it goes with, or `left alone`"
    + typed(": wiremap next JOB --about {address}.partner")
    + "{said}",
)
def left_out_on_a_guess(view: View) -> Hits:
    """A working contact of the machine that the proposal left out, and no named person has."""
    for address, why in not_agreed(view.job):
        place = view.job.not_joined[address].place
        said = said_already(view, address)
        yield view.described_hit(address, place=place, address=address, reason=why, said=said)


def _denied(view: View) -> dict[frozenset[Address], Entry]:
    return denied(view.job)


def _graded(view: View, grade: str) -> Hits:
    denials = view.fixed(_denied)
    for circuit in view.job.circuits:
        if circuit.grade != grade or circuit.id in view.confirmed or denial_of(circuit, denials):
            continue
        because = _because(circuit)
        yield view.circuit_hit(
            circuit,
            "grade",
            called=_called(circuit),
            points=called_by(view.job, circuit),
            because=f": {because}" if because else "",
            stale=_stale(view, circuit),
        )


def _because(circuit: Circuit) -> str:
    """What is in doubt of a circuit; where nothing is, why it is proposed at all."""
    reasons = other_reasons(circuit)
    return "; ".join(doubts(reasons) or reasons)


def _called(circuit: Circuit) -> str:
    """A circuit by its points, and by its name if it has one of its own."""
    points = BETWEEN_POINTS.join(circuit.join)
    return points if circuit.id == circuit.join[0] else f"{circuit.id} ({points})"


def _stale(view: View, circuit: Circuit) -> str:
    entries = [entry for entry in view.job.confirmed if entry.circuit == circuit.id]
    if not entries:
        before = settled_before(circuit)
        return f" as it is now (before: {before})" if before else ""
    if all(entry.of is not None for entry in entries):
        return " (it was confirmed for other points)"
    return " (the entry under `confirmed` lacks who, when or how)"


@MAP.stop(
    "settlement-stale",
    what="the settlement of circuit {circuit} was made for other points than it joins now",
    why="Whoever settled it looked at another joint.",
    fix="Settle it again for the points as they stand"
    + ABOUT_JOINED
    + ", or put the old points back.",
)
def settlement_stale(view: View) -> Hits:
    """A `confirmed` entry whose fingerprint no longer fits its circuit, where the grade does
    not already hold.
    """
    circuits = {c.id: c for c in reversed(view.job.circuits)}
    graded = {c.id for c in view.job.circuits if c.grade == "ask"}
    for entry in view.job.confirmed:
        circuit = circuits.get(entry.circuit)
        if entry.of is None or circuit is None:
            continue
        if circuit.id not in view.confirmed and circuit.id not in graded:
            also = ((circuit.place, "the circuit"),) if circuit.place else ()
            yield view.hit(circuit.id, place=entry.place, also=also, circuit=circuit.id)
