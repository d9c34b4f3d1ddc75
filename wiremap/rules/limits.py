"""The limits that the rules judge by, read from their table by name."""

from __future__ import annotations

from functools import cache

from wiremap.trade.tables import table


@cache
def limit(name: str) -> float:
    """The value of a limit, in the unit that its row states; raises KeyError."""
    for row in table("judging.toml").rows:
        if row["name"] == name:
            return float(row["value"])
    raise KeyError(name)
