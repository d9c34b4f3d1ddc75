"""A person at a terminal, for the talks of the commands."""

from __future__ import annotations

import io


class Keyboard(io.StringIO):
    """Lines that a person types at a terminal."""

    def isatty(self) -> bool:
        return True
