"""Every line of `slow.txt` still names a file of tests, or a test in it, and none stands twice."""

from __future__ import annotations

from pathlib import Path

HERE = Path(__file__).parent


def test_every_line_names_a_test() -> None:
    """A test that is renamed or gone leaves no line behind."""
    lines = [line for line in (HERE / "slow.txt").read_text("utf-8").splitlines() if line[0] != "#"]
    assert sorted(set(lines)) == lines
    for line in lines:
        file, _, case = line.partition("::")
        text = (HERE / file).read_text("utf-8")
        assert f"def {case.partition('[')[0]}" in text, line
