"""Typed reading of one value at a time: numbers, words, spans, flags; each fault with its place and in plain words.

The closed sets of keys stand in hand-written tables beside the builders rather than in a validator run over the
JSON Schema: one pass types and checks at once, keeps the figure for large jobs, and can say what was most likely
meant.  The schemas serve editors; a test holds that both accept the same files.
"""

from __future__ import annotations

import datetime
import difflib
import re
import unicodedata
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from wiremap.base import Finding, Place, Severity, fault
from wiremap.files.hints import short
from wiremap.files.strict import Map, Node, Scalar, Seq
from wiremap.model import OPEN, Address, Span

MAX_NAME = 200
MAX_TEXT = 4000
_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?", re.ASCII)
_WITH_UNIT = re.compile(r"([+-]?\d+(?:[.,]\d+)?)\s*([^\d\s].*)", re.ASCII)
_GLUED = re.compile(r"([\w-]+):(\S.*)")
NONE_WORDS = frozenset({"", "~", "null", "Null", "NULL"})


class Reading:
    """The file being read: collects faults, and says of what they speak."""

    __slots__ = ("findings", "shown", "where")

    def __init__(self, shown: str) -> None:
        self.shown = shown
        self.findings: list[Finding] = []
        self.where = ""

    @property
    def failed(self) -> bool:
        """Whether anything kept the file from being read."""
        return any(found.fault for found in self.findings)

    def place(self, node: Node) -> Place:
        """Where a node starts."""
        return Place(self.shown, node.line, node.col)

    def fault(
        self,
        rule: str,
        message: str,
        node: Node,
        fix: str = "",
        why: str = "",
        also: tuple[tuple[Place, str], ...] = (),
    ) -> None:
        """Note a fault at a node, led by what it speaks of (`cavity 7: ...`)."""
        lead = f"{self.where}: " if self.where else ""
        self.findings.append(
            fault(rule, lead + message, self.place(node), why=why, fix=fix, also=also)
        )

    def remark(
        self,
        rule: str,
        severity: Severity,
        message: str,
        node: Node,
        fix: str = "",
        why: str = "",
        also: tuple[tuple[Place, str], ...] = (),
    ) -> None:
        """Note something that does not keep the file from being read."""
        self.findings.append(Finding(rule, severity, message, (), self.place(node), why, fix, also))

    def wrong(self, key: str, node: Node, wanted: str, fix: str = "") -> None:
        """Note a value that is not of the wanted kind."""
        self.fault(
            "wrong-value",
            f"`{key}` must be {wanted}, not {told(node)}",
            node,
            fix or _shape_hint(node),
        )


Reader = Callable[[Reading, Node, str], Any]
Table = Mapping[str, Reader]


def told(node: Node) -> str:
    """A value as named in a message."""
    if isinstance(node, Scalar):
        return f"`{short(node.text, 40)}`" if node.text else "nothing"
    return "a list" if isinstance(node, Seq) else "keys with values"


def _shape_hint(node: Node) -> str:
    if isinstance(node, Scalar):
        glued = _GLUED.fullmatch(node.text)
        if glued and node.plain:
            return f"A space is missing after the colon: write `{glued.group(1)}: {short(glued.group(2))}`."
        if node.plain and not node.text:
            return (
                "Write a value after the colon; a text that begins with `#` must stand in quotes."
            )
    return ""


def empty(node: Node) -> bool:
    """Whether a key has nothing after its colon."""
    return isinstance(node, Scalar) and node.plain and node.text in NONE_WORDS


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """The known word that looks most like this one, as a sentence, or nothing."""
    names = sorted(set(known))
    near = difflib.get_close_matches(word[:60], names, n=1, cutoff=0.6)
    if not near:
        folded = {name.casefold().replace("_", "").replace("-", ""): name for name in names}
        near = difflib.get_close_matches(
            word[:60].casefold().replace("_", "").replace("-", ""), sorted(folded), n=1, cutoff=0.7
        )
        near = [folded[near[0]]] if near else []
    return f"did you mean `{near[0]}`?" if near else ""


