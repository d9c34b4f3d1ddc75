"""One thing, one band: what the survey wants where later readings decide what may stand there."""

from __future__ import annotations

import math
from collections.abc import Iterator

from wiremap.content.given import Given
from wiremap.entries.lines import MINUS, PLUS
from wiremap.evidence.expected import ZERO, Quantity
from wiremap.evidence.probe_points import kind_of
from wiremap.firstpower.loads import LEAST_VOLTS, added_volts
from wiremap.firstpower.step import PowerStage, PowerStep
from wiremap.model import OnOff, Span
from wiremap.ringout.unstated import unstated_buses
from wiremap.survey.loaded import LoadedTest
from wiremap.survey.rows import SurveyRow

HUNDREDTHS = 100  # of a volt


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
        here = step.stage is PowerStage.VOLTS and step.red in same
        if here and step.low is not None and step.high is not None:
            wanted[step.key] = Span(step.low, step.high)
    if row.key in wanted:
        return wanted[row.key]
    return ZERO if row.key == OnOff.OFF and wanted.get(OnOff.ON) == ZERO else None


def as_surveyed(given: Given) -> dict[int, SurveyRow]:
    """By their numbers, the steps of first power for which nobody states volts, each with the row
    of the survey that reads the same wire.
    """
    rows = given.survey.block(Quantity.VOLTS) if given.survey else ()
    named = {(row.red, row.key): row for row in rows if row.state is None}
    found = {}
    for step in given.power:
        if step.stage is PowerStage.VOLTS and step.high is None and step.red:
            same = given.harness.sections.of(step.red).points
            seen = next((named[red, step.key] for red in same if (red, step.key) in named), None)
            if seen is not None:
                found[step.n] = seen
    return found


def wanted_again(given: Given) -> Iterator[SurveyRow]:
    """The rows of the survey whose figures later readings want, as no paper states them."""
    yield from as_surveyed(given).values()
    rows = given.survey.block(Quantity.OHMS) if given.survey else ()
    for pair in unstated_buses(given.harness, kind_of(given.harness)):
        yield from (row for row in rows if {row.red, row.black} == set(pair))


def loss_wanted(given: Given, test: LoadedTest) -> float | None:
    """The most volts that a feed and its ground may lose under a lamp before the work; None where
    nobody can say.

    What first power allows out and back under the same lamp, at a contact that it feeds, less the
    share of what this job adds to that way: the old part must not use up what the whole may lose.
    """
    same = given.harness.sections.of(str(test.supply)).points
    loads = (step for step in given.power if step.stage is PowerStage.LOAD and step.red in same)
    lit = next((step for step in loads if _is_lit(step, test.watts)), None)
    if lit is None or lit.lamp is None:
        return test.most_volts
    ways = {(lit.red, PLUS), (lit.black, MINUS)}
    lost = [s.high for s in given.power if s.is_loss and (s.red, s.black) in ways]
    if len(lost) != len(ways) or None in lost:
        return test.most_volts
    whole = sum(volts for volts in lost if volts is not None)
    own = whole - added_volts(given.sizes, lit.red or "", lit.lamp)
    later = max(math.floor(round(own * HUNDREDTHS, 6)) / HUNDREDTHS, LEAST_VOLTS)  # down to 10 mV
    return later if test.most_volts is None else min(later, test.most_volts)


def _is_lit(step: PowerStep, watts: float) -> bool:
    """Whether a lamp of so many watts burns over what a step reads."""
    return step.lamp is not None and step.lamp.watts == watts
