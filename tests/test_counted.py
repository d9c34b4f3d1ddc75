"""What is left open stands under `not judged`, though it holds nothing."""

from __future__ import annotations

from pathlib import Path

import pytest
from test_small_jobs import FOLDER, checked, read

PUMP = read(FOLDER / "diode_in_a_pump_feed.yaml")
CONFIRMED = "confirmed:\n  - {circuit: minus, by: RK, date: 2026-03-02, how: telephone}\n"
LOOM_GROUND = "signal: Masa, function: power-ground, wire: 1.5 BN, volts: 0, amps: 3"
NEW_UNIT_LINE = "  3: {signal: Plus 2, function: permanent-supply, volts: 12, need: may}\n"


def counted(edits: dict[str, tuple[str, str]], folder: Path) -> dict[str, str]:
    """What is not judged of the pump's job after an edit in each file, by its first subject."""
    files = dict(PUMP.files)
    for name, (old, new) in edits.items():
        assert old in files[name]
        files[name] = files[name].replace(old, new, 1)
    job = checked(type(PUMP)(PUMP.expected, PUMP.source, files), folder)
    return {each.subject[0]: each.why for each in job.not_judged}


def test_an_unknown_wire_that_somebody_confirmed_without_measuring(tmp_path: Path) -> None:
    edits = {
        "loom.yaml": (LOOM_GROUND, 'signal: "?", basis: told, wire: 1.5 BN'),
        "job.yaml": ("circuits:", f"{CONFIRMED}circuits:"),
    }
    assert "nobody measured it" in counted(edits, tmp_path)["loom.2"]


def test_a_supply_that_may_stay_open(tmp_path: Path) -> None:
    left = "not_joined:\n  unit.3: {why: not needed, treat: cap}\ncircuits:"
    edits = {
        "unit.yaml": ("cavities:\n", f"cavities:\n{NEW_UNIT_LINE}"),
        "job.yaml": ("circuits:", left),
    }
    assert "can do without" in counted(edits, tmp_path)["unit.3"]


@pytest.mark.parametrize(("ohms", "told"), [("1000", True), ("0.1", False)])
def test_a_signal_through_a_resistor(ohms: str, told: bool, tmp_path: Path) -> None:
    """Whether enough reaches an input of unknown draw; a unit's supply has its own figure."""
    wake = "  3: {signal: Wake, function: wake, wire: 0.75 WH, volts: 12, flow: to-unit}\n"
    new = f"  R1: {{resistor: {ohms}, watts: 5}}\n  D1: {{diode: 6}}"
    circuit = "  - {id: wake, join: [R1.b, unit.3], joint: butt-crimp}\n"
    edits = {
        "unit.yaml": ("cavities:\n", f"cavities:\n{wake}"),
        "job.yaml": ("  D1: {diode: 6}", new),
    }
    files = dict(PUMP.files)
    files["job.yaml"] = files["job.yaml"].replace("[loom.1, D1.a]", "[loom.1, D1.a, R1.a]")
    files["job.yaml"] += circuit
    for name, (old, text) in edits.items():
        files[name] = files[name].replace(old, text, 1)
    if not told:
        files["unit.yaml"] = files["unit.yaml"].replace(
            "volts: 12, flow: to-unit}", "volts: 12, amps: 0.01, flow: to-unit}", 1
        )
    job = checked(type(PUMP)(PUMP.expected, PUMP.source, files), tmp_path)
    why = [
        each.why for each in job.not_judged if "unit.3" in each.subject and "through" in each.why
    ]
    assert told == bool(why)
