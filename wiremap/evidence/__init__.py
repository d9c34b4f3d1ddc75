"""What the notebook proves, and of which cavity and metal.

`settle` lays the notebook's answers and judged survey readings over what the files say; `boxes` counts what has been
surveyed and rung out; `disagreements` and `contradictions` tell where sources, or paper and machine, differ.
"""

from wiremap.evidence.allowed import allowed, refusal, undecided
from wiremap.evidence.answers import (
    Disagreement,
    Stale,
    acceptances,
    alone,
    answer,
    answers,
    disagreements,
    entries,
    settle,
    stale,
    unusable,
)
from wiremap.evidence.bands import Expected, expected_ohms, expected_volts, refused
from wiremap.evidence.boxes import Boxes, boxes, rung_out_nets, surveyed_cavities
from wiremap.evidence.nearby import (
    danger,
    face_neighbours,
    kind_of,
    near_pairs,
    reachable,
    test_points,
)
from wiremap.evidence.readings import (
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
from wiremap.evidence.weigh import Judged, contradictions, judge_survey

__all__ = [
    "BEEP_SURE_OHMS",
    "OPEN_OHMS",
    "SILENT_SURE_OHMS",
    "Boxes",
    "Disagreement",
    "Expected",
    "Judged",
    "Stale",
    "acceptances",
    "allowed",
    "alone",
    "answer",
    "answers",
    "boxes",
    "contradictions",
    "danger",
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
    "metered",
    "near_pairs",
    "probe_print",
    "reachable",
    "refusal",
    "refused",
    "rung_out_nets",
    "says",
    "settle",
    "stale",
    "surveyed_cavities",
    "test_points",
    "undecided",
    "unusable",
]
