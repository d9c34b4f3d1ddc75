"""What is asked of circuits: whether both are one signal, and whom a contact goes with."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType

from wiremap.evidence.cavity_lookup import cavity_of
from wiremap.evidence.confirmed import (
    LEFT_ALONE,
    PARTNER,
    called_by,
    confirmed_circuits,
    one_port_answer,
)
from wiremap.evidence.expected import electrical, refused
from wiremap.evidence.left_out import is_own_reason, not_agreed
from wiremap.evidence.new_wires import NEW_WIRE, lacks_wire
from wiremap.evidence.partners import denial_of, denied, partners
from wiremap.evidence.reasons import doubts, port_is_open
from wiremap.evidence.resistors import as_filed
from wiremap.model import Address, Cavity, Circuit, End, Flow, Job, Need, Side
from wiremap.rules.signals import direction
from wiremap.survey.question import Question, of_table
from wiremap.trade.functions import FUNCTIONS

SENT = frozenset({"source", "sender", "input"})  # roles of what one end sends, one receives
NO_RETURN = "a sensor without its return reads nothing"
AT_A_UNIT: Mapping[str, str] = MappingProxyType(  # what one lacks that a proposal left out
    {
        "wake": "without it the unit may never wake",
        "bus": "what is told on it reaches nobody",
        "loop": "a guard that it reports is not seen",
    }
)
SERVING: Mapping[str, str] = MappingProxyType(
    {
        "sensor-return": NO_RETURN,
        "signal-ground": NO_RETURN,
        "sensor-supply": "a sensor without its supply tells nothing",
    }
)


def of_circuits(job: Job) -> Iterator[Question]:
    """The circuits that a proposal could not settle, and nobody has."""
    settled = confirmed_circuits(job)
    said = denied(job)
    asked: set[str] = set()  # with the question about another wire of the same port
    for circuit in job.circuits:
        if any(denial_of(each, said) is not None for each in one_port_answer(job, circuit)):
            continue
        if circuit.id in asked:
            continue
        if circuit.grade == "ask" and circuit.id not in settled:
            asked.update(each.id for each in one_port_answer(job, circuit))
            points = called_by(job, circuit)
            told = "; ".join(doubts(circuit.because)) or "nothing tells it"
            yield of_table(
                _row_name(job, circuit),
                points,
                points=_points_with_wires(job, circuit),
                doubts=told,
            )


def _row_name(job: Job, circuit: Circuit) -> str:
    """The row of the table that asks of a circuit, by what a person can do to find out.

    Nobody can work a ground or a supply and see it change.
    """
    if port_is_open(circuit.because):
        return "circuit_port"
    groups = {electrical(cavity) for _, cavity in _cavities(job, circuit)}
    returns = any(cavity.function == "sensor-return" for _, cavity in _cavities(job, circuit))
    if returns or "ground" in groups:
        return "circuit_ground"
    return "circuit_supply" if groups & {"supply", "reference"} else "circuit"


def _cavities(job: Job, circuit: Circuit) -> Iterator[tuple[Address, Cavity]]:
    """The contacts of a circuit; an extra's leg is none."""
    for point in circuit.join:
        known = cavity_of(job, point)
        if known is not None:
            yield point, known.cavity


def _points_with_wires(job: Job, circuit: Circuit) -> str:
    """The contacts of a circuit with what their papers call them, and their wires' colours."""
    told: dict[str, str] = dict.fromkeys(as_filed(job, circuit), "")
    for point, cavity in _cavities(job, circuit):
        wire = cavity.wire.written if cavity.wire else ""
        words = ", ".join(filter(None, (cavity.signal, wire)))
        told[point] = f" ({words})" if words else ""
    return " and ".join(f"{point}{words}" for point, words in told.items())


def of_directions(job: Job) -> Iterator[Question]:
    """Circuits on which machine and unit both send or both listen, by their papers."""
    for circuit in job.circuits:
        flows = {point: _flow(job, point) for point in circuit.join}
        one_way = [flow for flow in flows.values() if flow is not None]
        if len(one_way) > 2:  # of several senders or listeners nobody can say which is wrong
            continue
        for machine in (point for point in flows if _is_on(job, point, Side.MACHINE)):
            for other in (point for point in flows if _is_on(job, point, Side.UNIT)):
                mine, theirs = flows[machine], flows[other]
                if mine is None or theirs is None or mine == theirs:
                    continue
                do = "send" if mine is Flow.TO_UNIT else "listen"
                if not _is_stated(job, machine) and electrical(_cavity_at(job, machine)) == "lamp":
                    continue  # who feeds a lamp is asked already
                at, beside = machine, other
                if _is_stated(job, machine) and not _is_stated(job, other):
                    at, beside = other, machine
                yield of_table("direction", f"{at}.flow", at=at, other=beside, do=do)


def _is_stated(job: Job, point: Address) -> bool:
    """Whether somebody has told the direction of a contact, by its paper or by an answer."""
    end, cavity = job.ends[point.end], _cavity_at(job, point)
    return cavity.flow is not None or cavity.reading.feeds_out(end.side)


