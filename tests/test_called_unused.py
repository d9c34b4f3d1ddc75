"""What a wording names as danger is not taken off by the word `unused`: a licensed person stands to it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from wiremap.check import check
from wiremap.cli.main import main

PAPER = """wiremap: pinout/1
title: {}
cavities:
  1: {{signal: +12 always, function: permanent-supply}}
  2: ground
"""


@pytest.mark.parametrize(
    ("wording", "licence", "held"),
    [
        ("Reverse signal input", "", True),
        ("Reverse signal input", "brake fitter no. 4711", False),
        ("PTO engaged", "", True),
        ("Radio mute", "", False),
    ],
)
def test_one_word_does_not_take_a_danger_away(
    two_papers: Callable[[str, str], Path], wording: str, licence: str, held: bool
) -> None:
    new = PAPER.format("new plug") + f"  3: {{signal: {wording}}}\n"
    folder = two_papers(PAPER.format("old plug"), new)
    call = ["next", "job.yaml", "--about", "new.3", "--answer", "unused", "--how", "leaflet page 4"]
    assert main(call) == 0
    if licence:
        notebook = folder / "job-notebook.yaml"
        said = notebook.read_text("utf-8")
        notebook.write_text(said.replace("by: RK", f"by: RK, licensed: {licence}"), "utf-8")
    found = [each for each in check([folder / "job.yaml"]).findings if each.holds]
    rules = [each.rule for each in found]
    assert ("danger-called-unused" in rules) is held
    assert all("RK has called it unused" in each.message for each in found if "called" in each.rule)
