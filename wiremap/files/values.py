"""Kinds of values: how each is read from a file, and how it is written into one.

A table names the keys of one record with the kind of value behind each; reading and writing go by
the same table, so that a new key is one line.  The tables are held against the JSON Schemas, which
serve editors, by a test: a reader run over a table types and checks in one pass, keeps the figure
for large jobs, and can say what was most likely meant.
"""

from __future__ import annotations

import datetime
import re
import unicodedata
from collections.abc import Callable, Iterator, Mapping
from dataclasses import MISSING, dataclass, fields
from enum import StrEnum
from functools import cache
from types import MappingProxyType
from typing import Any

from wiremap.files import yamltext
from wiremap.files.faults import GLUED, Faults, empty, listed, shape_hint, told
from wiremap.files.hints import short
from wiremap.files.strict import Map, Node, Scalar, Seq
from wiremap.files.yamltext import Pair
from wiremap.model import OPEN, Address, Span, frozen

MAX_NAME = 200
MAX_TEXT = 4000
LONGEST_NUMBER = 40  # characters
_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?", re.ASCII)
_WITH_UNIT = re.compile(r"([+-]?\d+(?:[.,]\d+)?)\s*([^\d\s].*)", re.ASCII)
_FROM_TO = re.compile(
    r"([+-]?\d+(?:[.,]\d+)?)\s*(?:to|bis|[-\u2013/]|\.{2,3})\s*(\d+(?:[.,]\d+)?)\s*[^\d\s]*"
)

Read = Callable[[Faults, Node, str], Any]
Write = Callable[[Any], str]


@dataclass(frozen=True, slots=True)
class FileValue:
    """One kind of value: how it is read (None: it was faulty), and how it is written."""

    read: Read
    write: Write = str


Table = Mapping[str, FileValue]
NOTHING: Mapping[str, Any] = MappingProxyType({})


# -- records --------------------------------------------------------------------------------------


def read_map(
    faults: Faults, node: Node, table: Table, what: str, required: tuple[str, ...] = ()
) -> dict[str, Any]:
    """The typed values of a map's known keys; unknown keys and missing values or keys are noted."""
    if node.__class__ is not Map:
        message = f"{what} must be keys with values, not {told(node)}"
        faults.add("wrong-value", message, node, shape_hint(node))
        return {}
    values: dict[str, Any] = {}
    for key, (key_node, value) in node.entries.items():
        kind = table.get(key)
        if kind is None:
            unknown_key(faults, key_node, table)
        elif empty(value):
            _no_value(faults, key_node, value)
        else:
            got = kind.read(faults, value, key)
            if got is not None:
                values[key] = got
    for key in required:
        if key not in node.entries:
            faults.add("missing-key", f"{what} lacks `{key}`", node, f"Add `{key}: ...`.")
    return values


def _no_value(faults: Faults, key: Scalar, value: Node) -> None:
    faults.add(
        "missing-value",
        f"`{key.text}` has no value",
        value if value.line > key.line else key,
        "Write a value or delete the key; a text that begins with `#` must stand in quotes.",
    )


def unknown_key(faults: Faults, key: Scalar, known: Table) -> None:
    """Note a key that has no meaning at this place."""
    glued = GLUED.fullmatch(key.text)
    if glued and glued[1] in known:
        message = f"a space is missing after the colon in `{short(key.text)}`"
        faults.add("missing-space", message, key, f"Write `{glued[1]}: {short(glued[2])}`.")
        return
    message = f"`{short(key.text)}` is not a key here"
    guess = faults.did_you_mean(key.text, known)
    if guess:
        faults.add("unknown-key", f"{message}; {guess}", key)
    else:
        faults.add("unknown-key", message, key, "Known here: " + ", ".join(known) + ".")


def items(faults: Faults, node: Node, what: str) -> list[Node]:
    """The entries of a list; anything else is noted."""
    if isinstance(node, Seq):
        return node.items
    faults.add(
        "wrong-value",
        f"{what} must be a list, not {told(node)}",
        node,
        "Begin each entry on a line of its own with `- `, or write `[first, second]`.",
    )
    return []


