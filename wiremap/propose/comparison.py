"""How two contacts stand to each other, as every part of a proposal hands it on."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from wiremap.propose.doubt import Doubt

NO_WEIGHT = 0  # of what is no partner


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """How two contacts stand to each other.

    `refused` says why they can never be joined by proposal; otherwise `weight` ranks them,
    `reasons` speak for them, `soft` lists what is open (one may be left for `likely`) and `hard`
    what keeps them a question.  `identical` says that both papers name one signal in all that they
    say of it; such a partner is never given up so that more circuits find one.
    """

    weight: int = NO_WEIGHT
    reasons: tuple[str, ...] = ()
    soft: tuple[Doubt, ...] = ()
    hard: tuple[Doubt, ...] = ()
    refused: str = ""
    identical: bool = False


@lru_cache(maxsize=4096)
def refusal(text: str) -> Comparison:
    """A comparison that forbids."""
    return Comparison(refused=text)
