"""Flags lie in the order in which the wires come to hand: whoever takes the next one takes the right one."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest
from demo_jobs import DEMO_JOB
from sheet_cases import demo_given, given_from, steps_of

from wiremap.content.compose import compose
from wiremap.content.flags import flag_rows
from wiremap.content.gather import gather
from wiremap.content.given import Given
from wiremap.content.wire_work import new_as_cut
from wiremap.graph import Conductor

ADAPTER = DEMO_JOB.parent / "adapter" / "job.yaml"
MANY = 40


def splice(_: Path) -> Given:
    """The demo."""
    return demo_given()


@cache
def adapter_given() -> Given:
    """The demo's adapter, checked, sized and planned."""
    given, _ = gather(ADAPTER)
    assert given is not None
    return given


def adapter(_: Path) -> Given:
    """The demo's adapter: a joint in which three new wires meet, and a twisted pair with its screen."""
    return adapter_given()


def many(folder: Path) -> Given:
    """Two plugs of forty, wire for wire; the first two are twisted, so cut last."""
    numbers = range(1, MANY + 1)
    rows = "".join(f"  {n}: {{signal: Input {n}, function: analogue-input}}\n" for n in numbers)
    joins = "".join(
        f"  - {{id: c{n}, join: [old.{n}, new.{n}], wire: 0.5 RD, length_mm: 300}}\n"
        for n in numbers
    )
    job = (
        "title: lead\nends:\n  old: {pinout: old.yaml, is: mate, side: machine}\n"
        "  new: {pinout: new.yaml, is: mate, side: unit}\n"
        f"circuits:\n{joins}twists:\n  bus: {{circuits: [c1, c2]}}\n"
    )
    pinout = f"title: plug\ncavities:\n{rows}"
    return given_from(folder, job, old=pinout, new=pinout)


@pytest.mark.parametrize("made", [splice, adapter, many], ids=lambda each: each.__name__)
def test_the_flags_of_new_wires_follow_their_cut(
    made: Callable[[Path], Given], tmp_path: Path
) -> None:
    """The two flags of a wire are neighbours; wire follows wire as the rows of the cut do."""
    given = made(tmp_path)
    sections = {each.key: each for each in compose(given, print_held=True).sections}
    rows = steps_of(sections["joints" if given.adapter else "new-wires"])
    firsts = [step.at for step in rows if ", cut " in step.text]
    wires = list(new_as_cut(given))
    assert firsts == [next(given.loose_ends(wire)) for wire in wires if any(given.loose_ends(wire))]
    flags = [row.near for row in flag_rows(given)]
    new = [near for wire in wires for near in _two(given, wire)]
    assert (flags[: len(new)] if given.adapter else flags[-len(new) :]) == new


def _two(given: Given, wire: Conductor) -> list[str]:
    ends = list(given.loose_ends(wire))
    return ends * 2 if len(ends) == 1 else ends


def test_the_flags_of_what_lies_there_follow_the_faces() -> None:
    """End after end, cavity after cavity, a capped wire in its turn."""
    flags = [row.near for row in flag_rows(demo_given())]
    assert flags[:14] == [f"loom.{n}" for n in range(1, 15)]
    assert flags[14:33] == [f"donor.{n}" for n in range(1, 20)]


def test_a_flag_names_the_wire_that_it_is_put_on() -> None:
    """A leg of a circuit whose wires differ has its own wire on its flag."""
    wires = {row.near: row.wire for row in flag_rows(adapter_given())}
    assert wires["camera.1"] == "0.75 mm2 OG orange" and wires["head.6"] == "0.5 mm2 VT violet"
