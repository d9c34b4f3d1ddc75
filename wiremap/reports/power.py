"""First power for a screen: what is done first in full, the other stages in a few lines each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from types import MappingProxyType

from wiremap.base import numbers_told
from wiremap.content.words import volts_band
from wiremap.firstpower.judge import CAUTION
from wiremap.firstpower.step import PowerStage, PowerStep
from wiremap.model import Address
from wiremap.reports.screen import INDENT, SHORT, named_up_to, wrapped

FIRST_STAGE = PowerStage.LOCK_OUT
MOST_NAMED = 12
MOST_LINES = 3  # of a later stage
MOST_OF: Mapping[str, int] = MappingProxyType({PowerStage.LAMP: 4})
STAGES: Mapping[str, str] = MappingProxyType(
    {
        PowerStage.LOCK_OUT: "block it, unplug, fuses out",
        PowerStage.LAMP: "lamps in place of the fuses",
        PowerStage.VOLTS: "volts at the unmated faces",
        PowerStage.LOAD: "fuses in, each feed under a lamp",
        PowerStage.IN_LINE: "the in-line unit's own feed",
        PowerStage.MATE: "mate",
        PowerStage.WORK: "at work",
        PowerStage.SLEEP: "asleep",
    }
)


def power_brief(steps: Sequence[PowerStep]) -> Iterator[str]:
    """The stages in their order: every deed of the first, the others short."""
    readings = sum(bool(step.quantity) for step in steps)
    yield f"first power: {len(steps)} steps, {readings} of them readings"
    for stage, group in groupby(steps, lambda step: step.stage):
        members = list(group)
        heading = f"{numbers_told(step.n for step in members)}: {STAGES.get(stage, stage)}"
        heading += "".join(_stops(members))
        if stage == FIRST_STAGE:
            yield from wrapped(heading)
            for step in members:
                yield from wrapped(step.do, lead=f"{INDENT}{step.n}. ", most=SHORT)
        elif stage is PowerStage.VOLTS:
            yield from wrapped(heading)
            yield from _faces(members)
        else:
            told = "; ".join(step.do for step in members)
            yield from wrapped(f"{heading}: {told}", most=MOST_OF.get(stage, MOST_LINES))
    yield from wrapped(CAUTION)


def _stops(steps: Sequence[PowerStep]) -> Iterator[str]:
    """Where two people put their names before the work goes on."""
    told = set()
    for step in steps:
        if step.stop is not None and step.stop not in told:
            told.add(step.stop)
            yield f"; before {step.n} the two-name stop {step.stop}"


def _faces(steps: Sequence[PowerStep]) -> Iterator[str]:
    """For each face where the black probe stands, then the contacts of each band together."""
    faces: dict[tuple[str, str], list[PowerStep]] = {}
    for step in steps:
        at = Address.read(step.red or "")
        faces.setdefault((at.end, step.black or "ground"), []).append(step)
    for (face, black), members in faces.items():
        yield f"{INDENT}{face}, black probe on {black}"
        for told, points in _bands(members).items():
            named = named_up_to(points, MOST_NAMED)
            yield from wrapped(f"{told}: {named}", lead=INDENT + INDENT, most=SHORT)


def _bands(steps: Sequence[PowerStep]) -> dict[str, list[str]]:
    """The contacts by what is expected there with the ignition off, then on."""
    at: dict[str, list[PowerStep]] = {}
    for step in steps:
        at.setdefault(step.red or "", []).append(step)
    found: dict[str, list[str]] = {}
    for point, readings in at.items():
        found.setdefault(_once(readings), []).append(point)
    return found


def _once(readings: Sequence[PowerStep]) -> str:
    """What is expected at a contact each time, or once where the ignition makes no difference."""
    bands = [volts_band(step.low, step.high) for step in readings]
    if len(bands) > 1 and len(set(bands)) == 1:
        return f"ignition off and on {bands[0]}"
    keys = [f"ignition {step.key} " if step.key else "" for step in readings]
    return ", ".join(map("".join, zip(keys, bands, strict=True)))
