"""How far the legs of a CAN pair lie without twist, told by an answer.

An answer about `loom.5.untwisted_mm`, the high half, says the length from where the twist ends.
"""

from __future__ import annotations

from dataclasses import replace

from wiremap.evidence.answer_figures import figure_of
from wiremap.evidence.resistors import joints_across
from wiremap.model import Cavity, End, Job, Twist, frozen

UNTWISTED = "untwisted_mm"
FIGURE = f"twist.{UNTWISTED}"


def with_untwisted(job: Job, end: End, high: Cavity, text: str) -> Job:
    """The job with the length that lies untwisted, in the twist of the pair or one of its own."""
    mm, across = figure_of(FIGURE, text), joints_across(job, end, high)
    if mm is None or across is None:
        return job
    ids = tuple(circuit.id for circuit in across)
    known = [twist for twist in job.twists.values() if set(ids) <= set(twist.circuits)]
    told = known or [Twist(name=f"{end.name}.{high.name}", circuits=ids)]
    new = {twist.name: replace(twist, untwisted_mm=mm) for twist in told}
    return replace(job, twists=frozen({**job.twists, **new}))