def entries(faults: Faults, node: Node, what: str) -> list[tuple[Scalar, Node]]:
    """The keys and values of a map with free keys; anything else is noted."""
    if isinstance(node, Map):
        return list(node.entries.values())
    message = f"{what} must be keys with values, not {told(node)}"
    faults.add("wrong-value", message, node, shape_hint(node))
    return []


def stated(record: Any, table: Table, implied: Mapping[str, Any] = NOTHING) -> list[Pair]:
    """What a record says beyond its defaults, key by key in the table's order.

    `implied` names what goes without saying besides: a value equal to it is left out as well.
    """
    base = _defaults(record.__class__)
    pairs = []
    for key, kind in table.items():
        value = getattr(record, key, None)
        if value is None or value == implied.get(key, base.get(key)):
            continue
        if value == () or value == {}:
            continue
        pairs.append((key, kind.write(value)))
    return pairs


@cache
def _defaults(record: type) -> Mapping[str, Any]:
    return {one.name: one.default for one in fields(record) if one.default is not MISSING}


def record(table: Table, made: type, what: str = "") -> FileValue:
    """A record with its place, made from the keys of a table."""

    def read(faults: Faults, node: Node, key: str) -> Any:
        return made(**read_map(faults, node, table, what or f"`{key}`"), place=faults.place(node))

    return FileValue(read, lambda value: yamltext.flow(stated(value, table)))


def later(faults: Faults, node: Node, key: str) -> Node:
    """The node itself, to be read once other keys are known."""
    return node


LATER = FileValue(later)


# -- texts ----------------------------------------------------------------------------------------


def _clean(text: str) -> str:
    return text if text.isascii() else unicodedata.normalize("NFC", text)


def _one_text(faults: Faults, node: Node, key: str) -> str | None:
    if node.__class__ is Scalar:
        return _clean(node.text)
    fix = "A text with a comma, colon or bracket in it must stand in quotes."
    faults.wrong(key, node, "one text", fix)
    return None


def name(faults: Faults, node: Node, key: str) -> str | None:
    """A name or title: one line, 1 to 200 characters."""
    text = _one_text(faults, node, key)
    if text is None:
        return None
    text = text.strip()
    if len(text) > MAX_NAME:
        faults.add(
            "over-limit",
            f"`{key}` is {len(text):,} characters long; a name has {MAX_NAME} at most",
            node,
            "Shorten it; a longer explanation goes into a comment, a `caution` or a `why`.",
        )
        return None
    if "\n" in text:
        faults.add(
            "wrong-value", f"`{key}` must be one line", node, "Write it without line breaks."
        )
        return None
    return _not_empty(faults, node, key, text)


def text(faults: Faults, node: Node, key: str) -> str | None:
    """A longer text; line breaks count as spaces."""
    written = _one_text(faults, node, key)
    if written is None:
        return None
    words = " ".join(written.split())
    if len(words) > MAX_TEXT:
        message = f"`{key}` is {len(words):,} characters long; {MAX_TEXT:,} is the most"
        faults.add("over-limit", message, node, "Shorten it.")
        return None
    return _not_empty(faults, node, key, words)


def _not_empty(faults: Faults, node: Node, key: str, text: str) -> str | None:
    if text:
        return text
    faults.wrong(key, node, "a text that is not empty")
    return None


def texts_by_name(faults: Faults, node: Node, key: str) -> Mapping[str, str] | None:
    """Keys with a text each, both free."""
    if not isinstance(node, Map):
        faults.wrong(key, node, "keys with a text each")
        return None
    found: dict[str, str] = {}
    for word, (key_node, value) in node.entries.items():
        key_text = name(faults, key_node, key)
        if empty(value):
            message = f"`{short(word)}` has no value"
            faults.add("missing-value", message, key_node, "Write a value or delete the key.")
            continue
        value_text = name(faults, value, word)
        if key_text is not None and value_text is not None:
            found[key_text] = value_text
    return frozen(found)


def names(faults: Faults, node: Node, key: str) -> tuple[str, ...] | None:
    """A list of names; one name alone counts as a list of one."""
    if isinstance(node, Scalar):
        alone = name(faults, node, key)
        return None if alone is None else (alone,)
    if not isinstance(node, Seq):
        faults.wrong(key, node, "a list", "Write `[first, second]`.")
        return None
    found = [name(faults, item, key) for item in node.items]
    return tuple(word for word in found if word is not None)


