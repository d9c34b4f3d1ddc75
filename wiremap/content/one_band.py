"""One thing, one band: what the survey wants where later readings decide what may stand there."""

from __future__ import annotations

import math
from collections.abc import Sequence

from wiremap.content.given import Given
from wiremap.content.words import few
from wiremap.entries.lines import MINUS, PLUS
from wiremap.evidence.expected import ZERO, Quantity
from wiremap.model import OnOff, Span
from wiremap.survey.loaded import LoadedTest
from wiremap.survey.rows import SurveyRow

RINGOUT_WANTS = (
    "nobody states what lies there: the figure is entered and the sheet printed again before the "
    "cut, else the ring-out wants silence at a load."
)


def band_later(given: Given, row: SurveyRow) -> Span | None:
    """The volts that first power wants at the new face of a wire for which the survey has none.

    A wire that must show nothing with the ignition on must show nothing with it off: none is live
    with it off alone (common practice).  None where the wire goes to no face, or nobody can say.
    """
    if row.block != Quantity.VOLTS or row.high is not None or row.state is not None:
        return None
    same = given.harness.sections.of(row.red).points
    wanted: dict[OnOff | None, Span] = {}
    for step in given.power:
        here = step.stage == "volts" and step.red in same
        if here and step.low is not None and step.high is not None:
            wanted[step.key] = Span(step.low, step.high)
    if row.key in wanted:
        return wanted[row.key]
    return ZERO if row.key == OnOff.OFF and wanted.get(OnOff.ON) == ZERO else None


def loss_wanted(given: Given, test: LoadedTest) -> float | None:
    """The most volts that a feed and its ground may lose under a lamp before the work.

    No more than first power allows out and back under the same lamp, at a contact that it feeds:
    the old way must not use up what the new one may lose.
    """
    same = given.harness.sections.of(str(test.supply)).points
    lamp, lit = "", None
    for step in given.power:
        if " W lamp" in step.do:
            lamp = step.do  # it is moved from contact to contact until another one is told
        if step.red in same and step.stage == "load" and f"{test.watts:g} W lamp" in lamp:
            lit = step
            break
    if lit is None:
        return test.most_volts
    ways = {(lit.red, PLUS), (lit.black, MINUS)}
    lost = [s.high for s in given.power if s.lost and (s.red, s.black) in ways]
    if len(lost) != len(ways) or None in lost:
        return test.most_volts
    later = round(sum(volts for volts in lost if volts is not None), 3)
    return later if test.most_volts is None else min(later, test.most_volts)


def loads_wanted(given: Given, rows: Sequence[SurveyRow]) -> str:
    """Loads that no paper states: the ring-out of a splice knows of them once they are read."""
    if given.adapter:
        return ""
    joined = [row for row in rows if given.harness.circuits_at(row.red) and row.state is None]
    finite = [row for row in joined if row.high is not None and math.isfinite(row.high)]
    unstated = [
        row.red
        for row in finite
        if math.isinf(given.harness.ohms(row.red, row.black, plugged=False).low)
    ]
    if not unstated:
        return ""
    return f"{few(list(dict.fromkeys(unstated)))}: {RINGOUT_WANTS}"
