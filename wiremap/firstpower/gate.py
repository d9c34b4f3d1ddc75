"""The two-name stops of first power: what lies beyond one counts once it was passed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from wiremap.base import Finding, Severity, numbers_told
from wiremap.firstpower.step import PowerStep
from wiremap.model import Entry, Stop


class Gate:
    """Tells, entry after entry in the order of the file, which steps may be done by then."""

    def __init__(self, steps: Iterable[PowerStep]) -> None:
        self._stops: dict[Stop, int] = {}  # the first step behind each
        for step in steps:
            if step.stop is not None:
                self._stops.setdefault(step.stop, step.n)
        self._passed: set[Stop] = set()

    def see(self, entry: Entry) -> None:
        """Take note of a stop that an entry passes."""
        if entry.passes is not None:
            self._passed.add(entry.passes)

    def owed(self, n: int) -> Stop | None:
        """The first stop at or before a step that was not passed; None if the way is free."""
        for stop, at in self._stops.items():
            if at <= n and stop not in self._passed:
                return stop
        return None


def beyond_stops(early: Mapping[int, Stop]) -> Iterator[Finding]:
    """What was read beyond a stop that nobody had passed, one sentence a stop."""
    for stop in dict.fromkeys(early.values()):
        numbers = numbers_told(sorted(n for n, owed in early.items() if owed is stop))
        words = f"read before the two-name stop {stop} was passed; pass it, then read again"
        yield Finding("reading-unfit", Severity.NOTE, words, (f"step {numbers}",))
