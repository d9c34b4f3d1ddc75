"""How the columns of a table may be named, as a call that can be pasted."""

from __future__ import annotations

import re
import shlex
from collections.abc import Sequence

from wiremap.files.wires import BadWire, parse_wire, size_first
from wiremap.share.cells import CellRow
from wiremap.trade.colours import SYSTEM_NAMES

LOOKED_AT = 40  # rows that a guess looks at
TABLE = "TABLE"  # stands for the file in a cure that does not know it
_FIGURE = re.compile(r"\d{1,2}(?:[.,]\d{1,3})?\??")


def naming_call(rows: Sequence[CellRow], *, heads: bool) -> str:
    """The call that names cavity, signal and what further columns look like.

    With `heads` the first row holds headings, and columns are named by them; else by number.
    """
    body = rows[1 : LOOKED_AT + 1] if heads else rows[:LOOKED_AT]
    names = {"cavity": _named(rows, 0, heads=heads), "signal": _named(rows, 1, heads=heads)}
    for column in range(2, max(len(row.cells) for row in rows)):
        field = looks_like([row.at(column).text.strip() for row in body])
        if field:
            names.setdefault(field, _named(rows, column, heads=heads))
    columns = ",".join(f"{field}={name}" for field, name in names.items())
    return f"wiremap intake {TABLE} --columns {shlex.quote(columns)}"


def in_call(words: str, path: str) -> str:
    """A cure with the table's own name in its call."""
    return words.replace(f"intake {TABLE} ", f"intake {shlex.quote(path)} ")


def has_more(rows: Sequence[CellRow]) -> bool:
    """Whether a column behind the second looks like colours, wires or sizes."""
    width = max((len(row.cells) for row in rows), default=0)
    looked = rows[:LOOKED_AT]
    return any(
        looks_like([row.at(column).text.strip() for row in looked]) for column in range(2, width)
    )


def _named(rows: Sequence[CellRow], column: int, *, heads: bool) -> str:
    head = rows[0].at(column).text.strip() if heads else ""
    return head if head and not re.search(r"[,=]", head) else str(column + 1)


def looks_like(texts: Sequence[str]) -> str:
    """The field that most cells of a column could be; empty where nothing tells."""
    filled = [text for text in texts if text]
    if not filled:
        return ""
    if 2 * sum(_FIGURE.fullmatch(text) is not None for text in filled) > len(filled):
        return "size"
    if 2 * sum(map(_is_wire, filled)) > len(filled):
        return "colour" if not any(any(map(str.isdigit, text)) for text in filled) else "wire"
    return ""


def _is_wire(text: str) -> bool:
    """Whether a text names a colour by anybody's letters, its size before or behind it."""
    turned = size_first(text)
    for letters in (None, *SYSTEM_NAMES):
        parsed = parse_wire(turned, letters, None)
        if not isinstance(parsed, BadWire) and parsed.colour is not None:
            return True
    return False
