"""Steps that are ticked by their numbers: `12 done`, `12/13 not so`, `3-10 done`."""

from __future__ import annotations

import re
from dataclasses import dataclass

from wiremap.entries.numbers import DASH

_RUN = rf"\d{{1,9}}(?:\s*(?:to|{DASH})\s*\d{{1,9}})?"
NUMBERS = rf"{_RUN}(?:\s*(?:/|,|and)\s*{_RUN})*"
_TICKED = re.compile(
    rf"\s*({NUMBERS})[.:)]?\s+(done|ok|so|yes|not done|not ok|not so|no)\s*", re.IGNORECASE
)
ELSEWHERE = "steps are ticked by their numbers at first power alone (ringout JOB --power)"


@dataclass(frozen=True, slots=True)
class Ticked:
    """First and last number of each run of steps, and whether they are so."""

    runs: tuple[tuple[int, int], ...]
    is_so: bool

    def beyond(self, last: int) -> int | None:
        """A number that no step bears, in a list that ends at `last`; None if each is borne."""
        every = [n for run in self.runs for n in run]
        return next((n for n in every if not 1 <= n <= last), None)

    @property
    def numbers(self) -> tuple[int, ...]:
        """Each number, once no run goes beyond the list."""
        return tuple(n for first, last in self.runs for n in range(first, last + 1))


def ticked(piece: str) -> Ticked | None:
    """The steps that a line ticks; None for any other line."""
    said = _TICKED.fullmatch(piece)
    if said is None:
        return None
    runs = []
    for run in re.findall(_RUN, said[1]):
        ends = sorted(map(int, re.findall(r"\d+", run)))
        runs.append((ends[0], ends[-1]))
    return Ticked(tuple(runs), is_so=not said[2].casefold().startswith("no"))
