"""The splice rules that joints and stagger have in common."""

from __future__ import annotations

from wiremap.trade.tables import figure

FILE = "splices.toml"


def rule(name: str) -> float:
    """A splice rule's figure, in the unit of its row in splices.toml; raises KeyError."""
    return figure(FILE, "rules", name)
