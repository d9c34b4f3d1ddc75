"""Solid leads and wires side by side in joints: what is soldered on, sleeved and filled before a sleeve closes.

NASA-STD-8739.4, 4.3: stranded wire only in a crimp, no solid and no tinned strands; 19.6: a lap splice is soldered.
That water enters along the groove between two round wires is common practice of wet harnesses.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from demo_jobs import DEMO_JOB
from sheet_cases import steps_of

from wiremap.check import check_job
from wiremap.content.gather import given_of
from wiremap.content.given import Given
from wiremap.content.joint_notes import LookAlikes
from wiremap.content.joint_work import joint_boxes, joint_numbers
from wiremap.content.part_made_ready import made_ready
from wiremap.content.steps import Step
from wiremap.files import load_job
from wiremap.sheet import compose
from wiremap.sizing.job import size_job


def varied(folder: Path, *changes: tuple[str, str]) -> Given:
    """The demo with some texts of its job changed."""
    for file in DEMO_JOB.parent.glob("*.yaml"):
        text = file.read_text(encoding="utf-8")
        if file.name == DEMO_JOB.name:
            for old, new in changes:
                assert old in text
                text = text.replace(old, new)
        (folder / file.name).write_text(text, encoding="utf-8")
    loaded = load_job(folder / DEMO_JOB.name)
    assert loaded.value is not None
    return given_of(check_job(loaded.value, read=loaded.findings))


def rows(given: Given, joint: str) -> tuple[Step, ...]:
    """The three steps of a joint."""
    numbers = joint_numbers(given)
    return joint_boxes(given, numbers, given.harness.joints[joint], LookAlikes(given), cut=())


def laid_out(given: Given) -> list[str]:
    (section,) = (s for s in compose(given).sections if s.key == "parts")
    return [step.text for step in steps_of(section)]


LAPPED = (
    ("R1.a], joint: butt-crimp", "R1.a], joint: lap-solder"),
    ("R1.b], joint: butt-crimp", "R1.b], joint: lap-solder"),
)
DRY = ("wet: true", "wet: false")


def test_a_crimped_lead_gets_a_stranded_tail(tmp_path: Path) -> None:
    """The joint is sized with the tail, each wire of it has a pull, and no solid lead lies in the barrel."""
    given = varied(tmp_path)
    made, looked, tug = rows(given, "bus-b-hi")
    assert "tail 0.35 mm2, resistor 120 Ω 0.5 W" in [line.text for line in made.lines]
    ready = "R1 first: stranded tails (0.35 mm2) soldered to its leads, body and solder joints under one adhesive sleeve"
    assert ready in made.note and "R1 first" not in rows(given, "bus-b-lo")[0].note
    assert "tube on" not in looked.text and "gently: a sample crimp holds" in tug.text
    sides = size_job(given.harness).joints["bus-b-hi"].made
    assert sides is not None
    assert sides.sides_cmil == pytest.approx(
        (690.7, 2 * 690.7), rel=1e-3
    )  # 0.35 mm2 is 691 circular mils
    assert not any("bare lead" in text for text in laid_out(given))


def test_a_soldered_lead_needs_no_tail(tmp_path: Path) -> None:
    """Lapped and soldered it stays as it is, in its tube; in the wet its body is sealed all the same."""
    given = varied(tmp_path, *LAPPED)
    made, looked, _ = rows(given, "bus-b-hi")
    assert "tube on R1.a" in looked.text and "tail" not in " ".join(x.text for x in made.lines)
    assert "R1 first: its body under one adhesive sleeve" in made.note
    assert any("over a bare lead" in text for text in laid_out(given))


def test_in_the_dry_the_solder_joints_alone_are_sleeved(tmp_path: Path) -> None:
    given = varied(tmp_path, DRY)
    ready = made_ready(given, given.job.extras["R1"])
    assert ready == "stranded tails (0.35 mm2) soldered to its leads, solder joints sleeved"
    (soldered := tmp_path / "soldered").mkdir()
    given = varied(soldered, DRY, *LAPPED)
    assert made_ready(given, given.job.extras["R1"]) == ""


@pytest.mark.parametrize(
    ("part", "legs", "size"),
    [("{resistor: 120, watts: 0.5}", "ab", "0.35"), ("{diode: 3}", "ak", "0.75")],
)
def test_a_diode_carries_what_it_lies_between(
    part: str, legs: str, size: str, tmp_path: Path
) -> None:
    """Between 0.75 with 0.5 and 0.5 with 1.0 and 0.35 mm2: a diode carries 0.75, a resistor 0.35 mm2."""
    near, far = legs
    given = varied(
        tmp_path,
        ("extras:\n", f"extras:\n  D1: {part}\n"),
        ("[loom.5, donor.13]", f"[loom.5, donor.13, D1.{near}]"),
        ("[loom.1, donor.3, donor.4]", f"[loom.1, donor.3, donor.4, D1.{far}, loom.14]"),
    )
    told = {
        line.at: line.text
        for joint in ("conveyor", "supply")
        for line in rows(given, joint)[0].lines
    }
    assert told[f"D1.{near}"].startswith(f"tail {size} mm2")
    assert told[f"D1.{far}"].startswith(f"tail {size} mm2")


@pytest.mark.parametrize(
    ("change", "filled"),
    [
        ((), "one end loom.1, other end donor.3 + donor.4, mastic between these"),
        ((DRY,), "one end loom.1, other end donor.3 + donor.4"),
    ],
)
def test_wires_side_by_side_get_mastic_in_the_wet(
    change: tuple[tuple[str, str], ...], filled: str, tmp_path: Path
) -> None:
    given = varied(tmp_path, *change)
    assert rows(given, "supply")[1].text.endswith(filled)
    assert any("mastic strip" in text for text in laid_out(given)) == (not change)
    assert "mastic" not in rows(given, "wake")[1].text


def test_mastic_at_both_ends_names_each(tmp_path: Path) -> None:
    """Two machine wires against two of the unit: each groove is filled; a solder sleeve seals by itself."""
    joined = (
        "[loom.1, donor.3, donor.4], joint: butt-crimp",
        "[loom.1, loom.14, donor.3, donor.4], joint: {}",
    )
    for kind, said in (
        ("butt-crimp", "mastic between loom.1 + loom.14, mastic between donor.3 + donor.4"),
        ("lap-solder", "mastic between loom.1 + loom.14, mastic between donor.3 + donor.4"),
        ("solder-sleeve", ""),
    ):
        (folder := tmp_path / kind).mkdir()
        given = varied(folder, (joined[0], joined[1].format(kind)))
        text = rows(given, "supply")[1].text
        assert said in text and ("mastic" in text) == bool(said)
