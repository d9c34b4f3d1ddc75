"""The survey before the cut for a screen: rows that expect alike together, verdicts counted."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from types import MappingProxyType

from wiremap.base import plural
from wiremap.content.next_papers import shown_path
from wiremap.evidence import Count
from wiremap.evidence.judged_reading import ReadingVerdict, SurveyReading
from wiremap.model import OnOff
from wiremap.reports.screen import (
    INDENT,
    SHORT,
    block,
    lines_up_to,
    named_up_to,
    shrunk_to,
    wrapped,
)
from wiremap.reports.survey import band_words, row_line, unit_of, verdict_line
from wiremap.survey.left import Lacking
from wiremap.survey.rows import Survey, SurveyRow

LINES_OF_WRONG = 4
MOST_NAMED = 14
MOST_OHMS = 14
MOST_WRONG = 8
MOST_LACKING = 24
RESTING = (
    "0 V with the unit unplugged proves nothing of a sensor supply: read it with the old unit "
    "plugged, ignition on"
)
ODD = frozenset({ReadingVerdict.CONTRADICTS, ReadingVerdict.REFUSED})
# a contact stands under the first that one of its readings comes to
COUNTED: Mapping[ReadingVerdict, str] = MappingProxyType(
    {
        ReadingVerdict.STALE: "void, to be read again (the contact was changed since)",
        ReadingVerdict.FITS: "as the paper says",
        ReadingVerdict.RECORDED: "written down, nothing promised",
    }
)


def rows_brief(survey: Survey, left: Sequence[SurveyRow], *, room: int) -> list[str]:
    """What to lock out, what is left to read, like rows as one line, and what is told by the
    readings; within the room of so many lines as far as shorter lists make it so.
    """
    return shrunk_to(lambda most: _rows_brief(survey, left, most), room, MOST_OHMS)


def _rows_brief(survey: Survey, left: Sequence[SurveyRow], most: int) -> Iterator[str]:
    if len(left) < len(survey.rows):
        count = len(survey.rows)
        yield f"{count - len(left)} of {count} read and as told: --full shows all"
    volts = [row for row in left if row.block == "volts"]
    ohms = [row for row in left if row.block == "ohms"]
    if any(row.key == OnOff.ON for row in volts):
        yield from block("first", survey.lock_out, most=SHORT)
    if volts:
        yield from wrapped(f"volts: {survey.how('volts')}")
        for line in _volts(volts):
            yield from wrapped(line, lead=INDENT)
    if ohms:
        yield from wrapped(f"ohms: {survey.how('ohms')}")
        yield from lines_up_to([row_line(row) for row in ohms], most, each=SHORT)
        alike = [each for each in survey.alike if {*each.points} & {row.red for row in ohms}]
        yield from lines_up_to([each.how for each in alike], 2)
    yield from _terminators(survey)
    if survey.as_before:
        count = len(survey.as_before)
        yield f"with the new plug on {count} are read again at its face: --full lists them"
    if survey.left_alone:
        yield f"not to be probed: {len(survey.left_alone)} of the cavities"


def _volts(rows: Iterable[SurveyRow]) -> Iterator[str]:
    """Contacts that expect the same with the ignition off and on, as one line."""
    wanted: dict[str, dict[str, str]] = {}
    for row in rows:
        wanted.setdefault(row.red, {})[_when(row)] = _expected(row)
    alike: dict[str, list[str]] = {}
    for red, bands in wanted.items():
        alike.setdefault(_both(bands), []).append(red)
    for told, reds in alike.items():
        yield f"{told}: {named_up_to(reds, MOST_NAMED)}"


def _when(row: SurveyRow) -> str:
    return f"ignition {row.key}" if row.key else ""


def _both(bands: dict[str, str]) -> str:
    """One band where the ignition makes no difference."""
    if len(bands) > 1 and len(set(bands.values())) == 1:
        return f"ignition off and on {next(iter(bands.values()))}"
    return ", ".join(f"{when} {band}".strip() for when, band in bands.items())


def _expected(row: SurveyRow) -> str:
    if row.low is None:
        return "write it down"
    return band_words(row.low, row.high, unit_of(row.block))


def _terminators(survey: Survey) -> Iterator[str]:
    """Where each half of a bus is measured, and once what a reading means."""
    said: dict[tuple[tuple[str, str], ...], list[str]] = {}
    for port in survey.terminators:
        said.setdefault(port.steps, []).append(f"{port.red} to {port.black} ({port.where})")
    for steps, halves in said.items():
        meaning = "; ".join(f"{reads}: {so}" for reads, so in steps)
        yield from wrapped(f"terminators: {'; '.join(halves)}")
        yield from wrapped(meaning, lead=INDENT)


def surveyed_lines(file: str, counted: Count, lacks: Lacking) -> Iterator[str]:
    """How many contacts are surveyed, and which lack what."""
    yield f"surveyed {counted}"
    other = tuple(at for at in lacks.volts if at not in (*lacks.volts_off, *lacks.volts_on))
    told = (
        ("against the paper until settled", lacks.against),
        ("volts to read, ignition off too", lacks.volts_off),
        ("volts to read, ignition on too", lacks.volts_on),
        ("volts to read", other),
        ("ohms to read", lacks.ohms),
        ("read, but such readings do not show which signal it is", lacks.unproven),
        (RESTING, lacks.resting),
    )
    for words, points in told:
        if points:
            yield from wrapped(named_up_to(points, MOST_LACKING), lead=f"{INDENT}{words}: ")
    unseen = (*lacks.unproven, *lacks.resting)
    if unseen:
        basis = (
            f"wiremap next {shown_path(file)} --about {unseen[0]}.basis --answer measured "
            '--how "..."'
        )
        said = f"say of each what the meter showed, or what was seen: {basis}"
        yield from wrapped(said, lead=INDENT)


def verdicts_brief(judged: Sequence[SurveyReading]) -> Iterator[str]:
    """The readings that do not fit, one by one, then the other contacts, each once, and how often
    something was read again.
    """
    if not judged:
        yield "no survey readings yet"
    odd = [each for each in judged if each.verdict in ODD]
    odd.sort(key=lambda each: each.settled is not None)
    yield from lines_up_to([verdict_line(each) for each in odd], MOST_WRONG, each=LINES_OF_WRONG)
    told = {each.address for each in odd if each.settled is None}
    for verdict, words in COUNTED.items():
        named: dict[str, list[str]] = {}
        for each in judged:
            if each.verdict == verdict and each.address not in told:
                told.add(each.address)
                why = each.why if verdict == ReadingVerdict.RECORDED else ""
                named.setdefault(why, []).append(each.address)
        for why, contacts in named.items():
            said = f"written down, {why}" if why else words
            yield from wrapped(f"{len(contacts)} {said}: {named_up_to(contacts, MOST_NAMED)}")
    again = sum(each.verdict == ReadingVerdict.REPLACED for each in judged)
    if again:
        yield f"{plural(again, 'reading')} taken again since: the later one counts"


def before_line(judged: Sequence[SurveyReading]) -> Iterator[str]:
    """How many readings were there before, and how many of them still contradict the paper."""
    if not judged:
        return
    stands = sum(each.contradicts for each in judged)
    words = f", {stands} of them still against the paper" if stands else ""
    yield f"{len(judged)} read before{words}: --judge tells them"
