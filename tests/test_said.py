"""What people read, and the figures that the code names, change only where a reviewer sees it.

Every word stands in `said.txt`, every named figure in `figures.txt`.
"""

from __future__ import annotations

import difflib
from pathlib import Path

from figures import FIGURES, figures
from said import SAID, said


def changes(kept: Path, now: str) -> list[str]:
    """What a text says otherwise than the file that is kept of it."""
    expected = kept.read_text(encoding="utf-8").splitlines()
    changed = difflib.unified_diff(expected, now.splitlines(), kept.name, "now", lineterm="", n=1)
    return list(changed)[:60]


def test_nothing_is_said_that_the_text_does_not_hold() -> None:
    """A changed word is shown as a difference; `python tests/said.py` writes the text anew."""
    changed = changes(SAID, said())
    assert not changed, "\n".join(changed)


def test_no_figure_changes_unseen() -> None:
    """A changed figure is shown as a difference; `python tests/figures.py` writes the text anew."""
    changed = changes(FIGURES, figures())
    assert not changed, "\n".join(changed)
