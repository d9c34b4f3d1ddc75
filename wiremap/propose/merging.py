"""Left-over power grounds and supplies may join metal of their own function, as a question."""

from __future__ import annotations

from dataclasses import replace

from wiremap.model import Address, Cavity, Grade
from wiremap.propose.comparison import Comparison
from wiremap.propose.doubt import Doubt, DoubtKind
from wiremap.propose.result import Proposed, joined_points, worse
from wiremap.propose.returns import served
from wiremap.propose.sides import Generations
from wiremap.propose.weighing import weigh
from wiremap.trade.functions import FUNCTIONS

# two papers that differ in these may speak of two circuits
_MAY_BE_TWO = frozenset({DoubtKind.CIRCUIT, DoubtKind.INDEX})
_RESTRICTED = (
    "it serves circuits of its own that have no partner; a restricted return is never merged"
)


class Merging:
    """Left-over supplies and power grounds merged into the circuits of their own function.

    `circuits` are those that come of it, `refused` says of each contact that was not let in why.
    Never a restricted return; never a second source of the machine's side; `ask` where both
    contacts belong to one end, `likely` where they are the common returns of two ends.
    """

    def __init__(self, circuits: list[Proposed], free: Generations) -> None:
        self.circuits = list(circuits)
        self.refused: dict[Address, str] = {}
        self._free = free
        joined = joined_points(circuits)
        for point in free.points:
            if point not in joined and _may_merge(free.mine(point)[point]):
                self._merge(point)

    def _merge(self, point: Address) -> None:
        contacts = self._free.mine(point)
        if served(point, contacts) is not None:
            self.refused[point] = _RESTRICTED
            return
        index = self._best_circuit(point)
        if index is None:
            return
        circuit = self.circuits[index]
        if _is_supply(contacts[point]) and point in self._free.old:
            self.refused[point] = (
                f"joining it to {circuit.join[0]} would tie two sources of the machine together"
            )
            return
        self.circuits[index] = _with_point(circuit, point, contacts[point])

    def _best_circuit(self, point: Address) -> int | None:
        """The index of the circuit that a point fits best; None if it fits no one."""
        weights = {index: self._fit(point, circuit) for index, circuit in enumerate(self.circuits)}
        fitting = [index for index, weight in weights.items() if weight]
        return max(fitting, key=weights.__getitem__, default=None)

    def _fit(self, point: Address, circuit: Proposed) -> int:
        """How well a point fits a circuit; 0 if it does not."""
        function = self._free.mine(point)[point].function
        facing = self._free.facing(point)
        if self._free.denial((*circuit.join, point)):
            return 0
        for other in circuit.join:
            if self._free.mine(other)[other].function != function:
                return 0
        compared = [
            weigh(self._free, self._free.edge(point, other))
            for other in circuit.join
            if other in facing
        ]
        if any(map(_may_be_another, compared)):
            return 0
        return sum(comparison.weight for comparison in compared)


def _may_be_another(comparison: Comparison) -> bool:
    """Whether two contacts may not belong to one circuit."""
    kinds = {doubt.kind for doubt in comparison.hard}
    return bool(comparison.refused) or not _MAY_BE_TWO.isdisjoint(kinds)


def _is_supply(cavity: Cavity) -> bool:
    return FUNCTIONS[cavity.function].electrical == "supply"


def _may_merge(cavity: Cavity) -> bool:
    return _is_supply(cavity) or cavity.function == "power-ground"


def _with_point(circuit: Proposed, point: Address, cavity: Cavity) -> Proposed:
    """The circuit with one more point, and what that leaves open."""
    # two contacts are rivals for a third only until both have found it
    doubts = tuple(doubt for doubt in circuit.doubts if doubt.rival != point)
    mates = [other for other in circuit.join if other.end == point.end]
    words = f"{point} merged in: "
    if _is_supply(cavity) or cavity.amps:
        words += "currents add; "
    if mates:
        words += f"it belongs to the same connector as {mates[0]}"
    else:
        words += "both are the common returns of their connectors"
    grade = worse(circuit.grade, Grade.LIKELY)
    if mates or _is_supply(cavity):
        grade = Grade.ASK
    elif circuit.doubts and not doubts:  # its only doubt was the rival that has come in
        grade = Grade.LIKELY
    join = (*circuit.join, point)
    return replace(circuit, join=join, grade=grade, doubts=(*doubts, Doubt(words)))