def _cavity_at(job: Job, point: Address) -> Cavity:
    return job.ends[point.end].pinout.cavities[point.cavity]


def _is_on(job: Job, point: Address, side: Side) -> bool:
    end = job.ends.get(point.end)
    return end is not None and end.side is side


def _flow(job: Job, point: Address) -> Flow | None:
    """Which way a contact's signal goes, where it can go one way only."""
    known = cavity_of(job, point)
    if known is None or FUNCTIONS[known.cavity.function].role not in SENT:
        return None
    told = direction(known.cavity, known.end.side)
    return Flow(told) if told in (Flow.TO_UNIT, Flow.FROM_UNIT) else None


def of_new_wires(job: Job) -> Iterator[Question]:
    """The circuits of an adapter whose new wire nobody has told."""
    for circuit in job.circuits:
        if lacks_wire(job, circuit):
            points = called_by(job, circuit)
            yield of_table("new_wire", f"{points}{NEW_WIRE}", points=points)


def of_partners(job: Job) -> Iterator[Question]:
    """Contacts to whose circuit somebody has said no, and what a unit needs and has been left
    out.
    """
    said = denied(job)
    against = {}
    for circuit in job.circuits:
        entry = denial_of(circuit, said)
        if entry is not None and len(one_port_answer(job, circuit)) == 1:
            points = called_by(job, circuit)
            first, *_ = circuit.join
            against[first] = f"{points} are not one signal ({entry.by}, {entry.date})"
    chosen = {each.goes_with for each in partners(job).values()}
    wanting = (*_left_out(job), *_forgotten(job))
    left_out = {point: f"{point} {why}" for point, why in wanting if point not in chosen}
    if not against and not left_out:
        return
    from wiremap.propose.likeliest import likeliest  # a tenth of the start, seldom needed

    for point, told in (left_out | against).items():
        near = (*likeliest(job, point), LEFT_ALONE)
        asked = of_table("partner", f"{point}{PARTNER}", near, at=point, told=told)
        yield replace(asked, against=point in against)


def _forgotten(job: Job) -> Iterator[tuple[Address, str]]:
    """The contacts of a job that no circuit joins and that nobody has left out."""
    joined = {point for circuit in job.circuits for point in circuit.join}
    for end in job.ends.values():
        for cavity in end.pinout.cavities.values():
            point = Address(end.name, cavity.name)
            if not joined or point in joined or point in job.not_joined or _needs_none(end, cavity):
                continue
            yield point, "is neither joined nor left out: nobody has said what becomes of it"


def _needs_none(end: End, cavity: Cavity) -> bool:
    """Whether a contact takes no partner: nothing is there, nobody may touch it, it is asked first
    what it is, or its wire goes on uncut.
    """
    left = cavity.unused or cavity.function == "unknown" or refused(cavity)
    return left or end.is_tap


def _left_out(job: Job) -> Iterator[tuple[Address, str]]:
    """What the job leaves out though a unit or a joined sensor needs it, and why it does."""
    losing = dict(not_agreed(job))
    for point in job.not_joined:
        known = cavity_of(job, point)
        if known is None:
            continue
        end, cavity = known
        if _unit_needs(end, cavity):
            yield point, "is left out, and a unit needs each of its supplies and grounds"
        elif end.side is Side.UNIT and cavity.function == "coding" and not cavity.codes:
            yield point, "is left out, and open it selects a set-up too: the leaflet tells which"
        elif (
            end.side is Side.UNIT and _lacking(cavity) and is_own_reason(job.not_joined[point].why)
        ):
            yield point, f"is left out, and {_lacking(cavity)}"
        elif point in losing:
            yield point, f"is left out, and nobody has agreed: the machine had it ({losing[point]})"
        elif cavity.function in SERVING and _serves_joined(job, end, cavity):
            yield point, f"is left out, and {SERVING[cavity.function]}"


def _lacking(cavity: Cavity) -> str:
    """What a unit lacks without a contact, in words; empty for one that it can do without."""
    group = "wake" if cavity.function == "wake" else electrical(cavity)
    return AT_A_UNIT.get(group, "")


def _unit_needs(end: End, cavity: Cavity) -> bool:
    """Whether a contact is a supply or ground of a unit, unless its paper lets it be left out."""
    if end.side is not Side.UNIT:
        return False
    own = electrical(cavity) == "supply" or cavity.function == "power-ground"
    return cavity.need is Need.MUST or (own and "need" not in cavity.places)


def _serves_joined(job: Job, end: End, cavity: Cavity) -> bool:
    """Whether a sensor of its end, or one that it is said to serve, is joined."""
    if cavity.need is Need.MAY and "need" in cavity.places:
        return False
    for name, other in end.pinout.cavities.items():
        served = name in cavity.serves if cavity.serves else electrical(other) == "input"
        if served and is_joined(job, Address(end.name, name)):
            return True
    return False


def is_joined(job: Job, point: str) -> bool:
    """Whether a circuit of the job names a point."""
    return any(point in circuit.join for circuit in job.circuits)
