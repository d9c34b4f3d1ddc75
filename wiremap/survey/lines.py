"""Typed readings of the survey matched with the contacts and rows that they speak of."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

from wiremap.base import Finding, Place, fault
from wiremap.entries.lines import LONGEST, MINUS, Probes, phrases_out, pieces, too_many_faults
from wiremap.entries.notebook import speller
from wiremap.entries.survey_lines import (
    Shown,
    figure_alone,
    may_be_live,
    probes_in,
    shown,
    unit_meant,
)
from wiremap.entries.ticked import ELSEWHERE, ticked
from wiremap.evidence.expected import Quantity
from wiremap.evidence.meter import GROUNDED
from wiremap.files.faults import did_you_mean
from wiremap.model import CHASSIS, Address, Entry, EntryKind, Job, Seen, Span
from wiremap.survey.later import later_states
from wiremap.survey.rows import SurveyRow, survey

FORM = "loom.1 12.6 V off, or loom.12 to loom.8 1800 ohm"
_FILE_OF_OURS = re.compile(r"^wiremap\s*:", re.MULTILINE)


class Contacts:
    """The contacts of a job as a line may name them, and the states that rows ask for.

    In whatever capitals; in a job with one end only without the end's name.
    """

    def __init__(self, job: Job) -> None:
        ends = job.ends.values()
        self.known = [Address(end.name, name) for end in ends for name in end.pinout.cavities]
        self._held = frozenset(self.known)
        self._legs = {str(leg).casefold(): leg for part in job.extras.values() for leg in part.legs}
        self._lone = next(iter(job.ends)) if len(job.ends) == 1 else ""
        self._spelled = speller(self.known)
        self._rows = survey(job).rows
        self.later = later_states(job)
        self.taken: list[str] = []  # figures without a unit, each with what it was taken for

    def named(self, name: str) -> Address | None:
        """The contact that a name means, if one is."""
        names = [Address.read(name)]
        if self._lone:
            names.append(Address(self._lone, name))
        for each in map(self._spelled, names):
            if each in self._held:
                return each
        return None

    def black(self, name: str) -> Address | None:
        """Where a black probe stands: a contact, a part's leg, the chassis or battery minus."""
        small = name.casefold()
        if small in GROUNDED:
            return Address.read(small)
        return self.named(name) or self._legs.get(small)

    def states(self, red: str, black: str | None) -> list[str]:
        """The states that rows between two points ask for."""
        found = {row.state for row in self._between(red, black)}
        return sorted(state for state in found if state)

    def unit_of_bare(self, red: str, black: str | None, said: str) -> str:
        """The unit of a figure without one between two points, where nothing else can be meant.

        Volts are never read without the ignition being said; a figure that may be a live contact's
        volts all the same is asked back.
        """
        asked = {row.block for row in self._between(red, black)}
        live = Quantity.VOLTS in asked and may_be_live(said)
        return unit_meant(said, is_ohms=Quantity.OHMS in asked and not live)

    def _between(self, red: str, black: str | None) -> list[SurveyRow]:
        """The rows between two points, however the probes stand."""
        points = {red, CHASSIS if black in GROUNDED else black}
        return [row for row in self._rows if {row.red, row.black} == points]

    @property
    def shown(self) -> list[str]:
        """Every contact as it is named in a line."""
        return [point.cavity if self._lone else point for point in self.known]


class TypedSurvey(NamedTuple):
    """Readings from typed lines, what could not be read, and what bare figures were taken for."""

    entries: tuple[Entry, ...]
    findings: tuple[Finding, ...]
    taken: tuple[str, ...]


