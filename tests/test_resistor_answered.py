"""A terminator that is lacking is added by an answer: its stop names it, and all that follows has it."""

from __future__ import annotations

import shlex
import shutil
from pathlib import Path

import pytest

from wiremap.base import Finding
from wiremap.check import check
from wiremap.cli.main import main

CASE = Path(__file__).parent / "cases" / "terminators"


@pytest.fixture
def lacking(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A job with one terminator too few, worked in by RK."""
    for path in CASE.glob("*.yaml"):
        shutil.copy(path, tmp_path)
    shutil.move(tmp_path / "bad.yaml", tmp_path / "job.yaml")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("WIREMAP_BY", "RK")


def stops() -> list[Finding]:
    """The stops about terminators."""
    (job,) = check(["job.yaml"]).jobs
    return [each for each in job.findings if each.rule.startswith("terminators")]


def answer(about: str, text: str) -> int:
    """Keep an answer."""
    return main(["next", "job.yaml", "--about", about, "--answer", text])


@pytest.mark.usefixtures("lacking")
def test_the_cure_is_typed_as_it_stands(capsys: pytest.CaptureFixture[str]) -> None:
    main(["check", "job.yaml", "--full"])
    told = " ".join(capsys.readouterr().out.split())
    cure = told.partition("120 ohm across, at the end that has none: wiremap ")[2]
    call = shlex.split(cure.partition(" --by NAME")[0])
    assert call[:4] == ["next", "job.yaml", "--about", "loom.5.resistor"]
    assert [each.rule for each in stops()] == ["terminators"]
    main(call)
    assert stops() == []


@pytest.mark.usefixtures("lacking")
def test_it_is_rung_out_and_named_like_one_of_the_file(capsys: pytest.CaptureFixture[str]) -> None:
    answer("loom.5.resistor", "120 ohm, 0.25 W")
    capsys.readouterr()
    main(["ringout", "job.yaml", "--full"])
    assert "R1.a" in capsys.readouterr().out


@pytest.mark.usefixtures("lacking")
def test_the_wires_of_the_pair_are_spoken_of_as_before() -> None:
    assert answer("loom.5.resistor", "120 ohm, 0.25 W") == 0
    assert answer("loom.5 - gateway.1.wire", "0.5 YE, 300 mm") == 0
    (job,) = check(["job.yaml"]).jobs
    assert job.job is not None
    (circuit,) = (each for each in job.job.circuits if each.id == "bus-hi")
    assert (circuit.length_mm, circuit.join[-1]) == (300, "R1.a")


@pytest.mark.usefixtures("lacking")
def test_said_anew_it_is_one_resistor_and_none_takes_it_out() -> None:
    answer("loom.5.resistor", "110 ohm, 0.25 W")
    answer("loom.5.resistor", "120 ohm, 0.1 W")
    assert [each.rule for each in stops()] == []
    (job,) = check(["job.yaml"]).jobs
    assert "terminator-weak" in [each.rule for each in job.findings]
    answer("loom.5.resistor", "none")
    assert [each.rule for each in stops()] == ["terminators"]


@pytest.mark.usefixtures("lacking")
@pytest.mark.parametrize(
    ("about", "text"),
    [
        ("loom.5.resistor", "120 ohm"),
        ("loom.5.resistor", "0.25 W"),
        ("loom.6.resistor", "120 ohm, 0.25 W"),
        ("loom.1.resistor", "120 ohm, 0.25 W"),
    ],
)
def test_half_a_resistor_or_one_across_no_pair_is_refused(about: str, text: str) -> None:
    assert answer(about, text) == 2
