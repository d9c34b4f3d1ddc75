"""Which column of a table holds which field."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from wiremap.base import only
from wiremap.share.cells import FIRST_ROW, CellRow
from wiremap.share.column_hints import has_more, naming_call
from wiremap.share.headings import FIELDS, field_of, folded

DESIGNATIONS = frozenset({"designation", "bezeichnung", "benennung", "label", "beteckning"})
LOOK_DEEP = 12  # rows in which headings are looked for
LONGEST_CAVITY = 12  # characters of a cavity's name, in a table without headings


class NoColumns(Exception):
    """Why the columns cannot be told: rule, message, row and cure of the fault."""

    def __init__(self, rule: str, message: str, *, row: int = FIRST_ROW, fix: str = "") -> None:
        super().__init__(message)
        self.rule = rule
        self.row = row
        self.fix = fix


@dataclass(frozen=True, kw_only=True)
class Columns:
    """Where the pins begin, how the columns are headed, and which of them holds which field."""

    heads: tuple[str, ...]
    first: int  # index of the first row that is no heading
    column_of: Mapping[str, int]  # by field, counted from 0
    assumed: tuple[str, ...]
    unnamed: bool  # further columns have something to say, and no heading names them

    def heading(self, field: str) -> str:
        """The heading over a field, folded; empty where there is none."""
        column = self.column_of.get(field)
        if column is None or column >= len(self.heads):
            return ""
        return folded(self.heads[column])

    def text(self, row: CellRow, field: str) -> str:
        """What a row says in a field."""
        return row.at(self.column_of.get(field)).text.strip()

    def columns_of(self, fields: Iterable[str]) -> set[int | None]:
        """The columns that hold these fields."""
        return {self.column_of.get(field) for field in fields}

    def unused(self, row: CellRow, *, but: set[int | None]) -> list[str]:
        """What stands in the other columns of a row, each with its heading."""
        remarks = []
        for column, cell in enumerate(row.cells):
            if not cell.text or column in but:
                continue
            head = self.heads[column] if column < len(self.heads) else ""
            remarks.append(f"{head or f'column {column + 1}'}: {cell.text}")
        return remarks


def without_plug_name(columns: Columns, rows: Sequence[CellRow]) -> tuple[Columns, list[str]]:
    """The columns without that of the signal where it names the plug, and what was assumed.

    It does where every row bears one name and its function beside it.
    """
    names = {columns.text(row, "signal") for row in rows}
    functions = {columns.text(row, "function") for row in rows}
    if columns.heading("signal") not in DESIGNATIONS or len(names) != 1 or "" in names:
        return columns, []
    if "" in functions or len(functions) < 2:
        return columns, []
    column_of = {field: at for field, at in columns.column_of.items() if field != "signal"}
    words = f"`{names.pop()}` in every row names the plug, not a contact: the function tells each"
    return replace(columns, column_of=column_of), [words]


def tell_columns(rows: tuple[CellRow, ...], asked: Mapping[str, str]) -> Columns:
    """Tell the columns from the headings and from what was `asked` for; raises NoColumns.

    `asked` maps fields to headings or to column numbers from 1.
    """
    best, fields = _likest_headings(rows)
    if best is None:
        best = _row_with_headings(rows, asked)
    heads, assumed = ((), []) if best is None else _heads(rows, best)
    column_of: dict[str, int] = {}
    for column, field in sorted(fields.items()):
        column_of.setdefault(field, column)
    for field, where in asked.items():
        index = _asked(rows, heads, field, where)
        others = {known: column for known, column in column_of.items() if column != index}
        column_of = others | {field: index}
    bare = best is None and not asked and _is_list_of_two(rows)
    if bare:
        column_of = {"cavity": 0, "signal": 1}
        assumed.append("no headings: first column taken as the cavity, second as the signal")
    if "cavity" not in column_of and not {"from", "to"} <= column_of.keys():
        raise NoColumns(
            "no-cavity-column",
            "no column is headed as the cavity (pin, contact, position ...)",
            row=rows[best or 0].number,
            fix=f"Name it by heading or number, as: {naming_call(rows, heads=_is_head(rows[0]))}",
        )
    return Columns(
        heads=heads,
        first=0 if best is None else best + 1,
        column_of=column_of,
        assumed=tuple(assumed),
        unnamed=bare and has_more(rows),
    )


def _heads(rows: tuple[CellRow, ...], index: int) -> tuple[tuple[str, ...], list[str]]:
    """The headings in a row, and what is assumed of the rows above it."""
    wordings = _wordings(rows, index)
    heads = tuple(each[0].strip() for each in wordings)
    merged = any(len(each) > 1 for each in wordings)
    assumed = []
    for row in rows[: index - int(merged)]:
        assumed.append(f"row {row.number} above the headings is no pin: {row.words()[:200]}")
    return heads, assumed


def _likest_headings(rows: tuple[CellRow, ...]) -> tuple[int | None, dict[int, str]]:
    """The index of the row that reads most like headings, None if none; its fields by column."""
    best = None
    best_fields: dict[int, str] = {}
    for index in range(min(len(rows), LOOK_DEEP)):
        fields = {}
        for column, wordings in enumerate(_wordings(rows, index)):
            field = next(filter(None, map(field_of, wordings)), None)
            if field:
                fields[column] = field
        if len(set(fields.values())) >= 2 and len(fields) > len(best_fields):
            best, best_fields = index, fields
    return best, best_fields


def _wordings(rows: tuple[CellRow, ...], index: int) -> list[tuple[str, ...]]:
    """What may head each column of a row: with a heading merged over several, by itself.

    A heading that is merged over two rows stands in the upper one alone.
    """
    own = [cell.text for cell in rows[index].cells]
    above = [cell.text for cell in rows[index - 1].cells] if index else []
    if not all(above[: len(own)]) and any(above):
        return _below(own, above)
    return [(text,) for text in own]


def _below(own: list[str], above: list[str]) -> list[tuple[str, ...]]:
    """The wordings of columns whose headings stand in two rows: both together, the lower alone."""
    wordings: list[tuple[str, ...]] = []
    over = ""
    for column in range(max(len(own), len(above))):
        text = own[column] if column < len(own) else ""
        upper = above[column] if column < len(above) else ""
        over = upper or over
        if text:
            wordings.append((f"{over} {text}", text))
        else:
            wordings.append((upper,))
    return wordings


def _row_with_headings(rows: tuple[CellRow, ...], asked: Mapping[str, str]) -> int | None:
    """The index of the row that holds every heading that was asked for by name; None if none."""
    named = {folded(where) for where in asked.values() if not where.isdigit()}
    if not named:
        return None
    for index, row in enumerate(rows[:LOOK_DEEP]):
        if named <= {folded(cell.text) for cell in row.cells}:
            return index
    return None


def _asked(rows: tuple[CellRow, ...], heads: tuple[str, ...], field: str, where: str) -> int:
    """The column that was asked for by number or heading; raises NoColumns."""
    width = max(len(row.cells) for row in rows)
    if field not in FIELDS:
        known = ", ".join(FIELDS)
        raise NoColumns("unknown-field", f"`{field}` is no field of a table; fields are {known}")
    if where.isdigit() and 1 <= int(where) <= width:
        return int(where) - 1
    fit = only(column for column, head in enumerate(heads) if folded(head) == folded(where))
    if fit is not None:
        return fit
    known = ", ".join(head for head in heads if head) or "none"
    raise NoColumns(
        "no-such-column",
        f"there is no one column {where!r} for {field}",
        fix=f"Headings: {known}; or a number from 1 to {width}.",
    )


def _is_list_of_two(rows: tuple[CellRow, ...]) -> bool:
    """Whether a table without headings is a list of cavities and signals."""
    firsts = [row.cells[0].text for row in rows if row.cells]
    if len(set(firsts)) != len(firsts) or not all(map(is_like_cavity, firsts)):
        return False
    return any(row.at(1).text for row in rows)


def _is_head(row: CellRow) -> bool:
    """Whether the first row cannot be a pin: no cell of it holds a digit."""
    return not any(map(str.isdigit, row.words()))


def is_like_cavity(text: str) -> bool:
    """Whether a text is short enough for a cavity's name, and more than a word."""
    if not 0 < len(text) <= LONGEST_CAVITY:
        return False
    return len(text) <= 2 or any(each.isdigit() for each in text)
