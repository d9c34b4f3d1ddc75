"""The two wires of a bus at first power: the high one never reads below its low."""

from __future__ import annotations

from collections.abc import Iterable

from wiremap.evidence.expected import ZERO
from wiremap.firstpower.step import VOLTS, PowerStep
from wiremap.graph import Harness
from wiremap.survey.bus_pairs import bus_pairs

CROSSED = "lies below {low}: the two wires of the bus are exchanged; do not mate"


def low_beside(harness: Harness, steps: Iterable[PowerStep]) -> dict[int, PowerStep]:
    """For the number of each reading of a high wire, the like reading of its low one."""
    pair = {
        f"{end.name}.{high.name}": f"{end.name}.{low.name}"
        for end in harness.job.ends.values()
        for high, low in bus_pairs(end)
    }
    asked = [step for step in steps if step.quantity == VOLTS and not step.is_loss]
    like = {(step.red, step.key, step.stage, step.state): step for step in asked}
    found = {}
    for step in asked:
        low = like.get((pair.get(step.red or ""), step.key, step.stage, step.state))
        is_level = step.high is not None and step.high > ZERO.high
        if low is not None and is_level:  # one to compare with
            found[step.n] = low
    return found
