"""Puts a sheet together: the bench pages, and the parts of the annex that are asked for."""

from __future__ import annotations

from collections.abc import Iterable

from wiremap.content.firstpower import power_section, sign_section
from wiremap.content.given import Given
from wiremap.content.joints import joints_section, strip_section
from wiremap.content.map import faces_section, map_section
from wiremap.content.pieces import Head, Section, Sheet
from wiremap.content.ringout import ringout_section

ANNEX_PARTS = ("survey", "lengths", "fuses", "feed", "parts", "flags", "findings", "sources")
BELONGS = {"signatures": "survey"}  # sections that come with another part of the annex


def compose(given: Given, annex: Iterable[str] = ()) -> Sheet:
    """The whole sheet as plain data; raises ValueError for a part of the annex that does not exist."""
    wanted = set(annex)
    if unknown := sorted(wanted - set(ANNEX_PARTS)):
        raise ValueError(
            f"no part of the annex is called {unknown[0]!r}; there are {', '.join(ANNEX_PARTS)}"
        )
    sections: list[Section | None] = [
        map_section(given),
        faces_section(given),
        strip_section(given),
        joints_section(given),
        ringout_section(given),
        power_section(given),
        sign_section(given),
    ]
    if wanted:
        from wiremap.content.annex import PARTS

        sections += [
            made(given) for name, made in PARTS.items() if BELONGS.get(name, name) in wanted
        ]
    return Sheet(head_of(given), tuple(s for s in sections if s is not None))


def head_of(given: Given) -> Head:
    """Identity and standing, for every page."""
    job = given.harness.job
    rung = given.rung_out[0] >= given.rung_out[1] > 0
    stamp = (
        "HOLD"
        if given.held
        else "PAPER IN ORDER, RUNG OUT"
        if rung
        else "PAPER IN ORDER, NOT YET RUNG OUT"
    )
    return Head(
        job.title,
        job.id or "",
        str(job.revision) if job.revision is not None else "",
        job.digest or "none",
        given.surveyed,
        given.rung_out,
        given.held,
        stamp,
        len(given.cautions),
    )
