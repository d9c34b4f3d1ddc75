"""A table file as rows of text: CSV of any dialect that people save, or a workbook."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path

from wiremap.files.filebytes import read_bytes
from wiremap.files.source import HIDDEN
from wiremap.share.cells import (
    FIRST_ROW,
    Cell,
    CellRow,
    CellTable,
    is_beyond_limits,
    one_line,
    refused_table,
    too_large_table,
    without_apostrophes,
)
from wiremap.share.workbook import read_workbook

MAX_BYTES = 5 * 2**20
SPOILT = "\ufffd"  # stands where bytes could not be decoded
SEPARATORS = {"\t": "tabs", ";": "semicolons", ",": "commas"}  # the likelier ones first
DECIMAL = re.compile(r"(?<=\d),(?=\d)")
LOOKED_AT = 50  # lines, to tell what parts the columns


def read_tables(path: Path) -> tuple[CellTable, ...]:
    """The rows of a CSV or TSV file, or of each sheet of a workbook; nothing is retyped."""
    data, faults = read_bytes(path, path.as_posix(), MAX_BYTES, pipes=True)
    if data is None:
        return (CellTable((), findings=faults),)
    if data.startswith(b"PK"):
        return read_workbook(path, data)
    return (text_table(path, data),)


def text_table(path: Path, data: bytes) -> CellTable:
    """The rows of a table that is plain text; `path` is what it is called."""
    text, encoding = _decoded(data)
    if "\x00" in text:
        words = "this is neither a text table nor a workbook"
        return refused_table(path, "not-text", words, "Save it as CSV.")
    hidden = HIDDEN.search(text) or re.search(SPOILT, text)
    if hidden:
        return _hidden_character(path, text, hidden)
    rows: list[CellRow] = []
    mark = _separator(text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
    try:
        for count, texts in enumerate(reader, 1):
            if is_beyond_limits(count, texts):
                return too_large_table(path, reader.line_num)
            cells = tuple(Cell(without_apostrophes(one_line(each))) for each in texts)
            rows.append(CellRow(reader.line_num, cells))
    except csv.Error as error:
        words = f"row {reader.line_num} cannot be read: {error}"
        return refused_table(path, "wrong-table", words, "Look for a quote that is not closed.")
    filled = tuple(row for row in rows if any(cell.text for cell in row.cells))
    return CellTable(filled, (encoding, f"columns parted by {SEPARATORS[mark]}"))


def _hidden_character(path: Path, text: str, hidden: re.Match[str]) -> CellTable:
    """The refusal of a table for one of its characters."""
    line = text[: hidden.start()].count("\n") + FIRST_ROW
    words = f"row {line} holds a hidden or spoilt character: U+{ord(hidden.group()):04X}"
    fix = "Delete it; retyping the cell is the surest way."
    return refused_table(path, "hidden-character", words, fix, row=line)


def _decoded(data: bytes) -> tuple[str, str]:
    """The text, and how it was saved."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", errors="replace"), "saved as UTF-16"
    try:
        return data.decode("utf-8-sig"), "saved as UTF-8"
    except UnicodeDecodeError:
        how = "saved in an older code page, taken as Windows-1252: check the accents"
        return data.decode("cp1252", errors="replace"), how


def _separator(text: str) -> str:
    """Tab, semicolon or comma: whichever parts the most rows alike, and the first one at all."""
    lines = [line for line in text.splitlines()[:LOOKED_AT] if line.strip()]
    first = "".join(lines[:1])
    return max(SEPARATORS, key=lambda mark: (_rows_alike(lines, mark), mark in first))


def _rows_alike(lines: list[str], mark: str) -> int:
    """How many lines a separator parts into the commonest number of columns, if more than one."""
    counts = [len(_parted(_without_decimals(line, mark), mark)) for line in lines]
    commonest = max(set(counts), key=lambda count: (counts.count(count), count), default=1)
    return counts.count(commonest) if commonest > 1 else 0


def _without_decimals(line: str, mark: str) -> str:
    """A line as a separator parts it: beside a stronger one a comma in a figure is a decimal."""
    if mark == "," and (";" in line or "\t" in line):
        return DECIMAL.sub(".", line)
    return line


def _parted(line: str, mark: str) -> list[str]:
    try:
        return next(csv.reader([line], delimiter=mark), [])
    except csv.Error:  # a cell beyond what csv reads
        return []
