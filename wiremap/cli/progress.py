"""One line on a terminal that says how far the work is."""

from __future__ import annotations

import contextlib
import sys
import threading
import time
from collections.abc import Iterator
from types import TracebackType

QUIET_S = 1.0  # of files that are done by then nothing is shown
SOON_S = 2.0  # nor of other work that is done by then


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


@contextlib.contextmanager
def working(on: str) -> Iterator[None]:
    """Say on a terminal, after two seconds and then each second, that work goes on."""
    if not sys.stderr.isatty():
        yield
        return
    done = threading.Event()
    teller = threading.Thread(target=_tell, args=(on, done), daemon=True)
    teller.start()
    try:
        yield
    finally:
        done.set()
        teller.join()


def _tell(on: str, done: threading.Event) -> None:
    began = time.monotonic()
    line = ""
    wait = SOON_S
    while not done.wait(wait):
        wait = 1.0
        line = f"{on}: {time.monotonic() - began:.0f} s"
        print(f"\r{line}", end="", file=sys.stderr, flush=True)
    if line:
        print("\r" + " " * len(line) + "\r", end="", file=sys.stderr, flush=True)
