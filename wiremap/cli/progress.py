"""One line on a terminal that says how far the work is."""

from __future__ import annotations

import sys
import time
from types import TracebackType

QUIET_S = 1.0  # work that is done by then shows nothing


class Progress:
    """Shows `words` with `{done}` and `{of}` filled in; nothing where nobody looks on."""

    def __init__(self, words: str) -> None:
        self.words = words
        self.began = time.monotonic()
        self.width = 0

    def __enter__(self) -> Progress:
        return self

    def __call__(self, done: int, of: int) -> None:
        """Show how many are done."""
        early = time.monotonic() - self.began < QUIET_S
        if early or not sys.stderr.isatty():
            return
        line = self.words.format(done=done, of=of)
        self.width = max(self.width, len(line))
        print(f"\r{line:<{self.width}}", end="", file=sys.stderr, flush=True)

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Leave the line empty."""
        if self.width:
            print("\r" + " " * self.width + "\r", end="", file=sys.stderr, flush=True)
