"""A table file as rows of text: CSV of any dialect people really save, or a workbook; nothing is retyped."""

from __future__ import annotations

import csv
import io
import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from wiremap.base import Finding, Place, fault
from wiremap.files.source import HIDDEN
from wiremap.share.limits import MAX_MEMBER, MAX_MEMBERS, MAX_RATIO, MAX_TOTAL

MAX_BYTES, MAX_ROWS, MAX_COLUMNS, MAX_CELL = 5 * 2**20, 20_000, 100, 2000
TRIGGERS = "=+-@\t\r\n"
DATE_FORMAT = re.compile(r"[dmyh]", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell as text; `damage` says what a spreadsheet has done to it."""

    text: str
    damage: str = ""


@dataclass(frozen=True, slots=True)
class Rows:
    """The rows of a table with their numbers as a spreadsheet shows them, and what was assumed in reading them."""

    rows: tuple[tuple[int, tuple[Cell, ...]], ...]
    assumed: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()


def neutral(text: str) -> str:
    """A cell that no spreadsheet takes for a formula: a leading sign gets an apostrophe before it."""
    return "'" + text if (text[:1] in TRIGGERS and text) or text.startswith("'") else text


def restored(text: str) -> str:
    """The text behind such an apostrophe."""
    return (
        text[1:]
        if len(text) > 1 and text[0] == "'" and (text[1] in TRIGGERS or text[1] == "'")
        else text
    )


def read_rows(path: Path) -> Rows:
    """The rows of a CSV, TSV or workbook file."""
    try:
        with open(path, "rb") as file:
            data = file.read(MAX_BYTES + 1) if path.is_file() else b""
        if not path.is_file():
            return _refused(path, "not-a-file", "this is not a file", "Name the table itself.")
    except OSError as error:
        if path.is_dir():
            return _refused(
                path, "not-a-file", "this is a folder, not a file", "Name the table itself."
            )
        return _refused(
            path, "no-such-file", (error.strerror or "it cannot be read").lower(), "Check the name."
        )
    if len(data) > MAX_BYTES:
        return _refused(
            path,
            "over-limit",
            f"the table is larger than {MAX_BYTES // 2**20} MiB",
            "Save the one sheet alone.",
        )
    if data.startswith(b"PK"):
        return _workbook(path, data)
    return _text(path, data)


def _refused(path: Path, rule: str, message: str, fix: str) -> Rows:
    return Rows((), (), (fault(rule, message, Place(path.as_posix()), fix=fix),))


def _text(path: Path, data: bytes) -> Rows:
    text, how = _decoded(data)
    if "\x00" in text:
        return _refused(
            path, "not-text", "this is neither a text table nor a workbook", "Save it as CSV."
        )
    hidden = HIDDEN.search(text) or re.search("\ufffd", text)
    if hidden:
        line = text.count("\n", 0, hidden.start()) + 1
        return Rows(
            (),
            (),
            (
                fault(
                    "hidden-character",
                    f"row {line} holds a hidden or spoilt character: U+{ord(hidden.group()):04X}",
                    Place(path.as_posix(), line),
                    fix="Delete it; retyping the cell is the surest way.",
                ),
            ),
        )
    mark, why = _separator(text)
    rows: list[tuple[int, tuple[Cell, ...]]] = []
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
    try:
        for row in reader:
            if (
                len(rows) >= MAX_ROWS
                or len(row) > MAX_COLUMNS
                or any(len(c) > MAX_CELL for c in row)
            ):
                return _refused(
                    path,
                    "over-limit",
                    f"row {reader.line_num}: more than {MAX_ROWS:,} rows, {MAX_COLUMNS} columns or "
                    f"{MAX_CELL:,} characters in a cell",
                    "Cut the table down to the pin list.",
                )
            rows.append((reader.line_num, tuple(Cell(restored(_one_line(c))) for c in row)))
    except csv.Error as error:
        return _refused(
            path,
            "wrong-table",
            f"row {reader.line_num} cannot be read: {error}",
            "Look for a quote that is not closed.",
        )
    return Rows(tuple(r for r in rows if any(c.text for c in r[1])), (how, why))


def _one_line(text: str) -> str:
    return re.sub(r"[\t\r\n]+", " ", text).strip(" \u00a0")


def _decoded(data: bytes) -> tuple[str, str]:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", errors="replace"), "saved as UTF-16"
    try:
        return data.decode("utf-8-sig"), "saved as UTF-8"
    except UnicodeDecodeError:
        return data.decode(
            "cp1252", errors="replace"
        ), "saved in an older code page, taken as Windows-1252: check the accents"


def _separator(text: str) -> tuple[str, str]:
    """Tab, semicolon or comma: whichever parts the most rows alike."""
    lines = [line for line in text.splitlines()[:50] if line.strip()]
    names = {"\t": "tabs", ";": "semicolons", ",": "commas"}
    scored = []
    for i, mark in enumerate("\t;,"):
        counts = [len(next(csv.reader([line], delimiter=mark), [])) for line in lines]
        most = max(set(counts), key=lambda n: (counts.count(n), n)) if counts else 1
        scored.append((counts.count(most) if most > 1 else 0, -i, mark))
    mark = max(scored)[2]
    return mark, f"columns parted by {names[mark]}"


# -- workbooks -----------------------------------------------------------------------------------------


def _workbook(path: Path, data: bytes) -> Rows:
    try:
        import openpyxl
    except ImportError:
        return _refused(
            path,
            "no-workbook-reader",
            "workbooks need the optional reader",
            "pip install 'wiremap[excel]', or save as CSV.",
        )
    if why := _bomb(data):
        return _refused(
            path, "unfit-workbook", f"this workbook is refused: {why}", "Save the one sheet as CSV."
        )
    try:
        book, formulas = (
            openpyxl.load_workbook(
                io.BytesIO(data), read_only=True, data_only=values, keep_links=False
            )
            for values in (True, False)
        )
        sheet = book.worksheets[0]
        rows = list(_cells(sheet, formulas.worksheets[0]))
        assumed = [f"read from the sheet {sheet.title!r}"] + (
            [f"{len(book.worksheets) - 1} further sheets not read"]
            if len(book.worksheets) > 1
            else []
        )
    except Exception as error:  # a hostile workbook may raise anything at all from the reader
        return _refused(
            path,
            "wrong-table",
            f"this workbook cannot be read ({type(error).__name__})",
            "Save the one sheet as CSV.",
        )
    return _fit(path, rows, tuple(assumed))


def _fit(path: Path, rows: list[tuple[int, tuple[Cell, ...]]], assumed: tuple[str, ...]) -> Rows:
    """The rows of a workbook, unless one of them is beyond what is read here."""
    for number, cells in rows:
        if (
            number > MAX_ROWS
            or len(cells) > MAX_COLUMNS
            or any(len(c.text) > MAX_CELL for c in cells)
        ):
            return _refused(
                path,
                "over-limit",
                f"row {number}: more than {MAX_ROWS:,} rows, {MAX_COLUMNS} columns or {MAX_CELL:,} characters in a cell",
                "Cut the table down to the pin list.",
            )
        for cell in cells:
            if hidden := HIDDEN.search(cell.text):
                said = f"row {number} holds a hidden character: U+{ord(hidden.group()):04X}"
                return _refused(
                    path,
                    "hidden-character",
                    said,
                    "Delete it; retyping the cell is the surest way.",
                )
    return Rows(tuple(rows), assumed)


def _bomb(data: bytes) -> str:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            infos = archive.infolist()
            if len(infos) > MAX_MEMBERS:
                return f"it holds more than {MAX_MEMBERS} parts"
            total = 0
            for info in infos:
                size = 0
                with archive.open(info) as part:
                    while chunk := part.read(65536):
                        size, total = size + len(chunk), total + len(chunk)
                        if b"<!ENTITY" in chunk or b"<!DOCTYPE" in chunk:
                            return "it declares entities of its own"
                        if (
                            size > MAX_MEMBER
                            or total > MAX_TOTAL
                            or size > MAX_RATIO * max(info.compress_size, 1000)
                        ):
                            return "it expands too far"
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, OSError, ValueError):
        return "it is no sound workbook"
    return ""


def _cells(sheet: Any, formulas: Any) -> Iterator[tuple[int, tuple[Cell, ...]]]:
    most = {"max_row": MAX_ROWS + 1, "max_col": MAX_COLUMNS + 1}
    for number, (row, written) in enumerate(
        zip(sheet.iter_rows(**most), formulas.iter_rows(**most), strict=True), 1
    ):
        cells = tuple(_cell(c, w.value) for c, w in zip(row, written, strict=True))
        while cells and not cells[-1].text:
            cells = cells[:-1]
        if cells:
            yield number, cells


def _cell(cell: Any, written: Any) -> Cell:
    value, form = cell.value, str(getattr(cell, "number_format", "General") or "General")
    if value is None and isinstance(written, str) and written.startswith("="):
        return Cell(_one_line(written), "a formula whose value was not saved")
    if value is None:
        return Cell("")
    if hasattr(value, "isoformat"):
        return Cell(str(value.isoformat())[:10], "a date")
    if isinstance(value, bool):
        return Cell("yes" if value else "no")
    if isinstance(value, int | float):
        whole = isinstance(value, int) or float(value).is_integer()
        text = str(int(value)) if whole else repr(value)
        if whole and re.fullmatch(r"0+", form):
            text = text.zfill(len(form))
        return Cell(
            text, "a number in exponent form" if "E" in form.upper() and form != "General" else ""
        )
    return Cell(restored(_one_line(str(value))))
