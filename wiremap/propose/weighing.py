"""Two contacts weighed with what persons have said of them."""

from __future__ import annotations

from wiremap.propose.compare import compare
from wiremap.propose.comparison import Comparison, refusal
from wiremap.propose.sides import Edge, Generations


def weigh(sides: Generations, edge: Edge) -> Comparison:
    """How two contacts stand to each other; refused where a named person has said no."""
    denial = sides.denial(edge)
    return refusal(denial) if denial else compare(*sides.cavities(edge))
