"""A table of pins becomes a pinout, a from/to list a job; nothing dropped, no view guessed."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from wiremap.base import Place, fault
from wiremap.share.columns import NoColumns, tell_columns
from wiremap.share.intake_job import take_job
from wiremap.share.intake_pinout import take_pinout
from wiremap.share.read_back import unreadable
from wiremap.share.table import read_table
from wiremap.share.taking import Intake, Taking
from wiremap.trade.colours import Letters


def intake(
    path: Path | str,
    *,
    columns: Mapping[str, str] | None = None,
    letters: Letters | None = None,
    title: str | None = None,
) -> Intake:
    """Read a table.

    `columns` maps fields to headings or to column numbers from 1, where the headings do not
    tell; `letters` says whose colour letters the table uses.
    """
    path = Path(path)
    here = path.as_posix()
    table = read_table(path)
    if table.findings:
        return Intake("nothing", findings=table.findings)
    if not table.rows:
        empty = fault("empty-file", "the table holds no rows", Place(here))
        return Intake("nothing", findings=(empty,))
    assumed = [each for each in table.assumed if each]
    try:
        told = tell_columns(table.rows, columns or {})
    except NoColumns as none:
        found = fault(none.rule, str(none), Place(here, none.row), fix=none.fix)
        return Intake("nothing", assumed=tuple(assumed), findings=(found,))
    taking = Taking(
        path=path,
        table=table,
        columns=told,
        letters=letters,
        title=title or path.stem,
        assumed=[*assumed, *told.assumed],
    )
    taken = take_job(taking) if taking.is_list else take_pinout(taking)
    wrong = unreadable(taken.files)
    if wrong:
        words = f"what this table says cannot stand in a file of ours: {wrong}"
        taking.wrong("intake-unreadable", words, 1, "Correct the table, and take it in again.")
        return taking.nothing()
    return taken
