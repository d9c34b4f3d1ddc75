"""What the papers leave unjudged holds a job until signed, or is counted beside the verdict."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from demo_jobs import copied_demo

from wiremap.check import Checked, Report, check
from wiremap.graph import Harness
from wiremap.reports.sarif import sarif
from wiremap.reports.text import text
from wiremap.rules import held_points

GOOD = Path(__file__).parent / "cases" / "protection-unjudged"
NAMED = {
    "bundle": (", bundle: 1", "how many loaded wires lie together"),
    "ambient": ("ambient_C: 60, ", "how hot it gets"),
    "fuse": ("fuse_amps: 5, ", "what fuse lies before it"),
    "source": ("milliohm: 20, ", "the resistance of the source"),
    "volts": ("supply: {volts: 12, min_volts: 9, max_volts: 15}\n", "the supply's volts"),
}


def changed(folder: Path, cuts: tuple[str, ...] = (), *entries: str, donor: str = "") -> Report:
    """The good job with pieces cut out of it, and a notebook of these entries."""
    shutil.copytree(GOOD, folder, dirs_exist_ok=True)
    job = (GOOD / "good.yaml").read_text(encoding="utf-8")
    for cut in cuts:
        assert cut in job
        job = job.replace(cut, "")
    (folder / "job.yaml").write_text(job, encoding="utf-8")
    if donor:
        paper = (folder / "donor.yaml").read_text(encoding="utf-8")
        assert donor in paper
        (folder / "donor.yaml").write_text(paper.replace(donor, ""), encoding="utf-8")
    if entries:
        lines = "".join(f"  - {{{entry}}}\n" for entry in entries)
        notebook = f"wiremap: notebook/1\nentries:\n{lines}"
        (folder / "job-notebook.yaml").write_text(notebook, encoding="utf-8")
    report = check([folder / "job.yaml"])
    assert [] == [f.message for f in report.findings if f.fault]
    return report


def judged(job: Checked) -> list[str]:
    """The rules of the family that hold a job."""
    return [f.rule for f in job.findings if f.holds and f.rule.endswith("-unjudged")]


def test_a_whole_paper_holds_for_nothing_unjudged(tmp_path: Path) -> None:
    """Every figure stated: the family is silent."""
    assert [] == judged(changed(tmp_path).jobs[0])


@pytest.mark.parametrize("lack", NAMED)
def test_a_figure_left_out_holds_and_is_named(lack: str, tmp_path: Path) -> None:
    """Leaving a figure out is no way to pass."""
    cut, words = NAMED[lack]
    job = changed(tmp_path, (cut,)).jobs[0]
    (found,) = [f for f in job.findings if f.rule == "protection-unjudged"]
    assert found.holds and words in found.message
    assert any(words in each.why for each in job.not_judged)


def test_several_lacks_are_one_line_that_one_name_signs(tmp_path: Path) -> None:
    """One finding a job; its very subject signed, the job holds for it no more, yet it is counted."""
    cuts = (NAMED["bundle"][0], NAMED["source"][0])
    (found,) = [
        f for f in changed(tmp_path, cuts).findings if f.rule == "protection-unjudged"
    ]  # fmt: skip
    accept = (
        f"kind: accept, rule: protection-unjudged, subject: [{', '.join(found.subject)}], by: RK, "
        "date: 2026-03-02, why: looked at it on the machine"
    )
    job = changed(tmp_path, cuts, accept).jobs[0]
    assert [] == judged(job)
    assert job.not_judged


def test_a_load_of_which_one_figure_is_lacking_holds(tmp_path: Path) -> None:
    """The output's rating left out beside a stated load."""
    job = changed(tmp_path, donor="wire: 0.75 GN, amps: 1,").jobs[0]
    assert ["load-unjudged"] == judged(job)


@pytest.mark.parametrize("amps", ["amps: 0.9, ", "amps: 2.4, "])
def test_a_part_of_a_load_is_not_taken_for_the_whole(amps: str, tmp_path: Path) -> None:
    """One of two supplies without its amps holds, and no fuse is told to suit what is not known."""
    path = copied_demo(tmp_path / "demo")
    paper = path.parent / "series2-donor.yaml"
    (whole,) = check([path]).jobs
    assert "load-unjudged" not in {f.rule for f in whole.findings}
    paper.write_text(paper.read_text("utf-8").replace(amps, ""), encoding="utf-8")
    path.write_text(path.read_text("utf-8").replace("fuse_amps: 5, ", ""), encoding="utf-8")
    (job,) = check([path]).jobs
    (found,) = [f for f in job.findings if f.rule == "load-unjudged"]
    assert found.holds and "what is drawn at donor." in found.message
    (large,) = [f for f in job.findings if f.rule == "conductor-below-fuse"]
    assert "suits load" not in large.fix


