"""Writing values as YAML text that every reader takes as it is meant.

Every text that a YAML 1.1 or 1.2 reader would take for something else is quoted, so that other
tools read the file as it is meant.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterable, Mapping

from wiremap.base import only
from wiremap.files.source import HIDDEN
from wiremap.model import Span

Pair = tuple[str, str]

PLAIN_TO = 1e15  # from here on floats tell whole numbers no more
_PLAIN = re.compile(r"[^\W_][\w ./()°²+-]*")
_PLAIN_KEY = re.compile(r"[^\W_][\w./+-]*")
_MISREAD = re.compile(
    r"y|n|yes|no|on|off|true|false|null|~"  # words
    r"|[-+]?[0-9][0-9_]*(?:\.[0-9_]*)?(?:e[-+]?[0-9]+)?|[-+]?\.[0-9_]+(?:e[-+]?[0-9]+)?"
    r"|[-+]?0[box][0-9a-f_]+|[-+]?[0-9][0-9_]*(?::[0-5]?[0-9])+(?:\.[0-9_]*)?|[-+]?\.inf|\.nan"
    r"|[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}.*",
    re.IGNORECASE,
)
_COUNT = re.compile(r"0|[1-9][0-9]*", re.ASCII)


def quoted(text: str) -> str:
    """A text in double quotes, with everything escaped that must be."""
    return json.dumps(text, ensure_ascii=False)


def word(text: str) -> str:
    """A text, plain where every YAML reader takes it as text, in quotes otherwise."""
    plain = _PLAIN.fullmatch(text) and not text.endswith(" ") and not _MISREAD.fullmatch(text)
    return text if plain else quoted(text)


def cell(text: str) -> str:
    """A cavity's name: plain numbers stay plain."""
    return text if _COUNT.fullmatch(text) else word(text)


def key(text: str) -> str:
    """A key that the user has chosen."""
    if _COUNT.fullmatch(text) or (_PLAIN_KEY.fullmatch(text) and not _MISREAD.fullmatch(text)):
        return text
    return quoted(text)


def figure(value: float) -> str:
    """A number with all its digits, whole ones without a point; infinite ohms are `open`."""
    if math.isinf(value):
        return "open"
    return str(int(value)) if value == int(value) and abs(value) < PLAIN_TO else repr(value)


def flag(value: bool) -> str:  # noqa: FBT001
    """`true` or `false`."""
    return "true" if value else "false"


def comment(text: str) -> str:
    """A text made fit to stand behind `# ` on one line."""
    on_one_line = re.sub(r"[\n\r\t]", " ", text)
    return HIDDEN.sub("?", on_one_line).strip()


def flow(pairs: Iterable[Pair]) -> str:
    """Pairs in braces."""
    return "{" + ", ".join(f"{name}: {value}" for name, value in pairs) + "}"


def row(items: Iterable[str]) -> str:
    """Items in square brackets."""
    return "[" + ", ".join(items) + "]"


def words(texts: Iterable[str]) -> str:
    """Texts in square brackets."""
    return row(map(word, texts))


def cells(names: Iterable[str]) -> str:
    """Names of cavities in square brackets."""
    return row(map(cell, names))


def one_or_cells(names: tuple[str, ...]) -> str:
    """One name alone, or several in square brackets."""
    alone = only(names)
    return cells(names) if alone is None else cell(alone)


def texts(named: Mapping[str, str]) -> str:
    """Free keys with a text each."""
    return flow((key(name), word(text)) for name, text in named.items())


def span(value: Span) -> str:
    """A number or a band."""
    return figure(value.low) if value.exact else row((figure(value.low), figure(value.high)))