def read_map(
    to: Reading, node: Node, table: Table, what: str, required: tuple[str, ...] = ()
) -> dict[str, Any]:
    """The typed values of a map's known keys; unknown keys, missing values and missing keys are noted."""
    if node.__class__ is not Map:
        to.fault(
            "wrong-value",
            f"{what} must be keys with values, not {told(node)}",
            node,
            _shape_hint(node),
        )
        return {}
    values: dict[str, Any] = {}
    entries = node.entries
    for key, (key_node, value) in entries.items():
        reader = table.get(key)
        if reader is None:
            unknown_key(to, key_node, table)
        elif empty(value):
            to.fault(
                "missing-value",
                f"`{key}` has no value",
                value if value.line > key_node.line else key_node,
                "Write a value or delete the key; a text that begins with `#` must stand in quotes.",
            )
        else:
            got = reader(to, value, key)
            if got is not None:
                values[key] = got
    for key in required:
        if key not in entries:
            to.fault("missing-key", f"{what} lacks `{key}`", node, f"Add `{key}: ...`.")
    return values


def unknown_key(to: Reading, key: Scalar, known: Iterable[str]) -> None:
    """Note a key that has no meaning at this place."""
    names = list(known)
    guess = did_you_mean(key.text, names)
    glued = _GLUED.fullmatch(key.text)
    if glued and glued.group(1) in names:
        to.fault(
            "missing-space",
            f"a space is missing after the colon in `{short(key.text)}`",
            key,
            f"Write `{glued.group(1)}: {short(glued.group(2))}`.",
        )
        return
    to.fault(
        "unknown-key",
        f"`{short(key.text)}` is not a key here" + (f"; {guess}" if guess else ""),
        key,
        "" if guess else "Known here: " + ", ".join(names) + ".",
    )


def _clean(text: str) -> str:
    return text if text.isascii() else unicodedata.normalize("NFC", text)


def name(to: Reading, node: Node, key: str) -> str | None:
    """A name or title: one line, 1 to 200 characters."""
    if node.__class__ is not Scalar:
        to.wrong(
            key,
            node,
            "one text",
            "A text with a comma, colon or bracket in it must stand in quotes.",
        )
        return None
    text = _clean(node.text).strip()
    if len(text) > MAX_NAME:
        to.fault(
            "over-limit",
            f"`{key}` is {len(text):,} characters long; a name has {MAX_NAME} at most",
            node,
            "Shorten it; a longer explanation goes into a comment, a `caution` or a `why`.",
        )
        return None
    if "\n" in text:
        to.fault("wrong-value", f"`{key}` must be one line", node, "Write it without line breaks.")
        return None
    if not text:
        to.wrong(key, node, "a text that is not empty")
        return None
    return text


def text(to: Reading, node: Node, key: str) -> str | None:
    """A longer text; line breaks count as spaces."""
    if node.__class__ is not Scalar:
        to.wrong(
            key,
            node,
            "one text",
            "A text with a comma, colon or bracket in it must stand in quotes.",
        )
        return None
    words = " ".join(_clean(node.text).split())
    if not words:
        to.wrong(key, node, "a text that is not empty")
        return None
    if len(words) > MAX_TEXT:
        to.fault(
            "over-limit",
            f"`{key}` is {len(words):,} characters long; {MAX_TEXT:,} is the most",
            node,
            "Shorten it.",
        )
        return None
    return words


def as_number(written: str) -> float | None:
    """The number a text stands for, or None; no infinity, no `nan`, no digits parted by signs."""
    if len(written) > 40 or not _NUMBER.fullmatch(written):
        return None
    value = float(written)
    return value if abs(value) < 1e15 else None


def number(low: float, high: float, unit: str = "", *, above: bool = False) -> Reader:
    """A reader of one number within a range; `above` shuts the lower bound out."""

    def read(to: Reading, node: Node, key: str) -> float | None:
        value = as_number(node.text.strip()) if isinstance(node, Scalar) else None
        if value is None:
            to.wrong(key, node, f"a number{_unit(unit)}", _number_hint(node, unit))
            return None
        if value < low or value > high or (above and value == low):
            over = "above" if above else "from"
            to.fault(
                "wrong-value",
                f"`{key}` must be {over} {low:g} to {high:g}{' ' + unit if unit else ''}, not "
                f"{told(node)}",
                node,
                "Check the figure and its unit.",
            )
            return None
        return value

    return read


