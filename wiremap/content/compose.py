"""Puts a sheet together from its pages: a new page is one file, and one line here."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from wiremap.content.faces import faces_section
from wiremap.content.feed import feed_section
from wiremap.content.findings import findings_section
from wiremap.content.firstpower import power_section
from wiremap.content.flags import flags_section
from wiremap.content.fuses import fuses_section
from wiremap.content.given import Given
from wiremap.content.joints import joints_section
from wiremap.content.lengths import lengths_section
from wiremap.content.map import map_section
from wiremap.content.parts import parts_section
from wiremap.content.pieces import Count, Head, Section, Sheet
from wiremap.content.ringout import ringout_section
from wiremap.content.signatures import signatures_section
from wiremap.content.signoff import sign_section
from wiremap.content.sources import sources_section
from wiremap.content.strip import strip_section
from wiremap.content.survey import survey_section

Page = Callable[[Given], Section | None]

BENCH: tuple[Page, ...] = (
    map_section,
    faces_section,
    strip_section,
    joints_section,
    ringout_section,
    power_section,
    sign_section,
)
ANNEX: tuple[tuple[str, Page], ...] = (  # with the part of the annex that it comes with
    ("survey", survey_section),
    ("survey", signatures_section),
    ("lengths", lengths_section),
    ("fuses", fuses_section),
    ("feed", feed_section),
    ("parts", parts_section),
    ("flags", flags_section),
    ("findings", findings_section),
    ("sources", sources_section),
)
ANNEX_PARTS = tuple(dict.fromkeys(part for part, _ in ANNEX))


def compose(given: Given, annex: Iterable[str] = ()) -> Sheet:
    """The whole sheet as plain data; raises ValueError for a part of the annex that is unknown."""
    wanted = set(annex)
    unknown = sorted(wanted.difference(ANNEX_PARTS))
    if unknown:
        known = ", ".join(ANNEX_PARTS)
        raise ValueError(f"no part of the annex is called {unknown[0]!r}; there are {known}")
    pages = [*BENCH, *(page for part, page in ANNEX if part in wanted)]
    sections = [page(given) for page in pages]
    return Sheet(head_of(given), tuple(s for s in sections if s is not None))


def head_of(given: Given) -> Head:
    """Identity and standing, for every page."""
    job = given.job
    rung_out = Count(*given.rung_out)
    stamp = "PAPER IN ORDER, NOT YET RUNG OUT"
    if given.held:
        stamp = "HOLD"
    elif rung_out.all_done:
        stamp = "PAPER IN ORDER, RUNG OUT"
    return Head(
        title=job.title,
        id=job.id or "",
        revision="" if job.revision is None else str(job.revision),
        digest=job.digest or "none",
        surveyed=Count(*given.surveyed),
        rung_out=rung_out,
        held=given.held,
        not_judged=len(given.not_judged),
        stamp=stamp,
        cautions=len(given.cautions),
    )
