"""The sheets of a workbook as rows of text, counted while it is expanded."""

from __future__ import annotations

import io
import math
import re
import zipfile
from collections.abc import Iterator
from dataclasses import replace
from itertools import dropwhile
from pathlib import Path
from typing import Any

from wiremap.base import only, visible
from wiremap.files.source import HIDDEN
from wiremap.share.cells import (
    MAX_CELLS,
    MAX_COLUMNS,
    MAX_ROWS,
    Cell,
    CellRow,
    CellTable,
    is_beyond_limits,
    one_line,
    refused_table,
    too_large_table,
    without_apostrophes,
)
from wiremap.share.limits import BROKEN_ZIP, MAX_MEMBER, MAX_MEMBERS, MAX_RATIO, MAX_TOTAL

READ = {"max_row": MAX_ROWS + 1, "max_col": MAX_COLUMNS + 1}  # one beyond each limit, which refuses
AS_CSV = "Save the one sheet as CSV."
MAX_SHEETS = 20
SMALLEST = 1000  # bytes; a part that is packed smaller may expand as one of this size
DECLARATIONS = (b"<!ENTITY", b"<!DOCTYPE")
NUMBER_CELL = re.compile(  # a cell that holds no text, and its value
    rb"<(?:\w+:)?c\b(?![^<>]*\bt=[\"'](?:s|str|inlineStr|b|e|d)[\"'])[^<>]*>\s*"
    rb"(?:<(?:\w+:)?f\b[^<>]*(?:/>|>[^<]*</(?:\w+:)?f>)\s*)?<(?:\w+:)?v>([^<]*)<"
)
NUMBER = re.compile(rb"[+-]?\d+(?:\.\d*)?(?:[eE][+-]?\d+)?")
SHOWN = 40  # characters of such a number
EXPONENT_FORM = "a number in exponent form"


def read_workbook(path: Path, data: bytes) -> tuple[CellTable, ...]:
    """The rows of each sheet that holds any; formulas are read as the values saved with them."""
    try:
        import openpyxl  # optional: only workbooks need it
    except ImportError:
        words = "workbooks need the optional reader"
        fix = "pip install 'wiremap[excel]', or save as CSV."
        return (refused_table(path, "no-workbook-reader", words, fix),)
    unfit = _why_unfit(data)
    if unfit:
        words = f"this workbook is refused: {unfit}"
        return (refused_table(path, "unfit-workbook", words, AS_CSV),)
    try:
        book = _opened(openpyxl, data, values=True)
        formulas = _opened(openpyxl, data, values=False)
        sheets = list(_sheets(book, formulas))
    except OverflowError as error:
        return (
            refused_table(path, "over-limit", str(error), "Cut the table down to the pin list."),
        )
    except Exception:  # a hostile workbook may raise anything at all from the reader
        words = "this workbook cannot be read: it is damaged, or departs from the form"
        return (refused_table(path, "wrong-table", words, AS_CSV),)
    if not sheets:
        return (refused_table(path, "wrong-table", "this workbook holds no sheet", AS_CSV),)
    filled = [(title, rows) for title, rows in sheets if rows] or sheets[:1]
    alone = only(filled)
    if alone is not None:
        title, rows = alone
        return (_within_limits(path, rows, title),)
    return tuple(replace(_within_limits(path, rows, title), sheet=title) for title, rows in filled)


def _opened(openpyxl: Any, data: bytes, *, values: bool) -> Any:
    return openpyxl.load_workbook(
        io.BytesIO(data), read_only=True, data_only=values, keep_links=False
    )


def _within_limits(path: Path, rows: list[CellRow], title: str) -> CellTable:
    """The rows, unless one of them is beyond what is read here."""
    for row in rows:
        if is_beyond_limits(row.number, [cell.text for cell in row.cells]):
            return too_large_table(path, row.number)
        for cell in row.cells:
            hidden = HIDDEN.search(cell.text)
            if hidden:
                code = f"U+{ord(hidden.group()):04X}"
                words = f"row {row.number} holds a hidden character: {code}"
                fix = "Delete it; retyping the cell is the surest way."
                return refused_table(path, "hidden-character", words, fix)
    return CellTable(tuple(rows), (f"read from the sheet {title!r}",))


