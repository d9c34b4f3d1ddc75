"""Puts a sheet together from its pages, in the order of work: every file of `pages` is found."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Iterable, Iterator
from itertools import groupby
from operator import itemgetter

from wiremap.content import pages
from wiremap.content.filled import filled
from wiremap.content.given import Given
from wiremap.content.numbering import numbered
from wiremap.content.pieces import PageHead, Section, Sheet
from wiremap.content.stages import Page, Stage


def _found() -> tuple[Page, ...]:
    """Every page that a sheet may have, in the order of work."""
    found = []
    for module in pkgutil.iter_modules(pages.__path__):
        found.append(importlib.import_module(f"{pages.__name__}.{module.name}").PAGE)
    return tuple(sorted(found, key=lambda page: page.place))


PAGES = _found()
ANNEX_PARTS = tuple(page.key for page in PAGES if page.stage is Stage.ANNEX)


def compose(given: Given, annex: Iterable[str] = (), *, print_held: bool = False) -> Sheet:
    """The whole sheet as plain data.

    Of a held job the pages of work are left out unless `print_held`.  Raises ValueError for a part
    of the annex that is unknown.
    """
    wanted = set(annex)
    unknown = sorted(wanted.difference(ANNEX_PARTS))
    if unknown:
        known = ", ".join(ANNEX_PARTS)
        raise ValueError(f"no part of the annex is called {unknown[0]!r}; there are {known}")
    pages = [page for page in PAGES if page.stage is not Stage.ANNEX or page.key in wanted]
    if given.held and not print_held:
        pages = [page for page in pages if page.stage.lifts_hold]
    sheet = Sheet(head_of(given), tuple(_sections(given, pages)))
    return filled(sheet, given) if given.filled_in else sheet


def _sections(given: Given, chosen: Iterable[Page]) -> Iterator[Section]:
    """The sections that the job has something for, their stages and steps numbered."""
    made = [(page.stage, page.make(given)) for page in chosen]
    there = [(stage, section) for stage, section in made if section is not None]
    for number, (_, group) in enumerate(groupby(there, key=itemgetter(0)), 1):
        yield from numbered([section for _, section in group], number)


def head_of(given: Given) -> PageHead:
    """Identity and standing, for every page."""
    job = given.job
    stamp = "PAPER IN ORDER, NOT YET RUNG OUT"
    if given.wrong_at_power:
        stamp = given.wrong_at_power
    elif given.held:
        stamp = "HOLD"
    elif given.rung_out.all_done:
        times = " ONCE OF TWICE" if given.lacks_second else ""
        by = "" if given.filled_in else " BY NOTEBOOK"
        stamp = f"PAPER IN ORDER, RUNG OUT{times}{by}"
    return PageHead(
        title=job.title,
        id=job.id or "",
        revision="" if job.revision is None else str(job.revision),
        digest=job.digest or "none",
        surveyed=given.surveyed,
        rung_out=given.rung_out,
        filled_in=given.filled_in,
        held=given.held,
        wrong=bool(given.wrong_at_power),
        not_judged=len(given.not_judged),
        stamp=stamp,
        cautions=len(given.cautions),
    )
