"""The limits that the rules judge by, read from their table by name."""

from __future__ import annotations

from wiremap.trade.tables import figure


def limit(name: str) -> float:
    """The value of a limit, in the unit that its row states; raises KeyError."""
    return figure("judging.toml", "row", name)
