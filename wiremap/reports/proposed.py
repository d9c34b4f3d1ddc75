"""A proposed map for a screen: which contact goes where, how surely, and what is left out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from wiremap.base import visible
from wiremap.evidence import settle
from wiremap.evidence.confirmed import confirmed_circuits
from wiremap.evidence.reasons import doubts
from wiremap.model import Circuit, Job
from wiremap.propose import Proposal
from wiremap.propose.result import GRADES
from wiremap.reports.screen import INDENT, wrapped

MOST_ASKED = 10  # each told with its first doubt
MOST_CHANGES = 8
MOST_LEFT = 6
MOST_NEEDS = 3
OF_A_WIRE = 2  # points that one wire joins
SPLICED = "where three or more are joined, they meet in a joint: one wire goes into each cavity"
GRADE_WORDS = {
    "certain": "certain",
    "likely": "likely, sign or mend",
    "ask": "ask, a person settles it",
    None: "made by hand",
}


def proposed_lines(proposal: Proposal, job: Job) -> Iterator[str]:
    """The circuits by their grades, then what needs more than a wire, then what is left out."""
    settled = confirmed_circuits(settle(job))
    by_name = [circuit for circuit in job.circuits if circuit.id in settled]
    if by_name:
        yield f"settled by name ({len(by_name)}):"
        yield from _joined(by_name, job)
    for grade in (*GRADES, None):
        circuits = [c for c in job.circuits if c.grade == grade and c.id not in settled]
        if circuits:
            yield f"{GRADE_WORDS[grade]} ({len(circuits)}):"
            yield from _asked(circuits, job) if grade == "ask" else _joined(circuits, job)
    if any(len(circuit.join) > OF_A_WIRE for circuit in job.circuits):
        yield SPLICED
    needs = [f"{', '.join(need.points)}: {need.why}" for need in proposal.needs_logic]
    if needs:
        yield "more than a wire:"
        yield from _first([visible(line) for line in needs], MOST_NEEDS, job.path)
    points = [lost.point for lost in proposal.no_home if lost.point in job.not_joined]
    left_out = [visible(f"{point}: {job.not_joined[point].why}") for point in points]
    if left_out:
        yield f"left out ({len(left_out)}):"
        yield from _first(left_out, MOST_LEFT, job.path)


def changed_lines(changes: Sequence[str], path: str) -> Iterator[str]:
    """What a proposal made anew changes, in the file of that path."""
    yield from _first([visible(line) for line in changes], MOST_CHANGES, path)


def _first(lines: Sequence[str], most: int, path: str) -> Iterator[str]:
    """The first of these sentences, and how many more the job's file bears."""
    for line in lines[:most]:
        yield from wrapped(line, lead=INDENT)
    left = lines[most:]
    if left:
        yield f"{INDENT}and {len(left)} more: read them in {visible(path)}"


def _joined(circuits: Sequence[Circuit], job: Job) -> Iterator[str]:
    told = "; ".join(_circuit(circuit, job) for circuit in circuits)
    yield from wrapped(told, lead=INDENT)


def _asked(circuits: Sequence[Circuit], job: Job) -> Iterator[str]:
    lines = []
    for circuit in circuits:
        doubt = next(iter(doubts(circuit.because)), "nothing tells it")
        lines.append(f"{_circuit(circuit, job)}: {visible(doubt)}")
    yield from _first(lines, MOST_ASKED, job.path)


def _circuit(circuit: Circuit, job: Job) -> str:
    """The points of a circuit, and what the first paper calls it."""
    first = circuit.join[0]
    end = job.ends.get(first.end)
    signal = end.pinout.cavities[first.cavity].signal if end else ""
    points = " - ".join(circuit.join)
    return visible(f"{points} ({signal})" if signal else points)
