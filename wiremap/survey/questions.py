"""The open questions about a job, in the order in which they are asked."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from wiremap.entries.face_words import example
from wiremap.evidence import (
    answers,
    called_unused,
    contradictions,
    disagreements,
    entries,
    refused,
    stale,
)
from wiremap.evidence.cavity_lookup import cavity_of
from wiremap.evidence.confirmed import BETWEEN_POINTS
from wiremap.evidence.expected import electrical
from wiremap.evidence.measured import measured_volts
from wiremap.evidence.not_counted import bad_answer
from wiremap.evidence.terminators import NONE, TERMINATOR, is_told_between, low_half
from wiremap.evidence.told_measured import proving_words
from wiremap.model import Basis, Cavity, End, EntryKind, Job, OnOff
from wiremap.survey.circuit_questions import (
    is_joined,
    of_circuits,
    of_directions,
    of_new_wires,
    of_partners,
)
from wiremap.survey.part_questions import of_named_parts
from wiremap.survey.question import ORDER, Question, has_machine_behind, of_table, row_of_unknown
from wiremap.survey.size_questions import of_fuses_back, of_sizes
from wiremap.trade.functions import CAN_HALVES, called

VOLTS = "supply.volts"
LOOPS = ("interlock-out", "interlock-back")
LETTERS = "ABCDEFGH"
ON_HEARSAY = frozenset({"supply", "ground", "loop"})  # classes that nobody takes on trust


def questions(job: Job) -> tuple[Question, ...]:
    """Every open question about a settled job, in the order of `rank`.

    What was answered is not asked again, unless its cavity has changed since.
    """
    old = {s.entry for s in stale(job)}
    asked = set(answers(job))
    for entry in entries(job, EntryKind.ANSWER):
        if entry not in old and bad_answer(job, entry) is None:
            asked.add(entry.about)
    asked -= called_unused(job)  # a meter may say otherwise
    left: dict[str, Question] = {}  # a wire that a part lies in is two circuits, asked of once
    for question in every_question(job):
        if question.about not in asked:
            left.setdefault(question.about, question)
    return tuple(sorted(left.values(), key=rank))


def rank(question: Question) -> tuple[bool, bool, int, float]:
    """The order of questions, the first the smallest.

    The machine's volts, then what was read or told otherwise than a paper says, then by where a
    person finds out, at each place the most harm a minute first.
    """
    of_volts = question.about == VOLTS
    a_minute = -question.harm / question.minutes
    return not of_volts, not question.against, ORDER.index(question.found_at), a_minute


def questions_about(found: Iterable[Question], address: str) -> tuple[Question, ...]:
    """Those of the questions that are about an address, something of it, or a circuit that joins
    it.
    """
    return tuple(question for question in found if _speaks_of(question.about, address))


def _speaks_of(about: str, address: str) -> bool:
    if about == address or about.startswith(f"{address}."):
        return True
    return address in about.split(BETWEEN_POINTS)


def every_question(job: Job) -> Iterator[Question]:
    """Open questions, contact by contact."""
    if job.supply.volts is None and not _states_volts(job):
        yield of_table("volts", VOLTS)
    against = {question.about: question for question in _against(job)}
    for question in against.values():
        yield replace(question, against=True)
    for end in job.ends.values():
        for cavity in end.pinout.cavities.values():
            if _is_asked(job, end, cavity):
                for question in _of_cavity(job, end, cavity):
                    if question.about not in against:
                        yield question
    yield from of_fuses_back(job)
    for end in job.ends.values():
        yield from _of_end(job, end)
    if len(job.ends) > 1:
        yield from of_circuits(job)
        yield from of_directions(job)
        yield from of_partners(job)
        yield from of_named_parts(job)
        yield from of_new_wires(job)
        yield from _of_job(job)


def _against(job: Job) -> Iterator[Question]:
    """What was read or told otherwise than a paper says; what is live without a reason last, as
    it is the gravest and the last one about a contact counts.
    """
    for found in disagreements(job):
        if found.settled is None:
            told = tuple(dict.fromkeys(claim.reading.function for claim in found.claims))
            at = found.address
            yield of_table("disagreement", at, told, at=at, told=" or ".join(map(called, told)))
    for reading in contradictions(job):
        known = cavity_of(job, reading.address)
        if reading.settled is None and known is not None:
            at, what = reading.address, called(known.cavity.function)
            may_be = () if known.cavity.unused else (what,)
            yield of_table("contradiction", at, may_be, at=at, function=what, cause=reading.why)
    yield from _live(job)


def _live(job: Job) -> Iterator[Question]:
    """The questions what a contact is that nobody knows and that reads live."""
    for measured in measured_volts(job).values():
        known = cavity_of(job, measured.address)
        if known is None or known.cavity.function != "unknown" or not measured.is_live:
            continue
        if refused(known.cavity):
            continue
        key = f", ignition {measured.key}" if measured.key else ""
        with_key_off = OnOff.OFF in measured.by_key
        likely = "permanent-supply" if with_key_off else "switched-supply"
        at = measured.address
        yield of_table("live", at, (likely,), at=at, volts=f"{measured.volts:g}", key=key)


def _states_volts(job: Job) -> bool:
    """Whether a supply of the machine states its volts."""
    return any(
        cavity.volts is not None and electrical(cavity) == "supply"
        for end in job.ends.values()
        if end.is_machine
        for cavity in end.pinout.cavities.values()
    )


def _is_asked(job: Job, end: End, cavity: Cavity) -> bool:
    if refused(cavity) or electrical(cavity) == "nothing":
        return False
    return not end.is_tap or is_joined(job, f"{end.name}.{cavity.name}")


def _of_cavity(job: Job, end: End, cavity: Cavity) -> Iterator[Question]:
    at = f"{end.name}.{cavity.name}"
    if cavity.function == "unknown":
        wire = f" ({cavity.wire.written})" if cavity.wire else ""
        yield of_table(row_of_unknown(end), at, at=at, wire=wire)
        return
    group = electrical(cavity)
    doubtful = group in ON_HEARSAY or cavity.function == "sensor-supply"
    if cavity.basis == Basis.TOLD and doubtful:
        function, reading = called(cavity.function), proving_words(cavity)
        row = _row_of_basis(end, cavity)
        yield of_table(row, f"{at}.basis", at=at, function=function, reading=reading)
    if cavity.function in CAN_HALVES and _may_be_of_several(end, cavity):
        yield of_table("pair", f"{at}.pair", _group_names(end, "pair"), at=at)
    if cavity.function == "can-high" and not _rated(end, cavity) and is_joined(job, at):
        yield of_table("kbit_s", f"{at}.kbit_s", at=at)
    if cavity.function == "can-high" and not end.is_machine and is_joined(job, at):
        yield from _terminator(end, cavity)
    if cavity.function in LOOPS and cavity.chain is None and _count(end, cavity.function) > 1:
        yield of_table("chain", f"{at}.chain", _group_names(end, "chain"), at=at)
    if cavity.codes and not (at in job.not_joined and "open" in cavity.codes):
        told = ", ".join(f"{link}: {what}" for link, what in cavity.codes.items())
        yield of_table("code", at, dict.fromkeys(cavity.codes.values()), at=at, told=told)
    if end.is_machine and group == "lamp" and cavity.flow is None and is_joined(job, at):
        yield of_table("lamp_flow", f"{at}.flow", at=at)
    yield from of_sizes(end, cavity, group)


def _row_of_basis(end: End, cavity: Cavity) -> str:
    """How it is asked what a statement rests on: a meter tells something at a machine's wire."""
    if not has_machine_behind(end):
        return "basis_unit"
    return "basis_sensors" if cavity.function == "sensor-supply" else "basis"


