"""What people read changes only where a reviewer sees it: every word stands in `said.txt`."""

from __future__ import annotations

import difflib

from said import SAID, said


def test_nothing_is_said_that_the_text_does_not_hold() -> None:
    """A changed word is shown as a difference; `python tests/said.py` writes the text anew."""
    expected = SAID.read_text(encoding="utf-8").splitlines()
    actual = said().splitlines()
    changed = list(difflib.unified_diff(expected, actual, "said.txt", "said now", lineterm="", n=1))
    assert not changed, "\n".join(changed[:60])
