"""The cells and rows of a table, and the signs that a spreadsheet takes for a formula."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from wiremap.base import Finding, Place, fault

FIRST_ROW = 1
MAX_ROWS, MAX_COLUMNS, MAX_CELL = 20_000, 100, 2000
MAX_CELLS = 400_000  # that are filled in, of a workbook
OVER_LIMIT = (
    f"more than {MAX_ROWS:,} rows, {MAX_COLUMNS} columns or {MAX_CELL:,} characters in a cell"
)
FORMULA_SIGNS = "=+\\-@\t\r\n＝＋－＠"  # what a spreadsheet takes for the start of a formula
CELL_START = r"(^|[;\t])(\s*)"  # also where a table is opened with another separator
UNSAFE = re.compile(rf"{CELL_START}(?=[{FORMULA_SIGNS}'])")
MADE_SAFE = re.compile(rf"{CELL_START}'(?=[{FORMULA_SIGNS}'])")


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell as text; `damage` says what a spreadsheet has made of it (`a date`), else empty."""

    text: str
    damage: str = ""


class CellRow(NamedTuple):
    """A row's number as a spreadsheet shows it, and its cells."""

    number: int
    cells: tuple[Cell, ...]

    def at(self, column: int | None) -> Cell:
        """The cell of a column, counted from 0; an empty one where the row is too short."""
        if column is None or column >= len(self.cells):
            return Cell("")
        return self.cells[column]

    def words(self) -> str:
        """All that stands in the row."""
        return " ".join(cell.text for cell in self.cells if cell.text)


@dataclass(frozen=True, slots=True)
class CellTable:
    """The rows of a table, and what was assumed in reading them; or why it could not be read."""

    rows: tuple[CellRow, ...]
    assumed: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    sheet: str = ""  # its title, where a workbook has several


def refused_table(
    path: Path, rule: str, message: str, fix: str, *, row: int = FIRST_ROW
) -> CellTable:
    """A table that could not be read."""
    return CellTable((), (), (fault(rule, message, Place(path.as_posix(), row), fix=fix),))


def too_large_table(path: Path, number: int) -> CellTable:
    """A table refused for a row beyond the limits."""
    return refused_table(
        path, "over-limit", f"row {number}: {OVER_LIMIT}", "Cut the table down to the pin list."
    )


def is_beyond_limits(number: int, texts: list[str]) -> bool:
    """Whether a row is beyond the limits."""
    if number > MAX_ROWS or len(texts) > MAX_COLUMNS:
        return True
    return any(len(text) > MAX_CELL for text in texts)


def one_line(text: str) -> str:
    """A cell's text without line breaks and without blanks around it."""
    return re.sub(r"[\t\r\n]+", " ", text).strip(" \u00a0")


def formula_safe(text: str) -> str:
    """A cell that no spreadsheet takes for a formula: an apostrophe stands before a sign.

    A semicolon within it may part the cell where another separator is usual, so what follows one is
    made safe too.
    """
    return UNSAFE.sub(r"\1\2'", text)


def without_apostrophes(text: str) -> str:
    """A cell as it was before `formula_safe`."""
    return MADE_SAFE.sub(r"\1\2", text)
