"""Wire flags to cut out."""

from __future__ import annotations

from wiremap.content.flags import flag_rows, job_mark
from wiremap.content.given import Given
from wiremap.content.pieces import Flag, Flags, Section
from wiremap.content.stages import Page, Stage
from wiremap.content.wire_work import new_as_cut

WHEN = "laid out in this order: each wire gets its two as it is cut"
BEFORE_CUT = "put on by the faces that follow"
THEN_NEW = f"{BEFORE_CUT}; behind them, each as it is cut, the two of every new wire"


def flags_section(given: Given) -> Section:
    """Flags to cut out."""
    mark = job_mark(given)
    when = THEN_NEW if any(new_as_cut(given)) else BEFORE_CUT
    flags = [Flag(f"{row.near} → {row.far}", row.signal, mark) for row in flag_rows(given)]
    return Section(
        key="flags",
        title="Wire flags",
        blocks=(Flags(tuple(flags)),),
        lead=f"Taken out; cut on the lines, fold on the dashes; {WHEN if given.adapter else when}.",
        stop=True,
        cut_up=True,
    )


PAGE = Page(key="flags", stage=Stage.PLACES, make=flags_section, order=1)
