"""The record: what the notebook holds, on a sheet that is printed filled in."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.content.given import Given
from wiremap.content.kept import kept_lines
from wiremap.content.pieces import Block, Ledger, Section, TextPiece
from wiremap.content.record import Day, cured, days, how_far
from wiremap.content.stages import Page, Stage
from wiremap.content.words import number, spaced

DAYS = ("day", "who", "entries", "first", "last", "hours")
DAY_SHARES = (24.0, 40.0, 20.0, 20.0, 20.0, 20.0)
ENTRIES = ("when", "who", "what", "mark")
ENTRY_SHARES = (26.0, 20.0, 110.0, 22.0)
EMPTY = "The notebook holds nothing yet."


def record_section(given: Given) -> Section | None:
    """How far the work has come, day by day, and every entry; only on a sheet filled in."""
    if not given.filled_in:
        return None
    return Section(
        key="record",
        title="Record",
        drawn_from="as the notebook has it; struck out entries are told as such",
        blocks=tuple(_blocks(given)),
    )


def _blocks(given: Given) -> Iterator[Block]:
    come = how_far(given)
    yield TextPiece(f"Stopped here: {come.stopped}. Next: {come.next}. {come.last}".strip())
    worked = list(days(given))
    if worked:
        yield TextPiece("Days", strong=True)
        yield Ledger(DAYS, DAY_SHARES, tuple(_day(day) for day in worked))
    wrong = list(cured(given))
    if wrong:
        yield TextPiece("Wrong readings and their cure", strong=True)
        for line in wrong:
            yield TextPiece(f"– {line}")
    rows = tuple(_entries(given))
    if not rows:
        yield TextPiece(EMPTY)
        return
    yield TextPiece("Entries", strong=True)
    yield Ledger(ENTRIES, ENTRY_SHARES, rows)


def _day(day: Day) -> tuple[str, ...]:
    hours = "" if day.hours is None else number(round(day.hours, 1))
    return (day.date, day.by, str(day.entries), day.first, day.last, hours)


def _entries(given: Given) -> Iterator[tuple[str, ...]]:
    for line in kept_lines(given.job):
        words = spaced("struck out:" if line.struck else "", line.words)
        yield (spaced(line.date, line.time), line.by, words, line.mark)


PAGE = Page(key="record", stage=Stage.HANDING_OVER, make=record_section, order=7)