def _terminator(end: End, high: Cavity) -> Iterator[Question]:
    """What a unit has between the halves of its pair; the machine's is read by the survey."""
    low = low_half(end, high)
    if low is not None and not is_told_between(end, high):
        at = f"{end.name}.{high.name}"
        named = {"end": end.name, "other": f"{end.name}.{low}"}
        yield of_table("terminator", f"{at}.{TERMINATOR}", ("120 ohm", NONE), at=at, **named)


def _may_be_of_several(end: End, half: Cavity) -> bool:
    """Whether nothing tells which of several pairs a half belongs to: no name, no segment."""
    if half.pair is not None or end.pinout.segment_of(half.name) is not None:
        return False
    return _count(end, half.function) > 1


def _count(end: End, function: str) -> int:
    """How many contacts of an end carry a function: one alone needs no name."""
    return sum(cavity.function == function for cavity in end.pinout.cavities.values())


def _group_names(end: End, key: str) -> tuple[str, ...]:
    """The names that pairs or loops of an end bear, and the next letter for one more."""
    used = {getattr(cavity, key) for cavity in end.pinout.cavities.values()} - {None}
    fresh = next((letter for letter in LETTERS if letter not in used), "")
    return (*sorted(used), *filter(None, (fresh,)))


def _rated(end: End, high: Cavity) -> bool:
    """Whether either half of a pair states its bit rate."""
    lows = [c for c in end.pinout.cavities.values() if c.function == "can-low"]
    if len(lows) > 1:
        lows = [low for low in lows if low.pair is not None and low.pair == high.pair]
    return any(half.kbit_s is not None for half in (high, *lows))


def _of_end(job: Job, end: End) -> Iterator[Question]:
    for name, switch in end.pinout.switches.items():
        if not end.is_machine and name not in end.switches:
            ohms = f"{switch.ohms:g}"
            yield of_table("switch", f"{end.name}.{name}", switch=name, end=end.name, ohms=ohms)
    if end.pinout.connector.face is None and len(end.pinout.cavities) > 1:
        typed = example(end.pinout.cavities)
        yield of_table("face", f"{end.name}.face", (typed,), end=end.name)
    if end.has_tail and end.tail_mm is None and job.circuits:
        yield of_table("tail_mm", f"{end.name}.tail_mm", end=end.name)


def _of_job(job: Job) -> Iterator[Question]:
    for name in ("ambient_C", "bundle", "wet", "moves"):
        if getattr(job.surroundings, name) is None:
            yield of_table(name, f"surroundings.{name}")
