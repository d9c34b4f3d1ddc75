"""The course of a proposal: groups, single contacts, returns, mergers, and what stays over."""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from dataclasses import replace

from wiremap.model import Address, Cavity, Grade, Notebook
from wiremap.propose.compare import Comparison, offered, refusal
from wiremap.propose.doubt import Doubt
from wiremap.propose.grading import Candidates, Table
from wiremap.propose.groups import GROUPED, Matched, match_groups
from wiremap.propose.known import known
from wiremap.propose.logic import both_sides, logic_needed, splices
from wiremap.propose.merging import Merging
from wiremap.propose.no_home import no_home
from wiremap.propose.result import NoHome, Proposal, Proposed, joined_points, left_over
from wiremap.propose.returns import RETURNS, Course
from wiremap.propose.sides import Generations, NamedPinouts, PossibleJoint
from wiremap.propose.weighing import weigh
from wiremap.trade.dangers import Treatment, dangers_in
from wiremap.trade.functions import FUNCTIONS

# classes of function that never meet a contact that was measured live without its paper knowing it
NEVER_LIVE = frozenset(
    {"reference", "bus", "data", "loop", "input", "coding", "shield", "ground", "speaker"}
)


def propose(
    old: NamedPinouts,
    new: NamedPinouts,
    notebooks: Sequence[Notebook] = (),
    *,
    settled: Sequence[tuple[Address, ...]] = (),
) -> Proposal:
    """Propose which old contact goes to which new one.

    Exact assignment over the electrically possible candidates: first pairs and loops as units, then
    single contacts, then the returns, which are told apart by what they serve.  Grades ask whether
    it is the same signal.  Answers and readings of `notebooks` count as if the papers said them.
    The joins of `settled` stand: their contacts are proposed to nobody, and returns follow them.
    """
    noted = known(old, new, notebooks)
    old, new = noted.old, noted.new
    whole = replace(Generations.of(old, new), denials=noted.denials)
    refused = _refused_words(whole, noted.explained)
    open_to_all = whole.where(offered).without(refused)
    stands = _standing(settled, whole)
    taken = joined_points(stands)
    every, free = whole.without(taken), open_to_all.without(taken)
    table: Table = {}
    matched, rest = _before_returns(free, noted.volts, table)
    course = _course(open_to_all, matched.circuits + stands)
    returns = _returns(rest.where(_is_return), course, table)
    merging = Merging(matched.circuits + returns, free)
    joined = joined_points(merging.circuits)
    logic = matched.needs_logic + logic_needed(free, joined)
    parted = {point: need.why for need in logic for point in need.points}
    homeless = _homeless(free, table, merging, joined | parted.keys())
    why = {lost.point: lost.why for lost in homeless} | parted | refused
    pinouts = dict((*old, *new))
    left = [point for point in every.points if point not in joined]
    return Proposal(
        circuits=_in_order(merging.circuits, every),
        no_home=tuple(homeless),
        needs_logic=tuple(logic),
        not_joined=tuple(left_over(p, pinouts[p.end], why.get(p, "")) for p in left),
    )


def _before_returns(
    free: Generations, volts: Mapping[Address, float], table: Table
) -> tuple[Matched, Generations]:
    """Pairs and loops, splices, then single contacts; and what is left beside them, the returns."""
    groups = match_groups(free, table)
    rest = free.without(groups.points())
    spliced = splices(rest)
    rest = rest.without(joined_points(spliced))
    singles = _singles(rest.where(_no_return), table, volts)
    return replace(groups, circuits=[*groups.circuits, *spliced, *singles]), rest


def _homeless(
    free: Generations, table: Table, merging: Merging, settled: Container[Address]
) -> list[NoHome]:
    """Each contact that found nothing, with why."""
    given = _given(merging.circuits, free)
    return [
        no_home(point, free, table, merging.refused.get(point, ""), given)
        for point in free.points
        if point not in settled
    ]


