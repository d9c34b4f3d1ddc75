"""Typed readings of the survey matched with the contacts and rows that they speak of."""

from __future__ import annotations

import re
from dataclasses import replace

from wiremap.base import Finding, Place, fault
from wiremap.entries.lines import LONGEST, enough, phrases_out
from wiremap.entries.survey_lines import MINUS, Shown, probes, shown
from wiremap.evidence.answers import cavity_of
from wiremap.evidence.meter import GROUNDED
from wiremap.files.faults import did_you_mean
from wiremap.model import CHASSIS, Address, Entry, EntryKind, Job, Seen, Span
from wiremap.survey.later import later_states
from wiremap.survey.rows import SurveyRow, survey

FORM = "loom.1 12.6 V ignition off, or loom.12 to loom.8 1800 ohm"
_REMARK = re.compile(r"(?:^|\s)#.*")
_OURS = re.compile(r"^wiremap\s*:", re.MULTILINE)


def typed_readings(
    job: Job, text: str, name: str, by: str = "", date: str = ""
) -> tuple[tuple[Entry, ...], tuple[Finding, ...]]:
    """Survey readings from typed lines, and what could not be read.

    One reading a line, its words as in the rows of the survey: the red probe, `to` the black one
    (battery minus if volts are read and nothing is said), volts or ohms with their unit, how the
    key stood, the state that a row asks for or in which something is read after the cut.
    """
    if _OURS.search(text):
        return (), (_wrong_kind(name),)
    rows = survey(job).rows
    entries: list[Entry] = []
    findings: list[Finding] = []
    for number, line in enumerate(text.splitlines(), 1):
        said = _REMARK.sub("", line[:LONGEST])
        if not said.strip():
            continue
        place = Place(name, number, 1 + len(said) - len(said.lstrip()))
        if enough(findings, place):
            break
        read = _entry(job, rows, said, place)
        if isinstance(read, str):
            findings.append(_unread(f"{read}: `{said.strip()}`; nothing was saved", place))
        elif isinstance(read, Finding):
            findings.append(read)
        else:
            entries.append(replace(read, by=by, date=date))
    if not entries and not findings:
        wrong, fix = "there is no reading in it", f"write lines such as: {FORM}"
        findings.append(fault("reading-unread", wrong, Place(name), fix=fix))
    return tuple(entries), tuple(findings)


def _wrong_kind(name: str) -> Finding:
    return fault(
        "wrong-kind",
        "this is a file of ours, not lines of readings",
        Place(name),
        fix="a notebook is judged with --notebook FILE --judge",
    )


def _unread(why: str, place: Place) -> Finding:
    return fault("reading-unread", why, place, fix=f"write it as: {FORM}")


def _entry(job: Job, rows: tuple[SurveyRow, ...], line: str, place: Place) -> Entry | Finding | str:
    """One line as an entry; a fault at its points, or in words what is wrong with it."""
    typed = probes(line)
    if not typed.points:
        return "no contact is named"
    if typed.lacks_black:
        return "nothing is said about where the black probe stood"
    found = []
    for i, point in enumerate(typed.points):
        address = point if i and point in GROUNDED else _address(job, point)
        if address is None:
            return _no_point(job, point, place)
        found.append(Address.read(address))
    red, black = found[0], found[1] if len(found) > 1 else None
    if red == black:
        return "both probes stand on one cavity"
    states = _states(rows, red, black)
    named, rest = phrases_out([*states, *later_states(job)], typed.rest)
    if len(named) > 1:
        return "one line holds one reading"
    said = shown(rest, has_black=black is not None, states=states)
    if isinstance(said, str):
        return said
    plain = Entry(
        kind=EntryKind.SURVEY,
        red=(red,),
        black=(black or Address(MINUS),),
        state=named[0] if named else None,
        place=place,
    )
    return _with_figures(plain, said)


def _with_figures(plain: Entry, said: Shown) -> Entry:
    return replace(
        plain,
        volts=said.volts,
        ohms=said.seen if isinstance(said.seen, Span) else None,
        seen=said.seen if isinstance(said.seen, Seen) else None,
        key=said.key,
    )


def _states(rows: tuple[SurveyRow, ...], red: str, black: str | None) -> list[str]:
    """The states that rows between two points ask for."""
    between = {red, CHASSIS if black in GROUNDED else black}
    return sorted({row.state for row in rows if row.state and {row.red, row.black} == between})


def _address(job: Job, name: str) -> str | None:
    """The whole address of a cavity; a job with one end only needs no end's name."""
    names = [name]
    if len(job.ends) == 1:
        names += [f"{end}.{name}" for end in job.ends]
    return next((a for a in names if cavity_of(job, a) is not None), None)


def _no_point(job: Job, name: str, place: Place) -> Finding:
    alone = len(job.ends) == 1
    points = []
    for end in job.ends.values():
        points += [c if alone else f"{end.name}.{c}" for c in end.pinout.cavities]
    near = did_you_mean(name, points, lead="; ")
    where = "; the black probe may also stand on battery minus or chassis"
    if name in GROUNDED:
        where = "; the red probe stands on a cavity"
    paper = "pinout" if alone else "job"
    return fault(
        "no-such-point",
        f"{name} is no cavity of this {paper}{near}{where}; nothing was saved",
        place,
        fix=f"write it as: {FORM}",
    )