def addresses(faults: Faults, node: Node, key: str) -> tuple[Address, ...] | None:
    """A list of points of a job; one point alone counts as a list of one."""
    found = names(faults, node, key)
    return None if found is None else tuple(map(Address.read, found))


def two_names(faults: Faults, node: Node, key: str) -> tuple[str, str] | None:
    """A list of exactly two different names."""
    if not isinstance(node, Seq) or len(node.items) != 2:
        message = f"`{key}` must name two, as `[first, second]`, not {told(node)}"
        faults.add("wrong-value", message, node)
        return None
    found = names(faults, node, key)
    if found is None or len(found) != 2:
        return None
    one, two = found
    if one == two:
        message = f"`{key}` names `{short(one)}` twice"
        faults.add("wrong-value", message, node, "Name two different points.")
        return None
    return one, two


NAME = FileValue(name, yamltext.word)
TEXT = FileValue(text, yamltext.word)
NAMES = FileValue(names, yamltext.words)
CELLS = FileValue(names, yamltext.cells)
ADDRESSES = FileValue(addresses, yamltext.one_or_cells)
TWO_CELLS = FileValue(two_names, yamltext.cells)
TEXTS = FileValue(texts_by_name, yamltext.texts)


# -- figures --------------------------------------------------------------------------------------


def as_number(written: str) -> float | None:
    """The number a text stands for, or None; no infinity, no `nan`, no digits parted by signs."""
    if len(written) > LONGEST_NUMBER or not _NUMBER.fullmatch(written):
        return None
    value = float(written)
    return value if abs(value) < yamltext.PLAIN_TO else None


def _with_unit(unit: str) -> str:
    return f" ({unit})" if unit else ""


def _number_hint(node: Node, unit: str) -> str:
    if not isinstance(node, Scalar):
        return "Write one number."
    written = node.text.strip()
    ends = _FROM_TO.fullmatch(written)
    if ends is not None:
        low, high = (end.replace(",", ".") for end in ends.groups())
        return f"Write the band as `[{low}, {high}]`, where the key takes one."
    with_point = written.replace(",", ".")
    if re.fullmatch(r"[+-]?\d+,\d+", written):
        return f"Write the decimal with a point: {with_point}."
    found = _WITH_UNIT.fullmatch(written)
    if found is None:
        return "Write it in figures, with a decimal point."
    alone = found[1].replace(",", ".")
    return f"Write the number alone, {alone}: the unit is {unit or 'fixed by the key'}."


def number(low: float, high: float, unit: str = "", *, above: bool = False) -> FileValue:
    """One number within a range; `above` shuts the lower bound out."""
    over = "above" if above else "from"
    bounds = f"{over} {low:g} to {high:g}{' ' + unit if unit else ''}"

    def read(faults: Faults, node: Node, key: str) -> float | None:
        value = as_number(node.text.strip()) if isinstance(node, Scalar) else None
        if value is None:
            faults.wrong(key, node, f"a number{_with_unit(unit)}", _number_hint(node, unit))
            return None
        if value < low or value > high or (above and value == low):
            faults.wrong(key, node, bounds, "Check the figure and its unit.")
            return None
        return value

    return FileValue(read, yamltext.figure)


def whole(low: int, high: int) -> FileValue:
    """One whole number within a range."""
    inner = number(low, high)

    def read(faults: Faults, node: Node, key: str) -> int | None:
        value = inner.read(faults, node, key)
        if value is None:
            return None
        if value != int(value):
            faults.wrong(key, node, "a whole number")
            return None
        return int(value)

    return FileValue(read)


def span(
    low: float, high: float, unit: str = "", *, may_be_open: bool = False, above: bool = False
) -> FileValue:
    """One number, a band `[low, high]` or, if allowed, `open` (also as the upper end of a band)."""
    inner = number(low, high, unit, above=above)

    def one(faults: Faults, node: Node, key: str) -> Any:
        if may_be_open and isinstance(node, Scalar) and node.text.strip() == "open":
            return OPEN.low
        return inner.read(faults, node, key)

    def read(faults: Faults, node: Node, key: str) -> Span | None:
        if isinstance(node, Seq):
            return _band(faults, node, key, one)
        if isinstance(node, Map):
            faults.wrong(key, node, f"a number{_with_unit(unit)} or a band [low, high]")
            return None
        value = one(faults, node, key)
        return None if value is None else Span.of(value)

    return FileValue(read, yamltext.span)


