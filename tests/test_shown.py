"""What the tool shows of given jobs changes only where a reviewer sees it: every file of `shown/` is as it is made now."""

from __future__ import annotations

import pytest
from shown import PARTS, file_of, shown
from test_said import changes


@pytest.mark.parametrize("name", PARTS)
def test_nothing_is_shown_that_the_file_does_not_hold(name: str) -> None:
    """A change is shown as a difference; `python tests/shown.py` writes the files anew."""
    changed = changes(file_of(name), shown(name))
    assert not changed, "\n".join(changed)
