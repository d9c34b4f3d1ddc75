"""`wiremap size`: the documented forms, words and JSON, and refusals in one sentence."""

from __future__ import annotations

import argparse
import json
import math

import pytest

from wiremap.cli import size

FORMS = [
    ("awg 20", "area", 0.5176),
    ("ampacity --csa 0.5 --wall thin --ambient 23 --limit 105", "ampacity", 15.35),
    ("ampacity --csa 0.5 --wall thin --ambient 23 --limit 105 --bundle 10", "ampacity", 6.755),
    ("drop --csa 1 --length 4 --amps 5 --volts 12", "drop", 0.74),
    ("drop --csa 1 --length 4000mm --amps 5 --volts 12", "drop", 0.74),
    (
        "fuse --load 3 --csa 0.5 --length 2 --volts 12 --source-milliohm 20 --ambient 40",
        "fuse",
        5.0,
    ),
    ("sleeve --over 3.0 --grip 1.6", "sleeve", "4/1"),
    ("sleeve --over 3.0 --grip 1.6 --wet", "sleeve", "4/1"),
    ("joint --csa 0.5 --csa 0.5", "barrel", "red 22-16"),
    ("bundle --diameter 1.6 --diameter 2.4", "bundle_diameter", 4.0),
    ("conductor --csa 0.5", "resistance", 37.1),
    ("stagger --run 390 --tail 350 --tail 400 --keep-out 40 --joints 16", "stations", 8.0),
]


def call(text: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    parser = argparse.ArgumentParser()
    size.add(parser.add_subparsers())
    args = parser.parse_args(["size", *(part.replace("_", " ") for part in text.split())])
    code = args.run(args)
    out, err = capsys.readouterr()
    return code, out, err


@pytest.mark.parametrize(("form", "name", "value"), FORMS)
def test_documented_forms(
    form: str, name: str, value: float | str, capsys: pytest.CaptureFixture[str]
) -> None:
    """The first result is the answer asked for, in words and in JSON."""
    code, out, _ = call(f"{form} --json", capsys)
    data = json.loads(out)
    assert code == 0
    assert next(iter(data)) == "wiremap" and data["wiremap"] == "size/1"
    first = data["results"][0]
    assert first["name"] == name
    assert first["value"] == (value if isinstance(value, str) else pytest.approx(value, rel=1e-3))
    for result in data["results"]:
        assert list(result) == ["name", "value", "unit", "formula", "source", "status"]
        assert isinstance(result["value"], str) or math.isfinite(result["value"])
    assert set(data) >= {"results", "inputs", "assumptions", "why"}
    code, out, _ = call(form, capsys)
    assert code == 0 and out.startswith(size.FIGURE_NAMES.get(name) or name.replace("_", " "))


def test_rows_from_memory_are_printed_so(capsys: pytest.CaptureFixture[str]) -> None:
    assert "[from memory, unverified]" in call("conductor --csa 0.5", capsys)[1]


@pytest.mark.parametrize(
    "form",
    [
        "fuse --load 10 --csa 0.5 --length 2 --volts 12",
        "sleeve --over 30 --grip 1.6",
        "joint --csa 0.35 --csa 4",
        "conductor --csa 0.5?",
        "conductor --csa GN/WH",
        "stagger --run 390 --tail 100 --tail 100 --joints 3",
    ],
)
def test_no_answer_is_empty_results_and_a_why(
    form: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, _ = call(f"{form} --json", capsys)
    data = json.loads(out)
    assert code == 1 and data["results"] == [] and data["why"]
    code, out, _ = call(form, capsys)
    assert code == 1 and out.startswith("No answer: ")


@pytest.mark.parametrize(
    "form",
    [
        "awg 55",
        "awg x",
        "awg 0.5kg",
        "conductor --csa 0",
        "conductor --csa 1000",
        "conductor --csa 0.6",
        "conductor --csa abc",
        "conductor",
        "conductor --csa 0.5 --wall fat",
        "ampacity --csa 0.5 --ambient 200",
        "ampacity --csa 0.5 --bundle 0",
        "ampacity --csa 0.5 --bundle 2.5",
        "ampacity --csa 0.5 --ambient warm",
        "drop --csa 1 --length 4kg --amps 5 --volts 12",
        "drop --csa 1 --length -4 --amps 5 --volts 12",
        "drop --csa 1 --length 4 --amps 5000 --volts 12",
        "drop --csa 1 --length 4 --amps 5 --volts 230",
        "drop --csa 1 --length 4 --amps nan --volts 12",
        "drop --csa 1 --length 4 --volts 12",
        "fuse --load 0 --csa 0.5 --length 2 --volts 12",
        "fuse --load 3 --csa 0.5 --length 2 --volts 12 --fuse glass",
        "sleeve --over 1 --grip 2",
        "sleeve --over 3",
        "joint --csa 0.5",
        "joint --csa 0.5 --csa 0.5 --kind glue",
        "bundle",
        "bundle --diameter 0",
        "stagger --run 390 --tail 100 --joints 3",
        "stagger --run 390 --tail 300 --tail 300 --joints 0",
        "stagger --run 390 --tail 300 --tail 300 --joints 3 --avoid 200",
    ],
)
def test_refusals_are_one_sentence_and_exit_two(
    form: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = call(form, capsys)
    assert code == 2 and out == ""
    assert err.count("\n") == 1 and len(err) < 260
    code, out, _ = call(f"{form} --json", capsys)
    data = json.loads(out)
    assert code == 2 and data["results"] == [] and data["why"] == err.strip()
    assert data["findings"][0]["message"] == err.strip()


def test_a_range_comes_with_its_source(capsys: pytest.CaptureFixture[str]) -> None:
    assert "ASTM B258" in call("conductor --csa 1000", capsys)[2]
    assert "VDE 0298-4" in call("ampacity --csa 0.5 --bundle 99", capsys)[2]


def test_gauges_and_feet(capsys: pytest.CaptureFixture[str]) -> None:
    """AC 43.13-1B example: 50 ft in all, 20 A, 8 AWG loses 0.70 V."""
    parser = argparse.ArgumentParser()
    size.add(parser.add_subparsers())
    args = parser.parse_args(
        [
            "size",
            "drop",
            "--csa",
            "8 AWG",
            "--length",
            "25ft",
            "--amps",
            "20",
            "--volts",
            "28",
            "--json",
        ]
    )
    assert args.run(args) == 0
    assert json.loads(capsys.readouterr().out)["results"][0]["value"] == pytest.approx(
        0.70, abs=0.005
    )


@pytest.mark.parametrize(("stated", "told"), [("", False), (" --diameter 3", True)])
def test_how_thick_a_place_gets_is_told_where_a_joint_s_diameter_is_stated(
    stated: str, told: bool, capsys: pytest.CaptureFixture[str]
) -> None:
    """Six joints at one place, none of them a pair."""
    asked = f"stagger --run 60 --tail 300 --tail 300 --joints 6{stated} --json"
    _, out, _ = call(asked, capsys)
    assert ("lump_diameter" in out) is told
    assert "pair_untwisted" not in out
