"""A new kind of mistake is one new file: plan, report and diagnosis know it from its `MODELLED` on."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

import wiremap

THREE = ["donor.12", "donor.13", "donor.14"]


@pytest.fixture(scope="module")
def shown() -> dict[str, Any]:
    """What a process with one more file in the room of mistakes says of the demo with that mistake in it."""
    command = [sys.executable, str(Path(__file__).with_name("new_kind_shown.py"))]
    around = {**os.environ, "PYTHONPATH": str(Path(wiremap.__file__).parents[1])}
    done = subprocess.run(command, capture_output=True, text=True, check=True, env=around)
    said: dict[str, Any] = json.loads(done.stdout)
    return said


def test_a_plan_makes_and_finds_every_mistake_of_a_new_kind(shown: dict[str, Any]) -> None:
    """It is counted after all others, and called in the report as its file calls it."""
    counted = shown["counted"]
    assert counted["modelled"] == counted["found"] > 0
    made = next(line for line in shown["plan"] if line.startswith("mistakes made on paper"))
    assert made.endswith(
        f", three wires each one cavity on {counted['found']} of {counted['modelled']}"
    )


def test_a_mistake_of_a_new_kind_is_named_first(shown: dict[str, Any]) -> None:
    """It explains three readings at circuits that no part joins, where the known kinds take two mistakes."""
    assert shown["faults"][0] == [{"kind": "three-round", "subject": THREE}]
    assert (
        f"these readings fit if the wires of {', '.join(THREE)} sit one cavity on"
        in shown["verdict"]
    )
