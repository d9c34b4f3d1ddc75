"""A table of pins becomes a pinout, a from/to list a job; nothing dropped, no view guessed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from wiremap.base import Place, fault, only
from wiremap.share.cells import FIRST_ROW, CellTable
from wiremap.share.column_hints import in_call, naming_call
from wiremap.share.columns import NoColumns, tell_columns
from wiremap.share.intake_job import take_job
from wiremap.share.intake_pinout import take_pinout
from wiremap.share.names import file_stem
from wiremap.share.read_back import unreadable
from wiremap.share.table import read_tables, text_table
from wiremap.share.taking import Intake, IntakeKind, Taking
from wiremap.trade.colours import Letters

HEADINGS = "Put a line above it that names its columns: Pin; Signal; Colour; Size"
PASTED = "pasted"  # stands for the path of a table without a file


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldOfTable:
    """What a person says of a table: its columns, whose colour letters, the title.

    `columns` maps fields to headings or to column numbers from 1, where the headings do not tell.
    `in_talk` says that it is told in a talk or on a page, where nobody types options.
    """

    columns: Mapping[str, str] = field(default_factory=dict)
    letters: Letters | None = None
    title: str | None = None
    in_talk: bool = False


def intake(
    path: Path | str,
    *,
    columns: Mapping[str, str] | None = None,
    letters: Letters | None = None,
    title: str | None = None,
    in_talk: bool = False,
) -> Intake:
    """Read a table file; a workbook's sheets each become files of their own.

    With `in_talk` what was assumed is told without the options of a call.
    """
    path = Path(path)
    told = ToldOfTable(columns=columns or {}, letters=letters, title=title, in_talk=in_talk)
    tables = read_tables(path)
    alone = only(tables)
    if alone is not None:
        return _taken_in(path, alone, told)
    return _sheets(path, tables, told)


def intake_pasted(text: str, told: ToldOfTable) -> Intake:
    """Read a table that was pasted, as it comes from a spreadsheet or a page."""
    return _taken_in(Path(PASTED), text_table(Path(PASTED), text.encode()), told, pasted=True)


def _sheets(path: Path, tables: Sequence[CellTable], told: ToldOfTable) -> Intake:
    """Every sheet that is a table; one that cannot be taken in is told as assumed.

    Where none can, it is the first one's faults that count.
    """
    taken = [(table, _taken_in(path, table, told)) for table in tables]
    good = [(table, each) for table, each in taken if not each.findings]
    if not good:
        (_, first), *_ = taken
        return first
    files: dict[str, str] = {}
    assumed: list[str] = []
    for table, each in taken:
        lead = f"sheet {table.sheet!r}"
        if each.findings:
            assumed.append(f"{lead} is not taken in: {each.findings[0].message}")
            continue
        assumed += [f"{lead}: {words}" for words in each.assumed]
        for name, text in each.files.items():
            files[_free_name(name, table.sheet, files)] = text
    kinds = {each.kind for _, each in good}
    kind = only(kinds) or IntakeKind.SEVERAL
    (_, first), *_ = good
    return Intake(kind, files, tuple(assumed), pinout=first.pinout)


def _free_name(name: str, sheet: str, taken: Mapping[str, str]) -> str:
    """A name that no other sheet's file bears."""
    if name not in taken:
        return name
    return f"{file_stem(sheet)}-{name}"


def _taken_in(path: Path, table: CellTable, told: ToldOfTable, *, pasted: bool = False) -> Intake:
    here = path.as_posix()
    if table.findings:
        return Intake(IntakeKind.NOTHING, findings=table.findings)
    if not table.rows:
        empty = fault("empty-file", "the table holds no rows", Place(here))
        return Intake(IntakeKind.NOTHING, findings=(empty,))
    assumed = [each for each in table.assumed if each]
    try:
        columns = tell_columns(table.rows, told.columns)
    except NoColumns as refusal:
        place = Place(here, refusal.row)
        fix = HEADINGS if told.in_talk else in_call(refusal.fix, "-" if pasted else here)
        finding = fault(refusal.rule, str(refusal), place, fix=fix)
        return Intake(IntakeKind.NOTHING, assumed=tuple(assumed), findings=(finding,))
    assumed += columns.assumed
    if columns.unnamed:
        has_file = not (pasted or told.in_talk)
        call = in_call(naming_call(table.rows, heads=False), here) if has_file else ""
        cure = f"to name them: {call}" if call else "a line of headings above it names them"
        assumed.append(f"the other columns stay remarks; {cure}")
    taking = Taking(
        path=path,
        table=table,
        columns=columns,
        letters=told.letters,
        title=told.title or table.sheet or path.stem,
        assumed=assumed,
        in_talk=told.in_talk,
    )
    return _files_of(taking)


def _files_of(taking: Taking) -> Intake:
    """The files that a table with known columns becomes; a fault if we could not read them."""
    taking.settle_letters()
    taken = take_job(taking) if taking.is_list else take_pinout(taking)
    wrong = unreadable(taken.files)
    if wrong:
        words = f"what this table says cannot stand in a file of ours: {wrong}"
        taking.wrong(
            "intake-unreadable", words, FIRST_ROW, "Correct the table, and take it in again."
        )
        return taking.nothing()
    return taken
