"""When an open reading is wrong though its band has no upper end: by the volts of the same wire."""

from __future__ import annotations

from wiremap.content.given import Given
from wiremap.evidence.expected import Quantity
from wiremap.evidence.expected_volts import SINKS
from wiremap.evidence.meter import OPEN_OHMS
from wiremap.model import CHASSIS, OnOff
from wiremap.survey.rows import SurveyRow

OPEN_TOO = (
    "OL, and under 0.1 V at {row}: broken, or nothing fed hangs on it: found out before {deed}. "
    "OL and volts there: its plus is switched off now."
)


def open_too(given: Given, row: SurveyRow) -> str:
    """What OL means where a load hangs on the machine's plus; empty of every other row.

    Read to chassis its ohms have no upper end, as that plus may be switched off.
    """
    point = given.harness.points.get(row.red)
    if row.black != CHASSIS or point is None or point.function not in SINKS:
        return ""
    if row.high is None or row.high < OPEN_OHMS:
        return ""
    volts = given.survey.block(Quantity.VOLTS) if given.survey else ()
    on = [each for each in volts if each.red == row.red and each.key == OnOff.ON and not each.state]
    deed = "a plug is mated" if given.adapter else "the cut"
    return OPEN_TOO.format(row=f"S{on[0].n}", deed=deed) if on else ""
