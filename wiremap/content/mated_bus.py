"""The bus once its in-line unit is mated at first power, while a face is still open."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.content.bus import bus_halves
from wiremap.content.given import Given
from wiremap.model import EndKind
from wiremap.survey.later import LaterReading


def read_when_mated(given: Given, unit: str) -> Iterator[LaterReading]:
    """The ohms to read, the in-line unit mated, over each half of a bus that ends in it: where its
    legs come to a face that is still open.  None where `unit` is empty.
    """
    for half in bus_halves(given):
        end = given.harness.end_of(half.question.red)
        if unit and half.unit == unit and end is not None and end.kind != EndKind.CUT_TAIL:
            yield half.for_good
