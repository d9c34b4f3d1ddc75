"""Limits of the work this program does, by name."""

from __future__ import annotations

from wiremap.trade.tables import table


def limit(name: str) -> float:
    """The figure of one row of `limits.toml`, in the row's own unit; raises KeyError."""
    for row in table("limits.toml").section("row", name=str, value=float, unit=str, source=str):
        if row["name"] == name:
            return float(row["value"])
    raise KeyError(name)
