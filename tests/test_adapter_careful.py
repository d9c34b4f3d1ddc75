"""What the sheet of an adapter asks of hands can be done as it stands, at the face that is there."""

from __future__ import annotations

from pathlib import Path

import pytest
from careful_job import WIRED, careful

from wiremap.content.face_pieces import FaceBlock
from wiremap.content.given import Given
from wiremap.content.one_band import loss_wanted
from wiremap.content.small_faces import machine_faces, small_faces, unit_faces
from wiremap.model import PROBED_FROM, Contacts, KeyAt
from wiremap.survey.loaded import loaded_tests


def seen(block: FaceBlock) -> tuple[list[list[str]], KeyAt | None, Contacts | None]:
    """What one looks at in a drawn face: rows of names, its keyway, pins or sockets."""
    (view,) = block.views
    rows = [[hole.name for hole in row if hole is not None] for row in view.rows]
    return rows, view.key, view.contacts


def test_the_units_own_plug_is_drawn_as_the_half_that_mates(tmp_path: Path) -> None:
    """Its paper shows it, and so is it drawn; the adapter's half is its mirror, of the other kind."""
    given = careful(tmp_path)
    (own,) = unit_faces(given, {"new"})
    (ours,) = small_faces(given, {"new"}, PROBED_FROM)
    rows = [[str(n) for n in range(1, 7)], [str(n) for n in range(7, 13)]]
    turned = [row[::-1] for row in rows]
    assert seen(own) == (rows, KeyAt.RIGHT, Contacts.SOCKET)
    assert seen(ours) == (turned, KeyAt.LEFT, Contacts.PIN)


def test_of_every_plug_both_halves_are_drawn_as_they_mate(tmp_path: Path) -> None:
    """The machine's own half and the adapter's are as little alike as the unit's and ours."""
    given = careful(tmp_path)
    (machine,) = machine_faces(given)
    (ours,) = small_faces(given, {"old"}, PROBED_FROM)
    (rows, key, contacts), (other_rows, other_key, other) = seen(machine), seen(ours)
    assert [row[::-1] for row in rows] == other_rows
    assert {key, other_key} == {KeyAt.LEFT, KeyAt.RIGHT}
    assert {contacts, other} == {Contacts.PIN, Contacts.SOCKET}


def tells(given: Given) -> dict[tuple[str, ...], str]:
    """Which contacts are told apart by which deed."""
    assert given.survey is not None
    return {alike.points: alike.tell for alike in given.survey.alike}


def test_a_sensor_that_needs_volts_is_told_without_them(tmp_path: Path) -> None:
    """With the battery off no hand changes what it reads; one of stated ohms is worked by hand."""
    tell = tells(careful(tmp_path))["old.8", "old.9"]
    assert "by hand" not in tell and "beeps to chassis" in tell
    ohms = "".join(f"  - {{between: [{n}, 6], ohms: [200, 5000]}}\n" for n in (8, 9))
    stated = careful(tmp_path, old=f"{WIRED}behind:\n{ohms}")
    assert "by hand" in tells(stated)["old.8", "old.9"]


def test_a_sensor_of_no_told_return_is_read_to_each(tmp_path: Path) -> None:
    """Open at one return says nothing while the other was not tried."""
    given = careful(tmp_path)
    assert given.survey is not None
    read = [(row.red, row.black) for row in given.survey.block("ohms")]
    for sensor in ("old.8", "old.9"):
        assert [black for red, black in read if red == sensor] == ["old.6", "old.7"]
    served = WIRED.replace("Sensor return B, ", "Sensor return B, serves: [8, 9], ")
    given = careful(tmp_path, old=served)
    assert given.survey is not None
    read = [(row.red, row.black) for row in given.survey.block("ohms")]
    assert [black for red, black in read if red == "old.8"] == ["old.7"]


@pytest.mark.parametrize(("drawn", "all_on"), [(8, True), (6, True), (5.9, False), (4, False)])
def test_no_more_is_switched_on_together_than_the_unit_may_draw(
    tmp_path: Path, drawn: float, *, all_on: bool
) -> None:
    """Two valves of 3 A: all of them where the unit is stated to draw 6 A, never beyond it."""
    given = careful(tmp_path, drawn=drawn)
    open_yet = [f for f in given.findings if f.rule == "outputs-over-supply"]
    (step,) = (s for s in given.power if s.state == "outputs on together")
    assert bool(open_yet) is not all_on
    assert step.do.startswith("both of these on together") is all_on
    assert (f"of new at most {drawn:g} A" in step.do) is not all_on


def test_loads_over_their_fuse_are_never_all_on(tmp_path: Path) -> None:
    """What the fuse before the unit bears is the most that is asked for, signed or not."""
    given = careful(tmp_path, drawn=20)
    (step,) = (s for s in given.power if s.state == "outputs on together")
    assert step.do.startswith("both")
    heavy = WIRED.replace("amps: 3,", "amps: 9,")
    given = careful(tmp_path, drawn=20, old=heavy)
    assert any(f.rule == "outputs-over-fuse" for f in given.findings)
    (step,) = (s for s in given.power if s.state == "outputs on together")
    assert "of new at most 10 A by their papers (all come to 18 A)" in step.do


def test_what_the_machine_may_lose_leaves_the_share_of_our_wires(tmp_path: Path) -> None:
    """Longer wires of ours raise what the whole way may lose, never what the machine alone may."""
    limits, wholes = [], []
    for length_mm in (500, 2000, 4000):
        given = careful(tmp_path, length_mm=length_mm)
        (test,) = loaded_tests(given.job)
        wanted = loss_wanted(given, test)
        assert wanted is not None
        limits.append(wanted)
        wholes.append(round(sum(step.high or 0.0 for step in given.power if step.lost), 3))
    assert wholes == sorted(set(wholes)) and wholes[0] > limits[0]
    assert max(limits) - min(limits) <= 0.02  # rounded to what a meter shows