def typed_survey(job: Job, text: str, name: str, by: str = "", date: str = "") -> TypedSurvey:
    """Survey readings from typed lines, and what was said without a unit.

    Readings are parted by commas or line ends, their words as in the rows of the survey: the red
    probe, `to` the black one (battery minus if volts are read and nothing is said), volts or ohms
    with their unit, how the ignition stood, the state that a row asks for or in which something is
    read after the cut.
    """
    if _FILE_OF_OURS.search(text):
        return TypedSurvey((), (_wrong_kind(name),), ())
    named = Contacts(job)
    entries: list[Entry] = []
    findings: list[Finding] = []
    for place, said in _readings(named, text, name):
        if too_many_faults(findings, place):
            break
        read = ELSEWHERE if ticked(said) else _entry(named, said[:LONGEST], place)
        if isinstance(read, str):
            findings.append(_unread(f"{read}: `{said[:LONGEST]}`; nothing was saved", place))
        elif isinstance(read, Finding):
            findings.append(read)
        else:
            entries.append(replace(read, by=by, date=date))
    if not entries and not findings:
        wrong, fix = "there is no reading in it", f"write lines such as: {FORM}"
        findings.append(fault("reading-unread", wrong, Place(name), fix=fix))
    return TypedSurvey(tuple(entries), tuple(findings), tuple(named.taken))


def _readings(contacts: Contacts, text: str, name: str) -> Iterator[tuple[Place, str]]:
    """Each reading; what follows a comma and names no contact of the job belongs to the one before
    it, as `ignition off` does in a printed row.
    """
    place, said = Place(name), ""
    for at, piece in pieces(text, name):
        goes_on = at.line == place.line and contacts.named(probes_in(piece).red) is None
        if said and goes_on:
            said = f"{said} {piece}"
            continue
        if said:
            yield place, said
        place, said = at, piece
    if said:
        yield place, said


def _wrong_kind(name: str) -> Finding:
    return fault(
        "wrong-kind",
        "this is a file of ours, not lines of readings",
        Place(name),
        fix="a notebook is judged with --notebook FILE --judge",
    )


def _unread(why: str, place: Place) -> Finding:
    return fault("reading-unread", why, place, fix=f"write it as: {FORM}")


def _entry(contacts: Contacts, line: str, place: Place) -> Entry | Finding | str:
    """One line as an entry; a fault at its points, or in words what is wrong with it."""
    typed = probes_in(line)
    probes = _probes(contacts, typed, place)
    if not isinstance(probes, tuple):
        return probes
    red, black = probes
    states = contacts.states(red, black)
    named, rest = phrases_out([*states, *contacts.later], " ".join(typed.rest))
    if len(named) > 1:
        return "one line holds one reading"
    unit = contacts.unit_of_bare(red, black, rest)
    said = shown(rest, has_black=black is not None, states=states, unit=unit)
    if isinstance(said, str):
        return said
    if unit and black is not None:
        contacts.taken.append(f"{figure_alone(rest)} {unit} from {red} to {black}")
    plain = Entry(
        kind=EntryKind.SURVEY,
        red=(red,),
        black=(black or Address(MINUS),),
        state=next(iter(named), None),
        place=place,
    )
    return _with_figures(plain, said)


def _probes(
    contacts: Contacts, typed: Probes, place: Place
) -> tuple[Address, Address | None] | Finding | str:
    """Where red and black probe stand (None: nothing is said of black); else what is wrong."""
    if not typed.red:
        return "no contact is named"
    if typed.lacks_black:
        return "nothing is said about where the black probe stood"
    red = contacts.named(typed.red)
    if red is None:
        return _no_point(contacts, typed.red, place)
    if typed.black is None:
        return red, None
    black = contacts.black(typed.black)
    if black is None:
        return _no_point(contacts, typed.black, place)
    return "both probes stand on one cavity" if red == black else (red, black)


def _with_figures(plain: Entry, said: Shown) -> Entry:
    return replace(
        plain,
        volts=said.volts,
        ohms=said.seen if isinstance(said.seen, Span) else None,
        seen=said.seen if isinstance(said.seen, Seen) else None,
        key=said.key,
    )


def _no_point(contacts: Contacts, name: str, place: Place) -> Finding:
    near = did_you_mean(name, contacts.shown)
    where = "; the black probe may also stand on battery minus or chassis"
    if near:
        where = ""
    elif name.casefold() in GROUNDED:
        where = "; the red probe stands on a cavity"
    paper = "job" if contacts.shown == contacts.known else "pinout"
    return fault(
        "no-such-point",
        f"{name} is no cavity of this {paper}{where}; nothing was saved",
        place,
        fix=f"{near} Write it as: {FORM}" if near else f"write it as: {FORM}",
    )