def test_the_rest_is_counted_in_text_and_sarif(tmp_path: Path) -> None:
    """The key line's fuse is nobody's word; it holds nothing, and stands in every form of the report."""
    report = changed(tmp_path)
    (key,) = [each for each in report.jobs[0].not_judged if each.subject == ("loom.4",)]
    assert "fuse" in key.why
    assert re.search(r"; \d+ not judged: .*loom\.4", text(report))
    assert "not judged: loom.4: nobody states what fuse" in text(report)
    told = sarif(report)["runs"][0]["properties"]["notJudged"]
    assert ["loom.4"] in [each["subject"] for each in told]


def test_what_an_unsigned_stop_names_is_held(tmp_path: Path) -> None:
    """A circuit's stop is spread over its points, a part's over its legs."""
    job = changed(tmp_path, (NAMED["bundle"][0],)).jobs[0]
    assert job.job is not None
    points = held_points(Harness(job.job))
    assert {"protection-unjudged"} == {points[a].rule for a in ("loom.1", "loom.3", "donor.3")}


def test_a_reading_of_volts_outlives_a_confirmation(tmp_path: Path) -> None:
    """Live on paper's sensor line: no settlement and no signature takes it away, striking out does."""
    live = (
        "kind: survey, red: loom.11, black: chassis, volts: 24.7, key: off, by: RK, "
        "date: 2026-03-02, how: meter"
    )
    (found,) = [f for f in changed(tmp_path, (), live).findings if f.rule == "measured-live"]
    accept = (
        f"kind: accept, rule: measured-live, subject: [{', '.join(found.subject)}], by: RK, "
        "date: 2026-03-02, why: by telephone"
    )
    again = [f for f in changed(tmp_path, (), live, accept).findings if f.rule == "measured-live"]
    assert [True] == [f.holds for f in again]


@pytest.mark.parametrize(("volts", "told"), [(12.6, False), (16.0, False), (24.7, True)])
def test_more_volts_than_a_unit_stands_are_told_whatever_the_paper_says(
    volts: float, told: bool, tmp_path: Path
) -> None:
    """A supply may be live; 24 V at a 12 V unit's is still too much."""
    seen = (
        f"kind: survey, red: loom.1, black: chassis, volts: {volts}, key: off, by: RK, "
        "date: 2026-03-02, how: meter"
    )
    found = [f for f in changed(tmp_path, (), seen).findings if f.rule == "measured-live"]
    assert told is bool(found)


def test_a_drive_of_which_nothing_is_stated_is_counted(tmp_path: Path) -> None:
    """Leaving out both the rating and the load is told, as leaving out one of them holds."""
    text = (Path(__file__).parent / "small_jobs" / "valve_beyond_the_output.yaml").read_text(
        "utf-8"
    )
    for stated in ("volts: 12, amps: 4, ", "volts: 12, amps: 2, "):
        assert stated in text
        text = text.replace(stated, "volts: 12, ")
    for part in text.split("--- # ")[1:]:
        name, body = part.split("\n", 1)
        (tmp_path / name).write_text(body, encoding="utf-8")
    report = check([tmp_path / "job.yaml"])
    told = [each.why for each in report.jobs[0].not_judged if "unit.3" in each.subject]
    assert "nobody states what it can give, nor what its load draws" in told


@pytest.mark.parametrize(
    ("stated", "stands"), [("[9, 20]", "20 V"), ("12", "16 V"), ("[12, 24]", ""), ("24", "")]
)
def test_a_plain_supply_is_judged_by_what_the_unit_stands(
    stated: str, stands: str, tmp_path: Path
) -> None:
    """25.4 V is what a 24 V machine has: 12 and 24 V together name the two systems, up to 32 V."""
    seen = (
        "kind: survey, red: loom.1, black: chassis, volts: 25.4, key: off, by: RK, "
        "date: 2026-03-02, how: meter"
    )
    changed(tmp_path, (), seen)
    paper = tmp_path / "donor.yaml"
    text = paper.read_text("utf-8")
    assert "volts: 12" in text
    paper.write_text(text.replace("volts: 12", f"volts: {stated}"), "utf-8")
    found = [f for f in check([tmp_path / "job.yaml"]).findings if f.rule == "measured-live"]
    assert [stands != ""] * len(found) == [
        f"above the {stands} that donor." in f.message for f in found
    ]
    assert bool(found) is bool(stands)
    assert not [f for f in found if "leave it out" in f.fix or "account for" in f.message]