def _why_unfit(data: bytes) -> str:
    """Why a workbook is not handed to the reader, or nothing."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            infos = archive.infolist()
            if len(infos) > MAX_MEMBERS:
                return f"it holds more than {MAX_MEMBERS} parts"
            return _unfit_part(archive, infos)
    except BROKEN_ZIP:
        return "it is no sound workbook"


def _unfit_part(archive: zipfile.ZipFile, infos: list[zipfile.ZipInfo]) -> str:
    """Why the first unfit part of a workbook is so, or nothing."""
    left = MAX_TOTAL
    for info in infos:
        most = min(MAX_MEMBER, MAX_RATIO * max(info.compress_size, SMALLEST), left)
        with archive.open(info) as part:
            data = part.read(most + 1)
        if len(data) > most:
            return "it expands too far"
        left -= len(data)
        letters = data.replace(b"\x00", b"")  # of UTF-16 as of UTF-8
        if any(declaration in letters for declaration in DECLARATIONS):
            return "it declares entities of its own"
        odd = _odd_number(data)
        if odd:
            return f"it holds `{visible(odd)}` as a number"
    return ""


def _odd_number(data: bytes) -> str:
    """The first number of a sheet that would be read as another one, as it is written."""
    for cell in NUMBER_CELL.finditer(data):
        text = cell[1].strip()
        if text and not _plain_number(text):
            return text[:SHOWN].decode("utf-8", "replace")
    return ""


def _plain_number(text: bytes) -> bool:
    """Whether a number is written as spreadsheets do and is no less than can be told from 0."""
    if not NUMBER.fullmatch(text):
        return False
    return float(text) != 0 or not re.search(rb"[1-9]", text.lower().partition(b"e")[0])


def _sheets(book: Any, formulas: Any) -> Iterator[tuple[str, list[CellRow]]]:
    """The title and the rows of each sheet; the limit of cells is that of all of them."""
    if len(book.worksheets) > MAX_SHEETS:
        raise OverflowError(f"more than {MAX_SHEETS} sheets")
    left = MAX_CELLS
    for sheet, written in zip(book.worksheets, formulas.worksheets, strict=True):
        rows = list(_rows(sheet, written, left))
        left -= sum(len(row.cells) for row in rows)
        yield str(sheet.title), rows


def _rows(sheet: Any, formulas: Any, most_cells: int) -> Iterator[CellRow]:
    from openpyxl.cell.read_only import EMPTY_CELL  # optional, as above

    both = zip(sheet.iter_rows(**READ), formulas.iter_rows(**READ), strict=True)
    held = 0
    for number, (row, written) in enumerate(both, 1):
        if all(cell is EMPTY_CELL for cell in (*row, *written)):
            continue  # a row without cells, which the file holds only for its number
        held += sum(hasattr(cell, "coordinate") for cell in row)
        if held > most_cells:
            raise OverflowError(f"more than {MAX_CELLS:,} cells")
        cells = [_cell(cell, source.value) for cell, source in zip(row, written, strict=True)]
        filled = [*dropwhile(lambda cell: not cell.text, reversed(cells))]
        if filled:
            yield CellRow(number, tuple(reversed(filled)))


def _cell(cell: Any, written: Any) -> Cell:
    """A cell's value as text; `written` is the formula behind it, if one is."""
    value = cell.value
    if value is None:
        if isinstance(written, str) and written.startswith("="):
            return Cell(one_line(written), "a formula whose value was not saved")
        return Cell("")
    if hasattr(value, "isoformat"):
        return Cell(str(value.isoformat())[:10], "a date")
    if isinstance(value, bool):
        return Cell(str(value).upper())  # as a spreadsheet shows it
    if isinstance(value, int | float):
        return _number_cell(value, str(getattr(cell, "number_format", None) or "General"))
    return Cell(without_apostrophes(one_line(str(value))))


def _number_cell(value: float, form: str) -> Cell:
    """A number as it is shown: leading zeros by its format `form`, exponents told as damage."""
    if not math.isfinite(value):
        return Cell(str(value), "a number without end")
    text = repr(value)
    if float(value).is_integer():
        text = str(int(value))
        if re.fullmatch(r"0+", form):
            text = text.zfill(len(form))
    if "E" in form.upper() and form != "General":
        return Cell(text, EXPONENT_FORM)
    return Cell(text)
