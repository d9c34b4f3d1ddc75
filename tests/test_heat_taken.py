"""A fuse that is judged in a heat which nobody stated says so; one in a stated heat does not."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from wiremap.check import check

OLD = """wiremap: pinout/1
title: old plug
cavities:
  1: "battery plus, 1.5 red"
  2: "ground, 1.5 brown"
"""
TAKEN = "60 C is taken, as nobody has said how hot it gets there"


def told(surroundings: str) -> str:
    job = Path("job.yaml").read_text(encoding="utf-8")
    at = "old: {pinout: old.yaml, "
    fed = job.replace(at, f"{at}fed: {{1: {{fuse: F3, found_amps: 30}}}}, ", 1)
    Path("hot.yaml").write_text(fed + surroundings, encoding="utf-8")
    found = check(["hot.yaml"]).findings
    assert not [each.message for each in found if each.fault]
    (over,) = [each for each in found if each.rule == "conductor-below-fuse"]
    return over.message


def test_the_heat_that_was_taken_is_told(two_papers: Callable[[str, str], Path]) -> None:
    two_papers(OLD, OLD.replace("old plug", "new plug"))
    assert told("").endswith(TAKEN)
    assert TAKEN not in told("surroundings: {ambient_C: 60}\n")
