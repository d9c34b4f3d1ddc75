"""What the notebook proves, and of which cavity and metal.

It imports from `entries`, `graph`, `files` and what lies below them.  Begin at `settle`, which
lays the notebook's answers and judged survey readings over what the files say; `judged_reading`
holds a reading against what `expected` promises, `meter` says what a display leaves in doubt,
`touching` which nets must be found apart, `progress` how much is surveyed and rung out.
"""

from wiremap.evidence.allowed import allowed, undecided
from wiremap.evidence.answers import (
    Disagreement,
    StaleAnswer,
    acceptances,
    answer,
    answers,
    called_unused,
    disagreements,
    entries,
    stale,
    unusable,
)
from wiremap.evidence.danger import Dangers, danger
from wiremap.evidence.expected import Expected, coil_of, refused
from wiremap.evidence.expected_ohms import expected_ohms
from wiremap.evidence.expected_volts import expected_volts
from wiremap.evidence.judged_reading import ReadingVerdict, SurveyReading
from wiremap.evidence.lacking import denied_by_meter, unfounded
from wiremap.evidence.measured import MeasuredVolts, measured_volts
from wiremap.evidence.measured_contacts import measured_contacts
from wiremap.evidence.meter import (
    BEEP_SURE_OHMS,
    OPEN_OHMS,
    SILENT_SURE_OHMS,
    fits,
    fresh,
    is_short,
    is_silent,
    metered,
    probe_print,
    says,
)
from wiremap.evidence.pinout_alone import alone
from wiremap.evidence.probe_points import kind_of, reachable, test_points
from wiremap.evidence.progress import NONE_YET, Count, progress_of, rung_out_nets, surveyed_cavities
from wiremap.evidence.refusing import refusal
from wiremap.evidence.settle import settle
from wiremap.evidence.stands import SURE, sure
from wiremap.evidence.survey_readings import contradictions, judge_survey
from wiremap.evidence.touching import face_neighbours, near_pairs

__all__ = [
    "BEEP_SURE_OHMS",
    "NONE_YET",
    "OPEN_OHMS",
    "SILENT_SURE_OHMS",
    "SURE",
    "Count",
    "Dangers",
    "Disagreement",
    "Expected",
    "MeasuredVolts",
    "ReadingVerdict",
    "StaleAnswer",
    "SurveyReading",
    "acceptances",
    "allowed",
    "alone",
    "answer",
    "answers",
    "called_unused",
    "coil_of",
    "contradictions",
    "danger",
    "denied_by_meter",
    "disagreements",
    "entries",
    "expected_ohms",
    "expected_volts",
    "face_neighbours",
    "fits",
    "fresh",
    "is_short",
    "is_silent",
    "judge_survey",
    "kind_of",
    "measured_contacts",
    "measured_volts",
    "metered",
    "near_pairs",
    "probe_print",
    "progress_of",
    "reachable",
    "refusal",
    "refused",
    "rung_out_nets",
    "says",
    "settle",
    "stale",
    "sure",
    "surveyed_cavities",
    "test_points",
    "undecided",
    "unfounded",
    "unusable",
]