def _unit(unit: str) -> str:
    return f" ({unit})" if unit else ""


def _number_hint(node: Node, unit: str) -> str:
    if not isinstance(node, Scalar):
        return "Write one number."
    found = _WITH_UNIT.fullmatch(node.text.strip())
    if re.fullmatch(r"[+-]?\d+,\d+", node.text.strip()):
        return f"Write the decimal with a point: {node.text.strip().replace(',', '.')}."
    if found:
        return f"Write the number alone, {found.group(1).replace(',', '.')}: the unit is {unit or 'fixed by the key'}."
    return "Write it in figures, with a decimal point."


def whole(low: int, high: int) -> Reader:
    """A reader of one whole number within a range."""
    inner = number(low, high)

    def read(to: Reading, node: Node, key: str) -> int | None:
        value = inner(to, node, key)
        if value is None:
            return None
        if value != int(value):
            to.wrong(key, node, "a whole number")
            return None
        return int(value)

    return read


def span(
    low: float, high: float, unit: str = "", *, may_be_open: bool = False, above: bool = False
) -> Reader:
    """A reader of one number, a band `[low, high]` or, if allowed, `open` (also as the upper end of a band)."""
    inner = number(low, high, unit, above=above)

    def one(to: Reading, node: Node, key: str) -> float | None:
        if may_be_open and isinstance(node, Scalar) and node.text.strip() == "open":
            return OPEN.low
        return inner(to, node, key)  # type: ignore[no-any-return]

    def read(to: Reading, node: Node, key: str) -> Span | None:
        if not isinstance(node, Seq):
            if isinstance(node, Map):
                to.wrong(key, node, f"a number{_unit(unit)} or a band [low, high]")
                return None
            value = one(to, node, key)
            return None if value is None else Span.of(value)
        if len(node.items) != 2:
            to.fault(
                "wrong-value",
                f"`{key}` as a band needs two numbers, lowest first",
                node,
                "Write `[low, high]`.",
            )
            return None
        lower, upper = (one(to, item, key) for item in node.items)
        if lower is None or upper is None:
            return None
        if lower > upper:
            to.fault(
                "wrong-value",
                f"`{key}` runs from high to low",
                node,
                f"Write `[{told(node.items[1])[1:-1]}, {told(node.items[0])[1:-1]}]`.",
            )
            return None
        return Span(lower, upper)

    return read


def one_of(*words: str, aliases: Mapping[str, str] | None = None) -> Reader:
    """A reader of one of a few fixed words."""
    known = {word: word for word in words} | dict(aliases or {})

    def read(to: Reading, node: Node, key: str) -> str | None:
        if isinstance(node, Scalar):
            found = known.get(node.text.strip())
            if found is not None:
                return found
        guess = did_you_mean(node.text, known) if isinstance(node, Scalar) else ""
        to.fault(
            "wrong-value",
            f"`{key}` must be {listed(words)}, not {told(node)}" + (f"; {guess}" if guess else ""),
            node,
            "" if guess else f"Write {listed(words)}.",
        )
        return None

    return read


def listed(words: Iterable[str]) -> str:
    """Words in a row: `a`, `b` or `c`."""
    marked = [f"`{word}`" for word in words]
    return marked[0] if len(marked) == 1 else ", ".join(marked[:-1]) + " or " + marked[-1]


def flag(to: Reading, node: Node, key: str) -> bool | None:
    """true or false (yes and no are understood)."""
    word = node.text.strip().casefold() if isinstance(node, Scalar) else ""
    if word in ("true", "yes"):
        return True
    if word in ("false", "no"):
        return False
    to.wrong(key, node, "`true` or `false`", "Write `true` or `false`.")
    return None


