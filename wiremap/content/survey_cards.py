"""Cards of the survey: what is locked out first, then one reading each."""

from __future__ import annotations

from collections.abc import Sequence

from wiremap.content.cards import (
    Blank,
    Card,
    CardLink,
    CardQuestion,
    Choice,
    Places,
    mark_for,
    tick,
)
from wiremap.content.done import ticked_on
from wiremap.content.kept import reading_words
from wiremap.content.noted import most_volts
from wiremap.content.survey_deeds import DeedsLeft, deed_card
from wiremap.content.words import ohms_band, spaced, volts_band
from wiremap.entries.lines import MINUS
from wiremap.evidence.expected import Quantity
from wiremap.evidence.judged_reading import ReadingVerdict, SurveyReading
from wiremap.evidence.meter import DEAD_VOLTS, GROUNDED
from wiremap.graph import Harness
from wiremap.model import CHASSIS, Entry
from wiremap.survey.bus_pairs import AT_UNIT
from wiremap.survey.rows import Survey, SurveyRow

FIRST = "Before anything is read"
LOCKED_OUT = "locked out before the ignition is on"
COUNTED = frozenset({ReadingVerdict.FITS, ReadingVerdict.CONTRADICTS, ReadingVerdict.RECORDED})
VOLTS = Blank(name="volts", words="volts on the display", figure=True)
VOLTS_FIRST = Blank(
    name="volts", words="first the volts between the two points", figure=True, first=True
)
OHMS = Blank(name="ohms", words="or the ohms on the display (1.8k and 1M too)", figure=True)
LIVE_FIRST = f"above {DEAD_VOLTS:g} V between the two no ohms are read: find out why first"
OPEN = Choice(value="open", words="open (OL on the display)")
SURVEY = "/survey"
ALL = "all"


def survey_card(
    harness: Harness,
    made: Survey,
    judged: Sequence[SurveyReading],
    at: str,
    *,
    owed: Sequence[str],
    deeds: DeedsLeft,
    today: str,
) -> Card:
    """One reading of the survey: the row asked for, else the first that nobody has read.

    `owed` are the contacts that ought to be measured and are not, `deeds` what is still to be done
    around the readings: plugs off before them; what wants the battery on, once the volts are read.
    """
    if not made.rows:
        return Card(
            heading="Survey", through=True, lead=("There is no machine-side cavity to survey.",)
        )
    waiting = rows_left(made, judged)
    locks = _lock_out(harness, made, today)
    if at == ALL:
        return _listed(made, judged, owed, locks)
    asked_for = next((row for row in made.rows if str(row.n) == at), None)
    row = asked_for or first_of(waiting, owed)
    due = () if asked_for else deeds.due(volts_owed=_owes_volts(row, owed), all_read=row is None)
    counted = _counted(made, waiting, owed)
    volts = row is not None and row.block == Quantity.VOLTS
    fed = bool(deeds.before or due[0].title) if due else volts
    if locks and fed:
        return _locked(locks, counted)
    if due:
        others = (*(_leave(each) for each in waiting[:1]), *_all(made))
        return deed_card(harness, due, counted, others)
    if row is None:
        return Card(heading="Survey: every reading is taken", through=True, more=tuple(_all(made)))
    entries = [reading.entry for reading in judged]
    ask = _ask(harness, row, sum(is_reading_of(row, entry) for entry in entries))
    lead = [counted, made.how(row.block)]
    lead += [alike.how for alike in made.alike if row.red in alike.points]
    return Card(
        heading="On the machine: one reading",
        lead=tuple(lead),
        asks=(ask,),
        more=(*_later(row, waiting), *_all(made)),
    )


def _owes_volts(row: SurveyRow | None, owed: Sequence[str]) -> bool:
    """Whether the next reading is one of volts that is owed."""
    return row is not None and row.block == Quantity.VOLTS and is_owed(row, owed)


def rows_left(made: Survey, judged: Sequence[SurveyReading]) -> list[SurveyRow]:
    """The rows that no reading answers that counts."""
    counted = [each.entry for each in judged if each.verdict in COUNTED]
    return [row for row in made.rows if not any(is_reading_of(row, entry) for entry in counted)]


def _counted(made: Survey, waiting: Sequence[SurveyRow], owed: Sequence[str]) -> str:
    """How many readings are left, and how many of them hold up the cut."""
    due = sum(is_owed(row, owed) for row in waiting)
    words = f"{len(waiting)} of {len(made.rows)} readings left"
    return f"{words}, {due} of them owed before the cut"


def is_owed(row: SurveyRow, owed: Sequence[str]) -> bool:
    """Whether a row reads a contact that ought to be measured and is not."""
    return row.red in owed or row.black in owed


def owed_contacts(
    made: Survey, judged: Sequence[SurveyReading], not_surveyed: Sequence[str]
) -> frozenset[str]:
    """The contacts that ought to be measured and have a row that nobody has read."""
    rows = rows_left(made, judged)
    return frozenset(point for point in not_surveyed for row in rows if is_owed(row, (point,)))