def _standing(settled: Sequence[tuple[Address, ...]], whole: Generations) -> list[Proposed]:
    """The joins that stand, as far as they lie on the two sides."""
    sides = frozenset(whole.points)
    found = []
    for join in settled:
        inside = tuple(point for point in join if point in sides)
        found.append(Proposed(join=inside, grade=Grade.CERTAIN))
    return found


def _refused_words(every: Generations, explained: frozenset[Address]) -> dict[Address, str]:
    """Contacts whose words name restraint or high voltage, whatever function is stated, and why."""
    found = {}
    for point in every.points:
        for danger in dangers_in(every.mine(point)[point].signal):
            if danger.treatment is Treatment.REFUSED and point not in explained:
                never = "never proposed" if danger.lamps_only else "never proposed, never joined"
                found[point] = f"`{danger.said}` names {danger.meaning}: {never}"
    return found


def _is_return(cavity: Cavity) -> bool:
    return cavity.function in RETURNS


def _no_return(cavity: Cavity) -> bool:
    return cavity.function not in RETURNS


def _singles(free: Generations, table: Table, volts: Mapping[Address, float]) -> list[Proposed]:
    weighed = {edge: _single(free, edge) for edge in free.edges()}
    for point in volts.keys() & {*free.points}:
        for other, cavity in free.facing(point).items():
            if FUNCTIONS[cavity.function].electrical in NEVER_LIVE:
                told = f"{volts[point]:g} V was measured at {point}, and its paper knows of none"
                weighed[free.edge(point, other)] = refusal(told)
    for lamp in both_sides(free):
        for other in free.facing(lamp):
            edge = free.edge(lamp, other)
            if not weighed[edge].refused:
                weighed[edge] = refusal(f"it lights one side only, {lamp} both")
    table |= weighed
    return Candidates(weighed).proposed()


def _single(free: Generations, edge: PossibleJoint) -> Comparison:
    """Two contacts by themselves; of a pair or loop it means that the rest of it is not found."""
    found = weigh(free, edge)
    old, new = free.cavities(edge)
    if found.refused or GROUPED.isdisjoint((old.function, new.function)):
        return found
    lone = "it belongs to a pair or loop that is not whole, or not told apart, on both papers"
    return replace(found, hard=(*found.hard, Doubt(lone)))


def _course(sides: Generations, circuits: list[Proposed]) -> Course:
    """Where the circuits go whose function both papers tell alike."""
    to = {}
    for circuit in circuits:
        edge = _edge(sides, circuit)
        if edge is None:
            continue
        old, new = sides.cavities(edge)
        if old.function == new.function != "unknown":
            to[edge.old] = edge.new
    return Course(sides, to, {new: old for old, new in to.items()})


def _edge(sides: Generations, circuit: Proposed) -> PossibleJoint | None:
    """The old and the new contact of a circuit of two, in whatever order it names them; None for
    any other circuit, and where a contact is offered to nobody.
    """
    old = [point for point in circuit.join if point in sides.old]
    new = [point for point in circuit.join if point in sides.new]
    if len(circuit.join) != 2 or len(old) != 1 or len(new) != 1:
        return None
    return PossibleJoint(old[0], new[0])


def _returns(free: Generations, course: Course, table: Table) -> list[Proposed]:
    weighed = {edge: course.weigh(edge) for edge in free.edges()}
    table |= weighed
    return Candidates(weighed).proposed()


def _given(circuits: list[Proposed], free: Generations) -> dict[Address, str]:
    """Whom each joined contact went to."""
    given = {}
    for circuit in circuits:
        for point in circuit.join:
            facing = free.facing(point)
            given[point] = " and ".join(other for other in circuit.join if other in facing)
    return given


def _in_order(circuits: list[Proposed], every: Generations) -> tuple[Proposed, ...]:
    """The circuits and their points in the order of the papers."""
    place = {point: number for number, point in enumerate(every.points)}
    ordered = []
    for circuit in circuits:
        join = tuple(sorted(circuit.join, key=place.__getitem__))
        ordered.append(replace(circuit, join=join))
    return tuple(sorted(ordered, key=lambda circuit: place[circuit.join[0]]))