def names(to: Reading, node: Node, key: str) -> tuple[str, ...] | None:
    """A list of names; one name alone counts as a list of one."""
    if isinstance(node, Scalar):
        alone = name(to, node, key)
        return None if alone is None else (alone,)
    if not isinstance(node, Seq):
        to.wrong(key, node, "a list", "Write `[first, second]`.")
        return None
    found = [name(to, item, key) for item in node.items]
    return tuple(word for word in found if word is not None)


def addresses(to: Reading, node: Node, key: str) -> tuple[Address, ...] | None:
    """A list of points of a job; one point alone counts as a list of one."""
    found = names(to, node, key)
    return None if found is None else tuple(map(Address.read, found))


def two_names(to: Reading, node: Node, key: str) -> tuple[str, str] | None:
    """A list of exactly two different names."""
    found = names(to, node, key) if isinstance(node, Seq) else ()
    if found is None or not isinstance(node, Seq) or len(node.items) != 2:
        to.fault(
            "wrong-value", f"`{key}` must name two, as `[first, second]`, not {told(node)}", node
        )
        return None
    if len(found) != 2:
        return None
    if found[0] == found[1]:
        to.fault(
            "wrong-value",
            f"`{key}` names `{short(found[0])}` twice",
            node,
            "Name two different points.",
        )
        return None
    return (found[0], found[1])


def fingerprint(to: Reading, node: Node, key: str) -> str | None:
    """A fingerprint: twelve hex digits."""
    if isinstance(node, Scalar) and re.fullmatch(r"[0-9a-f]{12}", node.text.strip()):
        return node.text.strip()
    to.wrong(
        key,
        node,
        "twelve of the characters 0-9 and a-f",
        "The tool writes `of`; leave it out when you write by hand.",
    )
    return None


def mark(to: Reading, node: Node, key: str) -> str | None:
    """The mark of an entry: eight hex digits."""
    if isinstance(node, Scalar) and re.fullmatch(r"[0-9a-f]{8}", node.text.strip()):
        return node.text.strip()
    to.wrong(
        key,
        node,
        "eight of the characters 0-9 and a-f",
        "`wiremap next JOB --strike MARK` writes the entry; the mark is told with each reading.",
    )
    return None


def date(to: Reading, node: Node, key: str) -> str | None:
    """A date written as 2026-03-02."""
    written = node.text.strip() if isinstance(node, Scalar) else ""
    if re.fullmatch(r"\d{4}-\d\d-\d\d", written, re.ASCII):
        try:
            datetime.date.fromisoformat(written)
        except ValueError:
            to.fault(
                "wrong-value", f"`{key}`: there is no day {written}", node, "Check month and day."
            )
            return None
        return written
    to.wrong(key, node, "a date", "Write year, month and day: 2026-03-02.")
    return None


def texts_by_name(to: Reading, node: Node, key: str) -> dict[str, str] | None:
    """Keys with a text each, both free."""
    if not isinstance(node, Map):
        to.wrong(key, node, "keys with a text each")
        return None
    found: dict[str, str] = {}
    for word, (key_node, value) in node.entries.items():
        key_text = name(to, key_node, key)
        value_text = None if empty(value) else name(to, value, word)
        if empty(value):
            to.fault(
                "missing-value",
                f"`{short(word)}` has no value",
                key_node,
                "Write a value or delete the key.",
            )
        if key_text is not None and value_text is not None:
            found[key_text] = value_text
    return found


def items(to: Reading, node: Node, what: str) -> list[Node]:
    """The entries of a list; anything else is noted."""
    if isinstance(node, Seq):
        return node.items
    to.fault(
        "wrong-value",
        f"{what} must be a list, not {told(node)}",
        node,
        "Begin each entry on a line of its own with `- `, or write `[first, second]`.",
    )
    return []


def entries(to: Reading, node: Node, what: str) -> list[tuple[Scalar, Node]]:
    """The keys and values of a map with free keys; anything else is noted."""
    if isinstance(node, Map):
        return list(node.entries.values())
    to.fault(
        "wrong-value", f"{what} must be keys with values, not {told(node)}", node, _shape_hint(node)
    )
    return []
