"""`compare --ways`: a splice and an adapter for one unit, counted by hand and by the tool."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from demo_jobs import DEMO

from wiremap.cli.main import main
from wiremap.share.way import Minutes
from wiremap.share.ways import Ways, compare_ways
from wiremap.slips import plausible

ADAPTER = DEMO / "adapter"
BOTH = (str(ADAPTER / "splice.yaml"), str(ADAPTER / "job.yaml"))
SCREEN = 40  # lines
UNTIMED = Minutes()


def ways(minutes: Minutes = UNTIMED, paths: tuple[str, str] = BOTH) -> Ways:
    found = compare_ways(paths, minutes)
    assert isinstance(found, Ways)
    return found


def test_what_is_made_counted_by_hand() -> None:
    """Nine circuits to ten contacts of the head.

    Spliced: a joint at each, ten contacts on new wires, ten mated.  As an adapter: eight straight
    wires with two contacts each, three legs with one each at one joint; 3 + 6 + 10 contacts mated.
    """
    found = ways()
    made = [(way.joints, way.contacts, way.mated) for way in (found.splice, found.adapter)]
    assert [(9, 10, 10), (1, 19, 19)] == made
    assert [29, 39] == [found.splice.places, found.adapter.places]


def test_what_becomes_of_the_machine() -> None:
    """Four wires of the lamp plug and seven of the camera plug are cut, or none."""
    found = ways()
    assert (11, 0, 11) == (
        found.splice.wires_cut,
        found.splice.wires_uncut,
        found.splice.joints_to_undo,
    )
    assert (0, 11, 0) == (
        found.adapter.wires_cut,
        found.adapter.wires_uncut,
        found.adapter.joints_to_undo,
    )


def test_parts() -> None:
    """Three plugs against one; the lengths of the new wires by the job file."""
    found = ways()
    assert [1, 3] == [found.splice.plugs, found.adapter.plugs]
    assert 3.7 == found.adapter.wire_m == round(8 * 0.4 + 0.3 + 0.1 + 0.1, 2)


def test_hours_are_told_only_for_what_was_timed() -> None:
    """9 joints of 8 minutes and 10 contacts of 3 are 102 minutes."""
    assert ways().splice.hours is None
    assert 1.7 == ways(Minutes(joint=8, contact=3)).splice.hours


def test_the_order_of_the_files_counts_for_nothing() -> None:
    assert ways() == ways(paths=(BOTH[1], BOTH[0]))


def test_each_way_has_its_own_fewer(capsys: pytest.CaptureFixture[str]) -> None:
    """Neither is called the better one; the screen holds it all."""
    assert 0 == main(["compare", "--ways", *BOTH, "--minutes-a-joint", "8"])
    lines = capsys.readouterr().out.splitlines()
    assert any(line.startswith("fewer with the splice: crimped contacts") for line in lines)
    assert any(line.startswith("fewer with the adapter: joints") for line in lines)
    assert len(lines) <= SCREEN


def test_work_that_one_way_leaves_out_is_named(tmp_path: Path) -> None:
    """An adapter without the lens heater is not the same work."""
    for path in ADAPTER.glob("*.yaml"):
        text = path.read_text("utf-8")
        if path.name == "splice.yaml":
            text = text.replace("head.5, head.6]", "head.5]")
            text = text.replace("not_joined:", "not_joined:\n  head.6: {why: none, treat: blank}")
            text = text.replace(", head.6: {wire: 0.5 VT, length_mm: 400}", "")
        (tmp_path / path.name).write_text(text, "utf-8")
    paths = (str(tmp_path / "splice.yaml"), str(tmp_path / "job.yaml"))
    assert {paths[1]: ("Lamp and camera head, contact 6",)} == ways(paths=paths).only


@pytest.mark.parametrize(
    ("paths", "said"),
    [
        ((BOTH[1], BOTH[1]), "neither job cuts a wire"),
        ((BOTH[0], BOTH[0]), "both jobs cut"),
        ((BOTH[0], str(ADAPTER / "head.yaml")), "not pinouts"),
    ],
)
def test_what_are_not_two_ways_is_refused(
    paths: tuple[str, str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert 2 == main(["compare", "--ways", *paths])
    assert said in capsys.readouterr().err


@pytest.mark.parametrize("minutes", ["x", "-1", "nan", "1e9", ""])
def test_minutes_are_a_figure(minutes: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert 2 == main(["compare", "--ways", *BOTH, f"--minutes-a-joint={minutes}"])
    assert "--minutes-a-joint wants minutes" in capsys.readouterr().err


def test_json(capsys: pytest.CaptureFixture[str]) -> None:
    """The documented shape."""
    assert 0 == main(["compare", "--ways", *BOTH, "--json"])
    told = json.loads(capsys.readouterr().out)
    assert ["wiremap", "ways", "fewer", "only", "withdrawn"] == list(told)
    assert ["splice", "adapter"] == list(told["ways"])
    assert {"splice", "adapter"} == set(told["fewer"].values())


def test_slips_too_many_to_tell_are_not_counted_as_none(monkeypatch: pytest.MonkeyPatch) -> None:
    """No way is called the one with fewer harmful slips where those of it were not counted."""
    monkeypatch.setattr(plausible, "MOST_LIKE", -1)
    found = ways()
    assert [None, None] == [found.splice.harmful_slips, found.adapter.harmful_slips]
    assert "harmful_slips" not in found.fewer
