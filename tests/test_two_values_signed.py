"""An answer that a person has signed against the file's figure holds a job no more, and nothing is typed into files."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from wiremap.base import Finding
from wiremap.check import check
from wiremap.cli.main import main

PAPER = """wiremap: pinout/1
title: {}
cavities:
  1: {{signal: +12 always, function: permanent-supply}}
  2: ground
  3: {{signal: Water pump relay output, function: high-side-drive, amps: {}}}
"""


def two_values() -> Finding:
    (found,) = [each for each in check(["job.yaml"]).findings if each.rule == "two-values"]
    return found


def test_the_answer_is_signed_where_it_is_right(
    two_papers: Callable[[str, str], Path],
) -> None:
    two_papers(PAPER.format("old plug", 1), PAPER.format("new plug", 100))
    about = ["--about", "new.3.amps", "--answer", "1", "--how", "leaflet page 4"]
    assert main(["next", "job.yaml", *about]) == 0
    found = two_values()
    assert found.holds and "new.3.amps is 100 in the file and 1 in the notebook" in found.message
    assert "wiremap sign" in found.fix and "may stay as it is" in found.fix
    entry = (
        f"  - {{kind: accept, rule: two-values, subject: [{found.subject[0]}], by: RK, "
        'date: "2026-03-02", why: the leaflet is newer}\n'
    )
    with Path("job-notebook.yaml").open("a", encoding="utf-8") as notebook:
        notebook.write(entry)
    assert not two_values().holds
