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