def _band(faults: Faults, node: Seq, key: str, one: Read) -> Span | None:
    if len(node.items) != 2:
        message = f"`{key}` as a band needs two numbers, lowest first"
        faults.add("wrong-value", message, node, "Write `[low, high]`.")
        return None
    lower, upper = (one(faults, item, key) for item in node.items)
    if lower is None or upper is None:
        return None
    if lower > upper:
        first, last = (told(item)[1:-1] for item in node.items)
        message = f"`{key}` runs from high to low"
        faults.add("wrong-value", message, node, f"Write `[{last}, {first}]`.")
        return None
    return Span(lower, upper)


# -- closed sets and marks ------------------------------------------------------------------------


def choice(known: Mapping[str, Any], words: str) -> FileValue:
    """One of a few fixed words; `words` lists them for people."""

    def read(faults: Faults, node: Node, key: str) -> Any:
        found = known.get(node.text.strip()) if isinstance(node, Scalar) else None
        if found is not None:
            return found
        message = f"`{key}` must be {words}, not {told(node)}"
        guess = faults.did_you_mean(node.text, known) if isinstance(node, Scalar) else ""
        if guess:
            faults.add("wrong-value", f"{message}; {guess}", node)
        else:
            faults.add("wrong-value", message, node, f"Write {words}.")
        return None

    return FileValue(read)


def one_of(words: type[StrEnum]) -> FileValue:
    """One word of a closed set."""
    return choice({str(word): word for word in words}, listed(words))


def one_word(*words: str) -> FileValue:
    """One of a few words that no closed set of the model holds."""
    return choice({word: word for word in words}, listed(words))


def flag(faults: Faults, node: Node, key: str) -> bool | None:
    """true or false (yes and no are understood)."""
    word = node.text.strip().casefold() if isinstance(node, Scalar) else ""
    if word in ("true", "yes"):
        return True
    if word in ("false", "no"):
        return False
    faults.wrong(key, node, "`true` or `false`", "Write `true` or `false`.")
    return None


def _hex_digits(digits: int, words: str, fix: str) -> FileValue:
    pattern = re.compile(rf"[0-9a-f]{{{digits}}}")

    def read(faults: Faults, node: Node, key: str) -> str | None:
        if isinstance(node, Scalar) and pattern.fullmatch(node.text.strip()):
            return node.text.strip()
        faults.wrong(key, node, f"{words} of the characters 0-9 and a-f", fix)
        return None

    return FileValue(read, yamltext.word)


def date(faults: Faults, node: Node, key: str) -> str | None:
    """A date written as 2026-03-02."""
    written = node.text.strip() if isinstance(node, Scalar) else ""
    if not re.fullmatch(r"\d{4}-\d\d-\d\d", written, re.ASCII):
        faults.wrong(key, node, "a date", "Write year, month and day: 2026-03-02.")
        return None
    try:
        datetime.date.fromisoformat(written)
    except ValueError:
        message = f"`{key}`: there is no day {written}"
        faults.add("wrong-value", message, node, "Check month and day.")
        return None
    return written


def time(faults: Faults, node: Node, key: str) -> str | None:
    """A time of day written as 14:05."""
    written = node.text.strip() if isinstance(node, Scalar) else ""
    if re.fullmatch(r"([01]\d|2[0-3]):[0-5]\d", written, re.ASCII):
        return written
    faults.wrong(key, node, "a time of day", "Write hours and minutes: 14:05.")
    return None


FLAG = FileValue(flag, yamltext.flag)
DATE = FileValue(date, yamltext.word)
TIME = FileValue(time, yamltext.word)
FINGERPRINT = _hex_digits(
    12, "twelve", "The tool writes `of`; leave it out when you write by hand."
)
MARK = _hex_digits(
    8,
    "eight",
    "`wiremap next JOB --strike MARK` writes the entry; `--kept` lists the marks.",
)


def texts(faults: Faults, node: Node, key: str) -> Iterator[str]:
    """The texts of a list, or one text alone."""
    for item in [node] if isinstance(node, Scalar) else items(faults, node, f"`{key}`"):
        found = text(faults, item, key)
        if found is not None:
            yield found
