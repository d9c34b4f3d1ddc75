"""Wire flags to cut out."""

from __future__ import annotations

from wiremap.content.flags import flag_rows, job_mark
from wiremap.content.given import Given
from wiremap.content.pieces import Flag, Flags, Section
from wiremap.content.stages import Page, Stage


def flags_section(given: Given) -> Section:
    """Flags to cut out."""
    mark = job_mark(given)
    flags = [Flag(f"{row.near} → {row.far}", row.signal, mark) for row in flag_rows(given)]
    when = "at both ends of each wire as it is cut" if given.adapter else "before the cut"
    return Section(
        key="flags",
        title="Wire flags",
        blocks=(Flags(tuple(flags)),),
        lead=f"Cut on the lines, fold on the dashes; put on {when}.",
        fresh=False,
    )


PAGE = Page(key="flags", stage=Stage.LAY_OUT, make=flags_section, order=5)