def first_of(waiting: Sequence[SurveyRow], owed: Sequence[str]) -> SurveyRow | None:
    """What is read next: what is owed before what only comes back as before the cut."""
    first = [row for row in waiting if is_owed(row, owed)]
    return next(iter([*first, *waiting]), None)


def is_reading_of(row: SurveyRow, entry: Entry) -> bool:
    """Whether an entry is a reading of this row."""
    points = {_ground(row.red), _ground(row.black)}
    if {_ground(point) for point in (*entry.red, *entry.black)} != points:
        return False
    only_volts = entry.volts is not None and entry.ohms is None and entry.seen is None
    if only_volts != (row.block == Quantity.VOLTS):
        return False
    if row.key is not None and entry.key not in (None, row.key):
        return False
    return (entry.state or "") == (row.state or "")


def _ground(point: str) -> str:
    return CHASSIS if point in GROUNDED else point


def _ask(harness: Harness, row: SurveyRow, before: int) -> CardQuestion:
    volts = row.block == Quantity.VOLTS
    black = MINUS if volts and row.black == CHASSIS else row.black
    places = Places(harness, {CHASSIS: black}, at_machine=True, at_unit=row.at_unit)
    band = volts_band if volts else ohms_band
    lead = [row.state] if row.state else []
    lead += [AT_UNIT] if row.at_unit else []
    lead += [row.note] if row.note else []
    lead.append(_expected(harness, row, band(row.low, row.high)))
    if not volts:
        lead.append(LIVE_FIRST)
    return CardQuestion(
        mark=mark_for("survey", row.red, black, str(row.key), str(row.state), str(before)),
        heading=f"Reading {row.n}, ignition {row.key}" if row.key else f"Reading {row.n}",
        spots=(places.spot("red probe", row.red), places.spot("black probe", row.black)),
        lead=tuple(lead),
        choices=() if volts else (OPEN,),
        blanks=(VOLTS,) if volts else (VOLTS_FIRST, OHMS),
        of=row,
    )


def _expected(harness: Harness, row: SurveyRow, band: str) -> str:
    if row.low is None:
        most = most_volts(harness.job, row)
        return spaced("nobody can say what it should be: write it down;", most).rstrip(";")
    return f"expected: {band} ({row.source})"


def _locked(locks: Sequence[CardQuestion], counted: str) -> Card:
    return Card(heading=FIRST, lead=(counted,), asks=tuple(locks))


def _lock_out(harness: Harness, made: Survey, today: str) -> list[CardQuestion]:
    """What is secured before anything is read where the ignition is on later; anew each day."""
    done = ticked_on(harness.job, LOCKED_OUT, today)
    return [tick(LOCKED_OUT, deed) for deed in made.lock_out if deed not in done]


def _later(row: SurveyRow, waiting: Sequence[SurveyRow]) -> list[CardLink]:
    """The row behind this one, if this one cannot be read now."""
    behind = [each for each in waiting if each.n > row.n] or [
        each for each in waiting if each != row
    ]
    after = next(iter(behind), None)
    return [] if after is None else [_leave(after)]


def _leave(row: SurveyRow) -> CardLink:
    """The way on to another row."""
    return CardLink(path=f"{SURVEY}?at={row.n}", words="leave this one for now: the next")


def _all(made: Survey) -> list[CardLink]:
    return (
        [CardLink(path=f"{SURVEY}?at={ALL}", words="every reading in a list")] if made.rows else []
    )


def _listed(
    made: Survey,
    judged: Sequence[SurveyReading],
    owed: Sequence[str],
    locks: Sequence[CardQuestion],
) -> Card:
    """Every reading as a way to its card: what is still to be read, what contradicts its paper."""
    waiting = rows_left(made, judged)
    against = [each.entry for each in judged if each.contradicts]
    ways = []
    for row in made.rows:
        black = MINUS if row.block == Quantity.VOLTS and row.black == CHASSIS else row.black
        words = f"{row.n}. {row.red} to {black}, {row.block}"
        words += f", ignition {row.key}" if row.key else ""
        words += f", {row.state}" if row.state else ""
        if row in waiting:
            words += ": owed" if is_owed(row, owed) else ": not read"
        elif any(is_reading_of(row, entry) for entry in against):
            words += ": read, CONTRADICTS THE PAPER"
        else:
            words += ": read"
        ways.append(CardLink(path=f"{SURVEY}?at={row.n}", words=words))
    stop = tuple(f"contradicts the paper: {reading_words(entry)}" for entry in against)
    first = tuple(CardLink(path=SURVEY, words=f"first: {ask.choices[0].words}") for ask in locks)
    return Card(heading=_counted(made, waiting, owed), stop=stop, owed=first, more=tuple(ways))
