"""Which rows of the survey on this sheet read what nobody has read yet."""

from __future__ import annotations

import math
from collections.abc import Collection

from wiremap.content.given import Given
from wiremap.content.one_band import band_later
from wiremap.content.words import NOTE, ohms_band
from wiremap.evidence.expected import Quantity
from wiremap.evidence.meter import DEAD_VOLTS
from wiremap.sizing.unjudged import NotJudged
from wiremap.survey.rows import SurveyRow


def read_at(given: Given, points: Collection[str], block: Quantity | None) -> list[str]:
    """The survey's rows at which some points are read, `S13`; of one block, if it is named."""
    rows = given.survey.rows if given.survey else ()
    return [
        f"S{row.n}"
        for row in rows
        if block in (None, row.block) and (row.red in points or row.black in points)
    ]


def rows_that_tell(given: Given, points: Collection[str]) -> list[str]:
    """The survey's rows at some points that an empty cavity would not read alike."""
    rows = given.survey.rows if given.survey else ()
    return [
        f"S{row.n}"
        for row in rows
        if (row.red in points or row.black in points) and _tells(given, row)
    ]


def is_told(given: Given, points: Collection[str]) -> bool:
    """Whether this sheet tells what some points are: a reading, or a hand at what hangs there."""
    alike = given.survey.alike if given.survey else ()
    by_hand = any(not set(each.points).isdisjoint(points) for each in alike)
    return by_hand or bool(rows_that_tell(given, points))


def not_surveyed(given: Given) -> list[str]:
    """The wires that nobody has measured yet and the work is at: of an adapter those joined."""
    unread = given.not_surveyed
    if given.adapter:  # a contact that is not joined is not at risk
        return [address for address in unread if given.harness.circuits_at(address)]
    return list(unread)


def untold(given: Given) -> list[str]:
    """Of `not_surveyed`, what no reading of this sheet tells: a named person must say it."""
    return [address for address in not_surveyed(given) if not is_told(given, (address,))]


def _tells(given: Given, row: SurveyRow) -> bool:
    """Whether a reading shows that a wire is there; one without a band may, as a person judges."""
    if is_noted(given, row):
        return True
    if row.block == Quantity.OHMS:
        return row.high is not None and math.isfinite(row.high)
    band = band_later(given, row) or row
    return band.low is not None and band.low > DEAD_VOLTS


def is_noted(given: Given, row: SurveyRow) -> bool:
    """Whether the figure of a row is only noted: no band says what it must be."""
    if row.block == Quantity.OHMS:
        return ohms_band(row.low, row.high) == NOTE
    return row.high is None and band_later(given, row) is None


def points_told(given: Given, left: NotJudged) -> list[str]:
    """The points of what was not judged for which the survey's rows tell it."""
    if _read_between(given, left.subject):
        return list(left.subject)
    if not left.by_reading:
        return []
    return [point for point in left.subject if is_told(given, (point,))]


def _read_between(given: Given, subject: Collection[str]) -> bool:
    """Whether a row of the survey reads the ohms between two points."""
    rows = given.survey.block(Quantity.OHMS) if given.survey else ()
    return len(set(subject)) == 2 and any({row.red, row.black} == set(subject) for row in rows)


def pair_rows(given: Given, pair: Collection[str]) -> list[SurveyRow]:
    """The rows with the ohms between two wires, at the machine and in the unit."""
    metals = given.harness.metals
    wanted = {metals.of(point) for point in pair}
    rows = given.survey.block(Quantity.OHMS) if given.survey else ()
    known = given.harness.points
    between = [row for row in rows if row.red in known and row.black in known]
    return [row for row in between if {metals.of(row.red), metals.of(row.black)} == wanted]
