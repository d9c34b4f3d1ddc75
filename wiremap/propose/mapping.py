"""The course of a proposal: groups, single contacts, returns, mergers, and what stays over."""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from dataclasses import replace

from wiremap.model import Address, Cavity, Grade, Notebook
from wiremap.propose.compare import offered
from wiremap.propose.comparison import Comparison, refusal
from wiremap.propose.doubt import Doubt
from wiremap.propose.grading import Candidates, Comparisons
from wiremap.propose.groups import GROUPED, Matched, match_groups
from wiremap.propose.logic import logic_needed, splices, two_sided_lamps
from wiremap.propose.merging import Merging
from wiremap.propose.no_home import no_home
from wiremap.propose.noted_sides import noted_sides
from wiremap.propose.result import NoHome, Proposal, Proposed, joined_points, left_over
from wiremap.propose.returns import RETURNS, PartnersSoFar
from wiremap.propose.sides import Edge, Generations, NamedPinouts
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
    noted = noted_sides(old, new, notebooks)
    old, new = noted.old, noted.new
    whole = replace(Generations.of(old, new), denied=noted.denied)
    refused = _refused_words(whole, noted.explained)
    open_to_all = whole.where(offered).without(refused)
    standing = _standing(settled, whole)
    taken = joined_points(standing)
    every, free = whole.without(taken), open_to_all.without(taken)
    compared: Comparisons = {}
    matched, rest = _before_returns(free, noted.volts, compared)
    partners = _partners_so_far(open_to_all, matched.circuits + standing)
    returns = _returns(rest.where(_is_return), partners, compared)
    merging = Merging(matched.circuits + returns, free)
    joined = joined_points(merging.circuits)
    logic = matched.needs_logic + logic_needed(free, joined)
    parted = {point: need.why for need in logic for point in need.points}
    alone = _without_partner(free, compared, merging, joined | parted.keys())
    why = {lost.point: lost.why for lost in alone} | parted | refused
    pinouts = dict((*old, *new))
    left = [point for point in every.points if point not in joined]
    return Proposal(
        circuits=_in_order(merging.circuits, every),
        no_home=tuple(alone),
        needs_logic=tuple(logic),
        not_joined=tuple(left_over(p, pinouts[p.end], why.get(p, "")) for p in left),
    )


def _before_returns(
    free: Generations, volts: Mapping[Address, float], compared: Comparisons
) -> tuple[Matched, Generations]:
    """Pairs and loops, splices, then single contacts; and what is left beside them, the returns."""
    groups = match_groups(free, compared)
    rest = free.without(groups.points())
    spliced = splices(rest)
    rest = rest.without(joined_points(spliced))
    singles = _singles(rest.where(_is_no_return), compared, volts)
    return replace(groups, circuits=[*groups.circuits, *spliced, *singles]), rest


def _without_partner(
    free: Generations, compared: Comparisons, merging: Merging, settled: Container[Address]
) -> list[NoHome]:
    """Each contact that found nothing, with why."""
    partner_of = _partner_words(merging.circuits, free)
    return [
        no_home(point, free, compared, merging.refused.get(point, ""), partner_of)
        for point in free.points
        if point not in settled
    ]


def _standing(settled: Sequence[tuple[Address, ...]], whole: Generations) -> list[Proposed]:
    """The joins that stand, as far as they lie on the two sides."""
    sides = frozenset(whole.points)
    standing = []
    for join in settled:
        inside = tuple(point for point in join if point in sides)
        standing.append(Proposed(join=inside, grade=Grade.CERTAIN))
    return standing


def _refused_words(every: Generations, explained: frozenset[Address]) -> dict[Address, str]:
    """Contacts whose words name restraint or high voltage, whatever function is stated, and why."""
    refused = {}
    for point in every.points:
        for danger in dangers_in(every.mine(point)[point].signal):
            if danger.treatment is Treatment.REFUSED and point not in explained:
                never = "never proposed" if danger.lamps_only else "never proposed, never joined"
                refused[point] = f"`{danger.said}` names {danger.meaning}: {never}"
    return refused


def _is_return(cavity: Cavity) -> bool:
    return cavity.function in RETURNS


def _is_no_return(cavity: Cavity) -> bool:
    return cavity.function not in RETURNS


def _singles(
    free: Generations, compared: Comparisons, volts: Mapping[Address, float]
) -> list[Proposed]:
    weighed = {edge: _single(free, edge) for edge in free.edges()}
    for point in volts.keys() & {*free.points}:
        for other, cavity in free.facing(point).items():
            if FUNCTIONS[cavity.function].electrical in NEVER_LIVE:
                words = f"{volts[point]:g} V was measured at {point}, and its paper knows of none"
                weighed[free.edge(point, other)] = refusal(words)
    for lamp in two_sided_lamps(free):
        for other in free.facing(lamp):
            edge = free.edge(lamp, other)
            if not weighed[edge].refused:
                weighed[edge] = refusal(f"it lights one side only, {lamp} both")
    compared |= weighed
    return Candidates(weighed).proposed()


def _single(free: Generations, edge: Edge) -> Comparison:
    """Two contacts by themselves; of a pair or loop it means that the rest of it is not found."""
    comparison = weigh(free, edge)
    old, new = free.cavities(edge)
    if comparison.refused or GROUPED.isdisjoint((old.function, new.function)):
        return comparison
    lone = "it belongs to a pair or loop that is not whole, or not told apart, on both papers"
    return replace(comparison, hard=(*comparison.hard, Doubt(lone)))


def _partners_so_far(sides: Generations, circuits: list[Proposed]) -> PartnersSoFar:
    """The partners in circuits of two contacts whose function both papers tell alike."""
    of_old = {}
    for circuit in circuits:
        edge = _edge(sides, circuit)
        if edge is None:
            continue
        old, new = sides.cavities(edge)
        if old.function == new.function != "unknown":
            of_old[edge.old] = edge.new
    return PartnersSoFar(sides, of_old, {new: old for old, new in of_old.items()})


def _edge(sides: Generations, circuit: Proposed) -> Edge | None:
    """The old and the new contact of a circuit of two, in whatever order it names them.

    None for any other circuit, and where a contact is not among `sides`.
    """
    old = [point for point in circuit.join if point in sides.old]
    new = [point for point in circuit.join if point in sides.new]
    match old, new, circuit.join:
        case [one], [other], (_, _):
            return Edge(one, other)
    return None


def _returns(free: Generations, partners: PartnersSoFar, compared: Comparisons) -> list[Proposed]:
    weighed = {edge: partners.weigh(edge) for edge in free.edges()}
    compared |= weighed
    return Candidates(weighed).proposed()


def _partner_words(circuits: list[Proposed], free: Generations) -> dict[Address, str]:
    """The addresses that each joined contact went to, in words."""
    partner_of = {}
    for circuit in circuits:
        for point in circuit.join:
            facing = free.facing(point)
            partner_of[point] = " and ".join(other for other in circuit.join if other in facing)
    return partner_of


def _in_order(circuits: list[Proposed], every: Generations) -> tuple[Proposed, ...]:
    """The circuits and their points in the order of the papers."""
    place = {point: number for number, point in enumerate(every.points)}
    ordered = []
    for circuit in circuits:
        join = tuple(sorted(circuit.join, key=place.__getitem__))
        ordered.append(replace(circuit, join=join))
    return tuple(sorted(ordered, key=lambda circuit: place[circuit.join[0]]))
