"""What is wrong with one file, gathered while it is read: each fault with its place, at most
fifty.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping
from types import MappingProxyType

from wiremap.base import Finding, Place, Severity, fault
from wiremap.files.hints import short
from wiremap.files.strict import Map, Node, Scalar, Seq

MAX_FAULTS = 50  # worked out in one file; the rest is counted
MAX_POOL = 400  # names that a mistyped one is held against
MOST_COMPARED = 60  # letters of a word that was misspelt
ALIKE, ALIKE_BARE = 0.6, 0.7  # as spelt, and without hyphens and capitals
GLUED = re.compile(r"([\w-]+):(\S.*)")
NONE_WORDS = frozenset({"", "~", "null", "Null", "NULL"})
Also = tuple[tuple[Place, str], ...]


class Faults:
    """Collects what is wrong with the file being read.

    `where` is what is being read and leads each message (`cavity 7`), empty for the file itself.
    """

    __slots__ = ("counted", "failed", "findings", "shown", "where")

    def __init__(self, shown: str) -> None:
        self.shown = shown
        self.findings: list[Finding] = []
        self.where = ""
        self.failed = False  # whether anything keeps the file from being read
        self.counted = 0  # faults, with those that are not worked out

    @property
    def full(self) -> bool:
        """Whether further faults are only counted."""
        return self.counted >= MAX_FAULTS

    def place(self, node: Node) -> Place:
        """Where a node starts."""
        return Place(self.shown, node.line, node.col)

    def places(self, node: Map) -> Mapping[str, Place]:
        """Where the value of each key of a map starts."""
        shown = self.shown
        return MappingProxyType(
            {key: Place(shown, value.line, value.col) for key, (_, value) in node.entries.items()}
        )

    def add(
        self, rule: str, message: str, node: Node, fix: str = "", *, why: str = "", also: Also = ()
    ) -> None:
        """Note a fault at a node, led by what it speaks of (`cavity 7: ...`)."""
        self.failed = True
        self.counted += 1
        if self.counted > MAX_FAULTS:
            return
        lead = f"{self.where}: " if self.where else ""
        found = fault(rule, lead + message, self.place(node), why=why, fix=fix, also=also)
        self.findings.append(found)

    def remark(
        self,
        rule: str,
        severity: Severity,
        message: str,
        node: Node,
        fix: str = "",
        *,
        why: str = "",
        also: Also = (),
    ) -> None:
        """Note something that does not keep the file from being read."""
        place = self.place(node)
        found = Finding(rule, severity, message, place=place, why=why, fix=fix, also=also)
        self.findings.append(found)

    def wrong(self, key: str, node: Node, wanted: str, fix: str = "") -> None:
        """Note a value that is not of the wanted kind."""
        message = f"`{key}` must be {wanted}, not {told(node)}"
        self.add("wrong-value", message, node, fix or shape_hint(node))

    def unlike(self, rule: str, message: str, node: Node, word: str, known: Iterable[str]) -> bool:
        """Note a word that is none of those known, with the likest of them; whether there is
        one.
        """
        guess = self.did_you_mean(word, known)
        self.add(rule, f"{message}; {guess}" if guess else message, node)
        return bool(guess)

    def did_you_mean(self, word: str, known: Iterable[str]) -> str:
        """The known word that looks most like this one, as a sentence; nothing once `full`."""
        return "" if self.full else did_you_mean(word, known)

    def ordered(self) -> tuple[Finding, ...]:
        """All that was found, by place, and at the end how many faults were not worked out."""
        start = Place("")
        found = sorted(dict.fromkeys(self.findings), key=lambda one: one.place or start)
        if self.counted > MAX_FAULTS:
            *_, last = found
            found.append(self._rest(last.place))
        return tuple(found)

    def _rest(self, place: Place | None) -> Finding:
        more = self.counted - MAX_FAULTS
        return fault(
            "over-limit",
            f"{more:,} more faults in this file are not listed",
            place,
            fix="Mend these first.",
        )


def told(node: Node) -> str:
    """A value as named in a message."""
    if isinstance(node, Scalar):
        return f"`{short(node.text, 40)}`" if node.text else "nothing"
    return "a list" if isinstance(node, Seq) else "keys with values"


def shape_hint(node: Node) -> str:
    """What most likely went wrong where a text stands in the place of something else."""
    if not isinstance(node, Scalar) or not node.plain:
        return ""
    glued = GLUED.fullmatch(node.text)
    if glued:
        written = f"{glued[1]}: {short(glued[2])}"
        return f"A space is missing after the colon: write `{written}`."
    if not node.text:
        return "Write a value after the colon; a text that begins with `#` must stand in quotes."
    return ""


def empty(node: Node) -> bool:
    """Whether a key has nothing after its colon."""
    return node.__class__ is Scalar and node.text in NONE_WORDS and node.plain


def listed(words: Iterable[str]) -> str:
    """Words in a row: `a`, `b` or `c`."""
    *others, last = [f"`{word}`" for word in words]
    return f"{', '.join(others)} or {last}" if others else last


def did_you_mean(word: str, known: Iterable[str], *, lead: str = "") -> str:
    """The known word that looks most like this one, as a sentence behind `lead`, or nothing."""
    names = _pool(word, known)
    begins = word[:MOST_COMPARED]
    near = difflib.get_close_matches(begins, names, cutoff=ALIKE)
    if near:
        return f"{lead}did you mean `{near[0]}`?"
    bare = {_bare(name): name for name in names}
    near = difflib.get_close_matches(_bare(begins), sorted(bare), cutoff=ALIKE_BARE)
    return f"{lead}did you mean `{bare[near[0]]}`?" if near else ""


def _bare(word: str) -> str:
    return word.casefold().replace("_", "").replace("-", "")


def _pool(word: str, known: Iterable[str]) -> list[str]:
    """The names worth comparing: of very many, those that begin alike, and no more than
    `MAX_POOL`.
    """
    names = sorted(set(known))
    if len(names) <= MAX_POOL:
        return names
    start = word[:1].casefold()
    return [name for name in names if name[:1].casefold() == start][:MAX_POOL]
