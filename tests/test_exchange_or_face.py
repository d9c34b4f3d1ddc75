"""One exchange is told before a face that was counted oddly, and both with the wires to be moved."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from wiremap.cli.main import main

SHELL = "half: wired\nconnector: {face: {view: mating, key: top, rows: [[1, 2, 3, 4], ROW]}}\n"
OLD = """wiremap: pinout/1
title: old plug
SHELLcavities:
  1: +12 always, red
  2: earth, brown
  3: beacon, green
  4: horn, blue
  5: left lamp, yellow
  6: right lamp, white
"""
NEW = """wiremap: pinout/1
title: new plug
SHELLcavities:
  1: earth, brown
  2: +12 always, red
  3: horn
  4: beacon
  5: right lamp
  6: left lamp
"""
MORE = "  7: switched supply no. 15\n  8: level sensor signal\n"
EXCHANGED = "old.1 - new.2 b\nold.3 - new.4 b\nold.5 - new.6 s\nold.5 - new.5 b\nold.6 - new.6 b\n"


@pytest.fixture
def told(
    two_papers: Callable[[str, str], Path], capsys: pytest.CaptureFixture[str]
) -> Callable[[str, str, str], list[str]]:
    """What fits readings of a splice whose plugs have a second row, in the order told."""

    def fits(row: str, more: str, readings: str) -> list[str]:
        shell = SHELL.replace("ROW", row)
        folder = two_papers(OLD.replace("SHELL", shell) + more, NEW.replace("SHELL", shell) + more)
        (folder / "bench.txt").write_text(readings, "utf-8")
        capsys.readouterr()
        main(["ringout", "job.yaml", "--readings", "bench.txt", "--full"])
        lines = capsys.readouterr().out.splitlines()
        return [line for line in lines if line.startswith("these readings fit")]

    return fits


def test_two_wires_of_a_short_row_are_exchanged_not_counted_backwards(
    told: Callable[[str, str, str], list[str]],
) -> None:
    """Only these two move in either story: it is the plain one. A splice is looked at
    before a contact is pulled; then what comes out goes before what goes in.
    """
    found = told("[5, 6]", "", EXCHANGED)
    assert found[0] == (
        "these readings fit if new.5 and new.6 are exchanged (to mend: their joints, if "
        "crossed there; if not, take both wires out first, then that of new.5 into new.6 and that of "
        "new.6 into new.5)"
    )
    assert not [line for line in found if "counted backwards" in line]


def test_a_face_counted_oddly_is_told_behind_an_exchange_that_explains_as_much(
    told: Callable[[str, str, str], list[str]],
) -> None:
    found = told("[5, 6, 7, 8]", MORE, "old.5 - new.6 s\nold.5 - new.7 b\nold.7 - new.7 s\n")
    places = {
        word: n
        for n, line in enumerate(found)
        for word in ("exchanged", "backwards")
        if word in line
    }
    assert places["exchanged"] == 0
    assert "exchange the wires of new.6 with new.7, new.5 with new.8" in found[places["backwards"]]


def test_a_face_is_told_first_where_more_failed_than_one_exchange_makes_fail(
    told: Callable[[str, str, str], list[str]],
) -> None:
    readings = (
        "old.8 - new.8 s\nold.8 - new.5 b\nold.5 - new.6 s\nold.5 - new.7 b\nold.7 - new.6 b\n"
    )
    assert "the face of new was read mirrored" in told("[5, 6, 7, 8]", MORE, readings)[0]
