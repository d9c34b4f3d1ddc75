"""What the words of a connector's shell tell of it: `14-way sealed`."""

from __future__ import annotations

import re

_UNSEALED = re.compile(r"\bunsealed\b|\bnot (?:an? )?sealed\b", re.IGNORECASE)
_SEALED = re.compile(r"\bsealed\b(?! off)", re.IGNORECASE)  # a cavity sealed off is another thing


def says_sealed(shell: str) -> bool | None:
    """Whether a shell is sealed by its words; None where they do not say."""
    if _UNSEALED.search(shell):
        return False
    return True if _SEALED.search(shell) else None
