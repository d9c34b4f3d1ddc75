"""The splice rules that joint and stagger share."""

from __future__ import annotations

from wiremap.sizing.sized import rule_row

FILE = "splices.toml"


def rule(name: str) -> float:
    """A splice rule's figure; raises KeyError."""
    return float(rule_row(FILE, "rules", name)["value"])
