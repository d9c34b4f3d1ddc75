"""Two contacts weighed with what persons have said of them."""

from __future__ import annotations

from wiremap.propose.compare import Comparison, compare, refusal
from wiremap.propose.sides import Generations, PossibleJoint


def weigh(sides: Generations, edge: PossibleJoint) -> Comparison:
    """How two contacts stand to each other; refused where a named person has said no."""
    denial = sides.denial(edge)
    return refusal(denial) if denial else compare(*sides.cavities(edge))
