"""A pasted table without headings: its columns, and what each of them looks like."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from wiremap.share.column_hints import looks_like
from wiremap.share.columns import is_like_cavity
from wiremap.share.headings import field_of, is_headings, is_typed_row, parts_columns
from wiremap.share.table import text_table

NONE = "-"  # a column that stays a remark
WORDS = {"cavity": "number", "signal": "name"}  # of fields that a person calls otherwise
MOST_SEEN = 3  # cells of a column that are shown
_BLANKS = re.compile(r"\s{2,}")


@dataclass(frozen=True, slots=True)
class Headless:
    """The cells of a table without headings, and by column the field that it looks like."""

    rows: tuple[tuple[str, ...], ...]
    fields: tuple[str, ...]  # NONE where nothing tells

    @property
    def is_plain_list(self) -> bool:
        """Whether it is nothing but cavities and what they carry."""
        return self.fields == ("cavity", "signal")

    @property
    def is_told(self) -> bool:
        """Whether cavity and signal are found among its columns."""
        return {"cavity", "signal"} <= set(self.fields)

    @property
    def guess(self) -> str:
        """What each column looks like, in the words of a person."""
        return ", ".join(WORDS.get(field, field) for field in self.fields)

    def seen(self, column: int) -> str:
        """What stands in the first cells of a column."""
        filled = [row[column] for row in self.rows if row[column]]
        return ", ".join(filled[:MOST_SEEN])

    def headed(self, fields: Sequence[str]) -> list[str]:
        """The lines of the table with a line above that names its columns."""
        heads = ["" if field == NONE else field for field in fields]
        return ["\t".join(cells) for cells in (heads, *self.rows)]


def headless(lines: Sequence[str]) -> Headless | None:
    """The table that lines are; None where headings, rows typed by hand or no columns are."""
    if not lines or any(map(is_headings, lines)) or all(map(is_typed_row, lines)):
        return None
    rows = _cells(lines)
    width = max(map(len, rows), default=0)
    if width < 2:
        return None
    whole = tuple((*row, *[""] * (width - len(row))) for row in rows)
    table = Headless(whole, _fields(whole))
    return table if table.is_told or parts_columns(lines[0]) else None


def fields_named(text: str, table: Headless) -> tuple[str, ...] | str:
    """The fields that a person names for each column, or in words why they are none."""
    words = [word.strip() for word in re.split(r"[,;\t ]+", text.strip())]
    if len(words) != len(table.fields):
        return f"there are {len(table.fields)} columns: name each, as: {table.guess}"
    fields = [NONE if word == NONE else field_of(word) for word in words]
    unknown = next((w for w, field in zip(words, fields, strict=True) if field is None), "")
    if unknown:
        return f"`{unknown}` names no column: number, name, colour, size, function, volts, amps, -"
    named = [field for field in fields if field and field != NONE]
    if len(set(named)) < len(named):
        return "two columns bear one name: `-` for the one that is left out"
    if "cavity" not in named or not {"signal", "function"} & set(named):
        return "number and name are wanted at least"
    return tuple(field or NONE for field in fields)


def _cells(lines: Sequence[str]) -> list[tuple[str, ...]]:
    """The cells of each line, parted by tabs, `;`, `,` or two blanks; else by what they look like.

    A comma within what is told of one contact parts no columns.
    """
    table = text_table(Path("pasted"), "\n".join(lines).encode())
    rows = [tuple(cell.text for cell in row.cells) for row in table.rows]
    if min(map(len, rows), default=0) > 1:
        return rows
    parted = [tuple(_BLANKS.split(line.strip())) for line in lines if line.strip()]
    if min(map(len, parted), default=0) > 1:
        return parted
    return _by_look(lines)


def _by_look(lines: Sequence[str]) -> list[tuple[str, ...]]:
    """Cells parted by one blank alone: the cavity before what it carries, colour and size behind.

    What most lines end with makes columns; a line that ends otherwise leaves them empty.
    """
    words = [line.split() for line in lines if line.strip()]
    behind: list[str] = []  # the fields at the end of the lines, the last one first
    while len(behind) < 2:
        at = len(behind) + 1
        field = looks_like([row[-at] for row in words if len(row) > at + 1])
        if not field or field in behind:
            break
        behind.append(field)
    return [_parted(row, behind) for row in words]


def _parted(row: list[str], behind: Sequence[str]) -> tuple[str, ...]:
    left, ends = row[1:], []
    for field in behind:
        fits = len(left) > 1 and looks_like([left[-1]]) == field
        ends.append(left.pop() if fits else "")
    return (row[0], " ".join(left), *reversed(ends))


def _fields(rows: Sequence[Sequence[str]]) -> tuple[str, ...]:
    """The field that each column looks like: the first that tells contacts apart is the cavity,
    the longest of what is left the signal.
    """
    columns = [[row[at] for row in rows] for at in range(len(rows[0]))]
    fields = [NONE] * len(columns)
    cavity = next((at for at, cells in enumerate(columns) if _is_cavity(cells)), None)
    for at, cells in enumerate(columns):
        look = looks_like(cells)
        if at != cavity and look and look not in fields:
            fields[at] = look
    if cavity is not None:
        fields[cavity] = "cavity"
    left = [at for at, field in enumerate(fields) if field == NONE]
    if left:
        fields[max(left, key=lambda at: sum(map(len, columns[at])))] = "signal"
    return tuple(fields)


def _is_cavity(cells: Sequence[str]) -> bool:
    return len(set(cells)) == len(cells) and all(map(is_like_cavity, cells))
