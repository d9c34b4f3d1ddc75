"""Whatever stands in an input, a command ends with 0, 1 or 2, soon, and never blames itself."""

from __future__ import annotations

import pytest
from fuzz import KINDS, failures

CASES = 3000


@pytest.mark.parametrize("kind", KINDS)
def test_a_spoilt_input_is_told_and_nothing_else(kind: str) -> None:
    """Seeded, so that a failure can be repeated: `python tests/fuzz.py --kind KIND`."""
    assert [] == list(failures(kind, CASES // len(KINDS), seed=1))
