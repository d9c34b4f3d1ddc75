"""Ohms that a survey reading found behind a machine's loom or in a unit, and no paper states."""

from __future__ import annotations

import math
from dataclasses import replace

from wiremap.evidence.expected import FILAMENT, FLOATING, GROUND, electrical
from wiremap.evidence.judged_reading import ReadingVerdict, SurveyReading
from wiremap.evidence.meter import BEEPING, DEAD_VOLTS, GROUNDED, is_silent
from wiremap.evidence.survey_readings import judge_survey
from wiremap.graph import span_ohms
from wiremap.model import CHASSIS, Address, End, Entry, Job, Link, OnOff, Seen, Span, frozen
from wiremap.trade.functions import CAN_HALVES

COUNTING = (ReadingVerdict.FITS, ReadingVerdict.RECORDED)


def with_found_loads(job: Job) -> Job:
    """The job with the loads that readings found: behind its machine ends, and between the legs of
    a unit's bus.

    What the stated loads and earlier readings account for already is not added again; readings to
    the chassis come first, as one between two contacts often follows from them.
    """
    judged = judge_survey(job)
    ends = dict(job.ends)
    for end in job.ends.values():
        if end.is_machine:
            links = _found(end, judged)
            links += _grounds(end, links, judged)
        else:
            links = _terminators(end, judged)
        if links or end.pinout.found:
            ends[end.name] = replace(end, pinout=replace(end.pinout, found=tuple(links)))
    return replace(job, ends=frozen(ends))


def _found(end: End, judged: tuple[SurveyReading, ...]) -> list[Link]:
    """The loads behind a machine's end that readings found and nothing accounts for already."""
    readings = [link for r in judged if (link := _link(end, r)) is not None]
    readings.sort(key=lambda link: CHASSIS not in (link.a, link.b))
    found: list[Link] = []
    for link in readings:
        known = [(x.a, x.b, x.ohms) for x in (*end.pinout.behind, *found) if x.when is None]
        if math.isinf(span_ohms(known, link.a, link.b).low):
            found.append(link)
    return found


def _terminators(end: End, judged: tuple[SurveyReading, ...]) -> list[Link]:
    """What was read between the legs of a unit's bus where its paper tells of nothing there.

    A switch that is on, or at which nobody has looked, may be what was read: then nothing is added.
    """
    known = [(x.a, x.b, x.ohms) for x in end.pinout.inside if x.when is None]
    for name, switch in end.pinout.switches.items():
        if end.switches.get(name) != OnOff.OFF:
            known.append((switch.a, switch.b, Span.of(switch.ohms)))
    found: dict[tuple[str, str], Link] = {}
    for reading in judged:
        link = _link(end, reading)
        if link is None or not _is_pair(end, link):
            continue
        if span_ohms(known, link.a, link.b).low >= FLOATING.low:  # as good as nothing
            found[link.a, link.b] = link
    return list(found.values())


def _is_pair(end: End, link: Link) -> bool:
    """Whether a link lies between the two legs of one bus."""
    legs = [end.pinout.cavities[name] for name in (link.a, link.b) if name != CHASSIS]
    functions = {leg.function for leg in legs}
    return functions == CAN_HALVES and len({leg.pair for leg in legs}) == 1


def _grounds(end: End, found: list[Link], judged: tuple[SurveyReading, ...]) -> list[Link]:
    """A power ground of the machine goes to its chassis (common practice) where nothing is known.

    The survey expects the same; one that was read otherwise is left out.
    """
    told = {name for link in (*end.pinout.behind, *found) for name in (link.a, link.b)}
    told |= {
        Address.read(r.address).cavity for r in judged if r.verdict == ReadingVerdict.CONTRADICTS
    }
    return [
        Link(a=name, b=CHASSIS, ohms=GROUND)
        for name, cavity in end.pinout.cavities.items()
        if cavity.function == "power-ground" and name not in told
    ]


def _link(end: End, reading: SurveyReading) -> Link | None:
    """The load that a reading tells of at an end; None if it tells of none."""
    entry = reading.entry
    if not _counts(reading) or entry.state is not None or not _is_dead(entry):
        return None
    ohms = _ohms(entry)
    match [_point_name(end, address) for address in (*entry.red, *entry.black)]:
        case [str() as one, str() as other] if one != other and ohms is not None:
            a, b = sorted((one, other), key=lambda name: (name == CHASSIS, name))
            if _is_lamp(end, (a, b)) and ohms.low > FILAMENT.high:
                return None  # an LED reads otherwise with the probes exchanged
            return Link(a=a, b=b, ohms=ohms, place=entry.place)
    return None


def _counts(reading: SurveyReading) -> bool:
    """Whether a reading stands: what the paper denies does once a named answer has settled it."""
    if reading.verdict == ReadingVerdict.CONTRADICTS:
        return reading.settled is not None
    return reading.verdict in COUNTING


def _point_name(end: End, address: Address) -> str | None:
    if address in GROUNDED:
        return CHASSIS
    if address.end == end.name and address.cavity in end.pinout.cavities:
        return address.cavity
    return None


def _is_dead(entry: Entry) -> bool:
    return entry.volts is None or abs(entry.volts) <= DEAD_VOLTS


def _ohms(entry: Entry) -> Span | None:
    if entry.seen == Seen.BEEP:
        return BEEPING
    if entry.ohms is None or math.isinf(entry.ohms.high) or is_silent(entry):
        return None
    return entry.ohms


def _is_lamp(end: End, names: tuple[str, str]) -> bool:
    cavities = (end.pinout.cavities.get(name) for name in names)
    return any(c is not None and electrical(c) == "lamp" for c in cavities)
