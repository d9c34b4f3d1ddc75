"""The limits that the rules judge by, read from their table by name."""

from __future__ import annotations

from wiremap.sizing.sized import ROUND
from wiremap.trade.tables import figure as tabled


def limit(name: str) -> float:
    """The value of a limit, in the unit that its row states; raises KeyError."""
    return tabled("judging.toml", "row", name)


def is_over(figure: float, most: float) -> bool:
    """Whether a figure is above a limit by more than binary fractions may add."""
    return figure > most * (1 + ROUND)


def is_under(figure: float, least: float) -> bool:
    """Whether a figure is below a limit by more than binary fractions may take."""
    return figure < least * (1 - ROUND)
