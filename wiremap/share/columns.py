"""Which column of a table holds which field."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from wiremap.share.cells import CellRow
from wiremap.share.column_hints import has_more, naming_call
from wiremap.share.headings import FIELDS, field_of, folded

DESIGNATIONS = frozenset({"designation", "bezeichnung", "benennung", "label", "beteckning"})
LOOK_DEEP = 12  # rows in which headings are looked for
SHORT = 12  # characters that a cavity's name has at most, in a table without headings


class NoColumns(Exception):
    """Why the columns cannot be told: rule, message, row and cure of the fault."""

    def __init__(self, rule: str, message: str, *, row: int = 1, fix: str = "") -> None:
        super().__init__(message)
        self.rule = rule
        self.row = row
        self.fix = fix


@dataclass(frozen=True, kw_only=True)
class Columns:
    """Where the pins begin, how the columns are headed, and which of them holds which field."""

    heads: tuple[str, ...]
    first: int  # index of the first row that is no heading
    field_at: Mapping[str, int]
    assumed: tuple[str, ...]
    unnamed: bool  # further columns have something to say, and no heading names them

    def heading(self, field: str) -> str:
        """The heading over a field, folded; empty where there is none."""
        column = self.field_at.get(field)
        if column is None or column >= len(self.heads):
            return ""
        return folded(self.heads[column])

    def text(self, row: CellRow, field: str) -> str:
        """What a row says in a field."""
        return row.at(self.field_at.get(field)).text.strip()

    def columns_of(self, fields: Iterable[str]) -> set[int | None]:
        """The columns that hold these fields."""
        return {self.field_at.get(field) for field in fields}

    def unused(self, row: CellRow, *, but: set[int | None]) -> list[str]:
        """What stands in the other columns of a row, each with its heading."""
        found = []
        for column, cell in enumerate(row.cells):
            if not cell.text or column in but:
                continue
            head = self.heads[column] if column < len(self.heads) else ""
            found.append(f"{head or f'column {column + 1}'}: {cell.text}")
        return found


def without_plug_name(columns: Columns, rows: Sequence[CellRow]) -> tuple[Columns, list[str]]:
    """The columns without a name that every row bears beside its function, and what was assumed.

    Such a name is the plug's.
    """
    names = {columns.text(row, "signal") for row in rows}
    functions = {columns.text(row, "function") for row in rows}
    if columns.heading("signal") not in DESIGNATIONS or len(names) != 1 or "" in names:
        return columns, []
    if "" in functions or len(functions) < 2:
        return columns, []
    field_at = {field: at for field, at in columns.field_at.items() if field != "signal"}
    told = f"`{names.pop()}` in every row names the plug, not a contact: the function tells each"
    return replace(columns, field_at=field_at), [told]


def tell_columns(rows: tuple[CellRow, ...], asked: Mapping[str, str]) -> Columns:
    """Tell the columns from the headings and from what was `asked` for; raises NoColumns.

    `asked` maps fields to headings or to column numbers from 1.
    """
    best, told = _headed(rows)
    if best < 0:
        best = _named(rows, asked)
    heads: tuple[str, ...] = ()
    assumed = []
    if best >= 0:
        wordings = _wordings(rows, best)
        heads = tuple(each[0].strip() for each in wordings)
        merged = any(len(each) > 1 for each in wordings)
        for row in rows[: best - int(merged)]:
            assumed.append(f"row {row.number} above the headings is no pin: {row.words()[:200]}")
    chosen: dict[str, int] = {}
    for column, field in sorted(told.items()):
        chosen.setdefault(field, column)
    for field, where in asked.items():
        index = _asked(rows, heads, field, where)
        others = {known: column for known, column in chosen.items() if column != index}
        chosen = others | {field: index}
    bare = best < 0 and not asked and _bare_pair(rows)
    if bare:
        chosen = {"cavity": 0, "signal": 1}
        assumed.append("no headings: first column taken as the cavity, second as the signal")
    if "cavity" not in chosen and not {"from", "to"} <= chosen.keys():
        raise NoColumns(
            "no-cavity-column",
            "no column is headed as the cavity (pin, contact, position ...)",
            row=rows[max(best, 0)].number,
            fix=f"Name it by heading or number, as: {naming_call(rows, heads=_is_head(rows[0]))}",
        )
    return Columns(
        heads=heads,
        first=best + 1,
        field_at=chosen,
        assumed=tuple(assumed),
        unnamed=bare and has_more(rows),
    )


def _headed(rows: tuple[CellRow, ...]) -> tuple[int, dict[int, str]]:
    """The row that reads most like headings, -1 if none does, and the field of each column."""
    best = -1
    told: dict[int, str] = {}
    for index in range(min(len(rows), LOOK_DEEP)):
        found = {}
        for column, wordings in enumerate(_wordings(rows, index)):
            field = next(filter(None, map(field_of, wordings)), None)
            if field:
                found[column] = field
        if len(set(found.values())) >= 2 and len(found) > len(told):
            best, told = index, found
    return best, told


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
    found: list[tuple[str, ...]] = []
    over = ""
    for column in range(max(len(own), len(above))):
        text = own[column] if column < len(own) else ""
        upper = above[column] if column < len(above) else ""
        over = upper or over
        if text:
            found.append((f"{over} {text}", text))
        else:
            found.append((upper,))
    return found


def _named(rows: tuple[CellRow, ...], asked: Mapping[str, str]) -> int:
    """The row that holds every heading that was asked for by name, or -1."""
    named = {folded(where) for where in asked.values() if not where.isdigit()}
    if not named:
        return -1
    for index, row in enumerate(rows[:LOOK_DEEP]):
        if named <= {folded(cell.text) for cell in row.cells}:
            return index
    return -1


def _asked(rows: tuple[CellRow, ...], heads: tuple[str, ...], field: str, where: str) -> int:
    """The column that was asked for by number or heading; raises NoColumns."""
    width = max(len(row.cells) for row in rows)
    if field not in FIELDS:
        known = ", ".join(FIELDS)
        raise NoColumns("unknown-field", f"`{field}` is no field of a table; fields are {known}")
    if where.isdigit() and 1 <= int(where) <= width:
        return int(where) - 1
    fit = [column for column, head in enumerate(heads) if folded(head) == folded(where)]
    if len(fit) == 1:
        return fit[0]
    known = ", ".join(head for head in heads if head) or "none"
    raise NoColumns(
        "no-such-column",
        f"there is no one column {where!r} for {field}",
        fix=f"Headings: {known}; or a number from 1 to {width}.",
    )


def _bare_pair(rows: tuple[CellRow, ...]) -> bool:
    """Whether a table without headings is a list of cavities and signals."""
    firsts = [row.cells[0].text for row in rows if row.cells]
    if len(set(firsts)) != len(firsts) or not all(map(_like_a_cavity, firsts)):
        return False
    return any(row.at(1).text for row in rows)


def _is_head(row: CellRow) -> bool:
    """Whether the first row cannot be a pin: no cell of it holds a digit."""
    return not any(map(str.isdigit, row.words()))


def _like_a_cavity(text: str) -> bool:
    if not 0 < len(text) <= SHORT:
        return False
    return len(text) <= 2 or any(each.isdigit() for each in text)
