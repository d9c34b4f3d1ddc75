"""What a survey still lacks: rows that nobody has read, contacts that nothing proves yet."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, fields
from typing import Any

from wiremap.evidence import judge_survey, surveyed_cavities
from wiremap.evidence.expected import Quantity
from wiremap.evidence.judged_reading import ReadingVerdict, SurveyReading
from wiremap.evidence.reading_spot import probes_at, spot_of
from wiremap.graph import Harness
from wiremap.survey.rows import Survey, SurveyRow, survey

DONE = frozenset({ReadingVerdict.FITS, ReadingVerdict.RECORDED})


@dataclass(frozen=True, slots=True, kw_only=True)
class Lacking:
    """The contacts that are not surveyed, each once, by what they lack.

    `against` reads otherwise than the paper and nobody has settled it; `unproven` has been read
    through, but nothing is promised of it, so that a person says who has seen it; `resting` read
    0 V as it should with its unit unplugged, which proves nothing of it.  `volts_off` and
    `volts_on` are those of `volts` that lack the reading at that position of the ignition alone.
    """

    against: tuple[str, ...] = ()
    volts: tuple[str, ...] = ()
    ohms: tuple[str, ...] = ()
    unproven: tuple[str, ...] = ()
    resting: tuple[str, ...] = ()
    volts_off: tuple[str, ...] = ()
    volts_on: tuple[str, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """The contacts as plain data."""
        return {name: list(points) for name, points in asdict(self).items()}


def rows_left(made: Survey, judged: Iterable[SurveyReading]) -> tuple[SurveyRow, ...]:
    """The rows whose last reading says nothing yet, or another thing than the paper."""
    done = {spot_of(each.entry) for each in judged if _is_done(each)}
    return tuple(row for row in made.rows if _spot(row) not in done)


def lacking(harness: Harness, made: Survey, judged: Sequence[SurveyReading]) -> Lacking:
    """What each contact lacks that ought to be surveyed and is not."""
    measured, countable = surveyed_cavities(harness)
    against = {each.address for each in judged if each.contradicts}
    left = rows_left(made, judged)
    found: dict[str, list[str]] = {each.name: [] for each in fields(Lacking)}
    for address in countable:
        if address in measured:
            continue
        group = _group(address, against, left)
        if group == "unproven" and harness.points[address].function == "sensor-supply":
            group = "resting"
        found[group].append(address)
        if group == "volts":
            _note_position(found, address, made, left)
    return Lacking(**{name: tuple(points) for name, points in found.items()})


def unread_contacts(harness: Harness) -> tuple[str, ...]:
    """The contacts that ought to be surveyed and that have a row which nobody has read."""
    lacks = lacking(harness, survey(harness.job), judge_survey(harness.job))
    return (*lacks.volts, *lacks.ohms)


def _note_position(
    found: dict[str, list[str]], address: str, made: Survey, left: Iterable[SurveyRow]
) -> None:
    """Note at which position of the ignition a contact lacks volts, if the other one was read."""
    wanted, unread = _positions(address, made.rows), _positions(address, left)
    if len(unread) == 1 and len(wanted) > 1:
        found[f"volts_{next(iter(unread))}"].append(address)


def _positions(address: str, rows: Iterable[SurveyRow]) -> set[str]:
    """The positions of the ignition at which a contact's volts are among these rows."""
    return {
        row.key for row in rows if row.red == address and row.block == Quantity.VOLTS and row.key
    }


def _group(address: str, against: set[str], left: Iterable[SurveyRow]) -> str:
    """The field of `Lacking` that a contact goes into."""
    if address in against:
        return "against"
    blocks = {row.block for row in left if address in (row.red, row.black)}
    if Quantity.VOLTS in blocks:
        return "volts"
    return "ohms" if blocks else "unproven"


def _is_done(reading: SurveyReading) -> bool:
    return reading.verdict in DONE or reading.settled is not None


def _spot(row: SurveyRow) -> tuple[frozenset[str], Quantity, str | None, str | None]:
    return probes_at((row.red, row.black)), row.block, row.key, row.state
