"""Which field of a pin table a column's heading means, in the languages that people write."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from functools import cache
from pkgutil import get_data

import tomli

FIELDS = (
    "cavity",
    "signal",
    "function",
    "flow",
    "volts",
    "amps",
    "size",
    "colour",
    "wire",
    "pair",
    "chain",
    "kbit_s",
    "need",
    "basis",
    "from",
    "to",
    "from_end",
    "to_end",
    "id",
    "notes",
)
# what parts the cells of a table, and how many cells a line of prose does not have; a comma parts
# none between figures (0,75) nor before a space
PARTED = (
    (re.compile(r"\t"), 2),
    (re.compile(r";"), 3),
    (re.compile(r"\|"), 3),
    (re.compile(r"(?<!\d),(?=\S)|,(?=[^\s\d])"), 3),
)

TYPED_ROW = re.compile(r"\s*\d[\d/-]*:\s+\S")


def field_of(heading: str) -> str | None:
    """The field that a heading means, or None."""
    known = _headings()
    field = known.get(folded(heading))
    if field is None:
        field = known.get(folded(re.sub(r"[(\[].*", "", heading)))
    return field


def is_headings(line: str) -> bool:
    """Whether a line of a table names two of its columns or more."""
    fields = {field_of(cell) for cell in re.split(r"[\t;,|]", line)} - {None}
    return len(fields) > 1


def is_table_line(line: str) -> bool:
    """Whether a line is one of a table with columns."""
    if is_typed_row(line):
        return False
    return is_headings(line) or parts_columns(line)


def parts_columns(line: str) -> bool:
    """Whether a line is parted by what parts the cells of a table."""
    return any(len(mark.split(line)) >= least for mark, least in PARTED)


def is_typed_row(line: str) -> bool:
    """Whether a line is a row as typed by hand: `1: +12 always, red`."""
    return bool(TYPED_ROW.match(line))


def is_row_of_plug(line: str) -> bool:
    """Whether a line says what a cavity carries, typed by hand or in a table."""
    return is_typed_row(line) or is_table_line(line)


def folded(text: str) -> str:
    """A heading without accents, marks and case."""
    parts = unicodedata.normalize("NFKD", text)
    bare = "".join(each for each in parts if not unicodedata.combining(each))
    return " ".join(re.sub(r"[^\w#/]+", " ", bare.casefold()).replace("_", " ").split())


@cache
def _headings() -> Mapping[str, str]:
    data = get_data("wiremap.share", "headers.toml")
    assert data is not None
    words: dict[str, str] = {}
    for name, wordings in tomli.loads(data.decode()).items():
        for wording in wordings:
            words.setdefault(folded(wording), name)
    return words
