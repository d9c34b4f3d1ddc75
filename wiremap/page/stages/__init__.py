"""The stages of the work: each has a card, and reads the answers to it.

They import content and the rooms below it, and `moment` beside them; none answers a browser.
Begin at `stage`, which says what a stage is; `papers` has those before the cut, `joints`,
`ringout` and `power` the others.
"""

from wiremap.page.stages.joints import Joints
from wiremap.page.stages.papers import Findings, Questions, SurveyReadings
from wiremap.page.stages.power import Power, SecondRingout, Sleeves
from wiremap.page.stages.ringout import Ringout
from wiremap.page.stages.stage import PageStage

__all__ = ["STAGES", "PageStage"]

STAGES: tuple[PageStage, ...] = (
    Questions(),
    Findings(),
    SurveyReadings(),
    Joints(),
    Ringout(),
    Sleeves(),
    SecondRingout(),
    Power(),
)
