"""One thing, one band: what the survey wants where only first power knows what may stand there."""

from __future__ import annotations

from wiremap.content.given import Given
from wiremap.evidence.expected import ZERO, Quantity
from wiremap.model import OnOff, Span
from wiremap.survey.rows import SurveyRow


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
