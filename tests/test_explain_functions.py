"""A function word is explained as a rule is: what it means, how papers word it, what it may be joined with."""

from __future__ import annotations

import json

import pytest

from wiremap.cli.main import main
from wiremap.trade.functions import FUNCTIONS


def told(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    assert main(["explain", *words]) == 0
    return capsys.readouterr().out


@pytest.mark.parametrize("slug", sorted(FUNCTIONS))
def test_every_word_is_explained(slug: str, capsys: pytest.CaptureFixture[str]) -> None:
    lines = " ".join(told(capsys, slug).split())
    known = FUNCTIONS[slug]
    assert f"{slug}: {known.meaning}" in lines
    assert all(example in lines for example in known.examples)
    assert "may be joined with: " in lines and f"source: {known.source}" in lines


def test_what_may_share_its_metal_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    """A shield may end at a power ground; a sensor's return does not (common practice)."""
    joined = next(
        line for line in told(capsys, "power-ground").splitlines() if "may be joined" in line
    )
    assert "shield" in joined and "sensor-return" not in joined


def test_it_is_found_by_its_other_names(capsys: pytest.CaptureFixture[str]) -> None:
    assert told(capsys, "sensor ground").startswith("sensor-return: ")
    assert main(["explain", "senor-return"]) == 2
    assert "near: sensor-return" in capsys.readouterr().err


def test_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    said = json.loads(told(capsys, "restricted-ground", "--json"))
    assert [each["function"] for each in said["functions"]] == ["restricted-ground"]
