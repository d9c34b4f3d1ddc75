"""Strict YAML with places: read as events, so that limits bite before memory does, and every scalar
stays its text.

The parser of PyYAML (its C form where present) only cuts the text into events; no value is ever
constructed, so a cavity `010` stays `010` and `on` stays `on`.  Anchors, aliases, merge keys, tags,
several documents, keys that are no plain text and duplicate keys are refused with their place.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NoReturn

import yaml
from yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
)

from wiremap.base import Finding, Place, fault
from wiremap.files import hints
from wiremap.files.source import HIDDEN, Text, hidden_fault, read_text

try:
    from yaml.cyaml import CParser as _Parser  # type: ignore[attr-defined]
except ImportError:  # PyYAML built without its C part
    from yaml import SafeLoader as _Parser  # type: ignore[assignment]

MAX_DEPTH = 50  # brackets and indents: a pin table needs five or six
MAX_NODES = 200_000  # values of one file, before memory runs out
MAX_FAULTS = 50  # told of one file: who reads more has the wrong file
BEFORE_KEY = 40  # characters in which the end of what stands before a key is looked for
_LAYOUT = re.compile("[\t\r]")
_ODD_SPACE = re.compile("(?:^|[:：])[\u00a0\u2000-\u200a\u202f\u205f\u3000]|：[^ ]|[\u00a0\u3000]$")


class Scalar:
    """A scalar as its source text; `plain` tells that no quotes stood around it."""

    __slots__ = ("col", "line", "plain", "text")

    def __init__(self, text: str, line: int, col: int, *, plain: bool) -> None:
        self.text = text
        self.line = line
        self.col = col
        self.plain = plain


class Seq:
    """A list of nodes."""

    __slots__ = ("col", "flow", "items", "line")

    def __init__(self, line: int, col: int, *, flow: bool) -> None:
        self.items: list[Node] = []
        self.line = line
        self.col = col
        self.flow = flow


class Map:
    """Keys with their values, in file order; a key is its source text."""

    __slots__ = ("col", "entries", "flow", "line")

    def __init__(self, line: int, col: int, *, flow: bool) -> None:
        self.entries: dict[str, tuple[Scalar, Node]] = {}
        self.line = line
        self.col = col
        self.flow = flow


Node = Scalar | Seq | Map


@dataclass(frozen=True, slots=True)
class Document:
    """One file's tree, its text (for excerpts and digests) and what could not be read of it."""

    shown: str
    root: Node | None
    text: Text | None
    faults: tuple[Finding, ...]

    def place(self, node: Node) -> Place:
        """Where a node starts."""
        return Place(self.shown, node.line, node.col)


def read(path: Path | str, shown: str | None = None) -> Document:
    """Read and parse a file; whatever is wrong with it comes back as faults."""
    path = Path(path)
    shown = path.as_posix() if shown is None else shown
    text, faults = read_text(path, shown)
    return Document(shown, None, None, faults) if text is None else parse(text)


def events(text: str) -> Iterator[Any]:
    """The parser's events of a text, one by one; raises yaml.YAMLError where the layout breaks."""
    return iter(_Parser(text).get_event, None)


def parse(text: Text) -> Document:
    """Parse clean text (see `source.decode`) into a tree."""
    builder = _Builder(text)
    try:
        builder.run()
    except yaml.YAMLError as error:
        builder.faults.append(hints.explain(error, text))
    except _Refused as refused:
        builder.faults.append(refused.finding)
    faults = tuple(
        sorted(dict.fromkeys(builder.faults), key=lambda found: found.place or Place(text.shown))
    )
    if not faults and builder.root is None:
        faults = (
            fault(
                "empty-file",
                "the file holds comments only",
                Place(text.shown),
                fix="Write a blank with `wiremap start pinout` or `wiremap start job` and "
                "fill it in.",
            ),
        )
    return Document(text.shown, None if faults else builder.root, text, faults)


class _Refused(Exception):
    """Carries the fault that ends the parsing of a file."""

    def __init__(self, finding: Finding) -> None:
        super().__init__(finding.message)
        self.finding = finding


class _Builder:
    """Turns events into nodes, keeping an explicit stack so that depth costs no recursion."""

    def __init__(self, text: Text) -> None:
        self.text = text
        self.root: Node | None = None
        self.faults: list[Finding] = []
        # an escape can write what the raw text may not hold
        self.has_escapes = "\\" in text.text or "\t" in text.text
        self.has_odd_letters = not text.text.isascii()
        self.looks_closely = self.has_escapes or self.has_odd_letters
        self.top: Any = None  # the open Map or Seq
        self.key: Scalar | None = None  # the key that waits for its value
        self.around: list[Any] = []  # what is open around `top`, outermost first
        self.nodes = self.documents = 0  # how many there were so far

    def run(self) -> None:
        """Hands every event to what knows its kind; raises _Refused and yaml.YAMLError."""
        by_kind: dict[type, Callable[[Any], None]] = {
            ScalarEvent: self._scalar,
            MappingStartEvent: self._map,
            SequenceStartEvent: self._seq,
            MappingEndEvent: self._end,
            SequenceEndEvent: self._end,
            AliasEvent: self._alias,
            DocumentStartEvent: self._document,
        }
        for event in events(self.text.text):
            known = by_kind.get(event.__class__)
            if known is not None:
                known(event)

    def _scalar(self, event: Any) -> None:
        mark = event.start_mark
        node = Scalar(event.value, mark.line + 1, mark.column + 1, plain=not event.style)
        if event.anchor is not None or event.tag is not None:
            self._note_decoration(event)
        if self.looks_closely:
            self._look_closely(node)
        self._put(node, event)

    def _map(self, event: Any) -> None:
        mark = event.start_mark
        self._open(Map(mark.line + 1, mark.column + 1, flow=bool(event.flow_style)), event)

    def _seq(self, event: Any) -> None:
        mark = event.start_mark
        self._open(Seq(mark.line + 1, mark.column + 1, flow=bool(event.flow_style)), event)

    def _open(self, node: Map | Seq, event: Any) -> None:
        """Puts a list or map in its place and goes into it."""
        if event.anchor is not None or event.tag is not None:
            self._note_decoration(event)
        self._put(node, event)
        self.around.append(self.top)
        if len(self.around) > MAX_DEPTH:
            self._refuse(
                event,
                "over-limit",
                f"brackets or indents are nested more than {MAX_DEPTH} deep",
                "A pin table needs five or six levels; look for a bracket that is never closed.",
            )
        self.top, self.key = node, None

    def _end(self, event: Any) -> None:
        self.top, self.key = self.around.pop(), None

    def _alias(self, event: Any) -> None:
        place = self._place(event)
        self._add(hints.alias(event.anchor, place))
        self._put(Scalar("", place.line, place.col, plain=False), event)

    def _put(self, node: Node, event: Any) -> None:
        """A node as a key, a value, an entry or the root."""
        self.nodes += 1
        if self.nodes > MAX_NODES:
            message = f"the file holds more than {MAX_NODES:,} values"
            self._refuse(event, "over-limit", message, "Split it into several files.")
        top, key = self.top, self.key
        if top.__class__ is Seq:
            top.items.append(node)
        elif top is None:
            self.root = node
        elif key is None:
            self.key = self._key(top, node, event)
        else:
            if isinstance(node, Scalar) and not node.text and node.plain:
                self._no_value(top, key, event)
            top.entries.setdefault(key.text, (key, node))
            self.key = None

    def _place(self, event: Any) -> Place:
        return Place(self.text.shown, event.start_mark.line + 1, event.start_mark.column + 1)

    def _refuse(self, event: Any, rule: str, message: str, fix: str) -> NoReturn:
        raise _Refused(fault(rule, message, self._place(event), fix=fix))

    def _add(self, finding: Finding) -> None:
        self.faults.append(finding)
        if len(self.faults) > MAX_FAULTS:
            raise _Refused(
                fault(
                    "over-limit",
                    f"more than {MAX_FAULTS} faults in this file; the rest is not read",
                    finding.place,
                    fix="Mend these first.",
                )
            )

    def _document(self, event: Any) -> None:
        self.documents += 1
        if self.documents > 1:
            self._refuse(
                event,
                "several-documents",
                "a second document begins here (`---`); a file holds one only",
                "Put each into a file of its own.",
            )
        if event.tags:
            self._refuse(event, "yaml-tag", "a %TAG line is not allowed here", "Delete the line.")

    def _key(self, top: Map, node: Node, event: Any) -> Scalar:
        """A node as a key of a map, with a fault noted for a merge, an empty or a second one."""
        if not isinstance(node, Scalar):
            self._refuse(
                event,
                "odd-key",
                "a key must be plain text, not a list or a block in braces",
                "Write the key as a word or number; `{` and `[` may only open a value.",
            )
        text = node.text
        earlier = top.entries.get(text)
        if text == "<<" and node.plain:
            self._add(
                fault(
                    "yaml-anchor",
                    "`<<` (merge) is not allowed here",
                    self._place(event),
                    fix="Write the keys out where they are needed.",
                )
            )
        elif not text and node.plain:
            self._add(
                fault(
                    "missing-key",
                    "a key is missing before this colon",
                    self._place(event),
                    fix="Write the key, or put the whole text in quotes.",
                )
            )
        elif earlier is not None:
            first = earlier[0]
            self._add(
                fault(
                    "duplicate-key",
                    f"`{hints.short(text)}` stands twice: first on line {first.line}, again "
                    f"on line {node.line}",
                    self._place(event),
                    why="Only one of the two can be meant, and a reader would silently drop "
                    "the other.",
                    fix="Remove one, or correct its name.",
                    also=((Place(self.text.shown, first.line, first.col), "first written here"),),
                )
            )
        return node

    def _note_decoration(self, event: Any) -> None:
        """Notes an anchor or a tag, which no file of ours needs."""
        place = self._place(event)
        if event.anchor is not None:
            self._add(hints.anchor(event.anchor, place))
        if event.tag is not None:
            self._add(hints.tag(event.tag, place))

    def _look_closely(self, node: Scalar) -> None:
        """Notes a hidden character that an escape wrote, and an odd space outside quotes."""
        if self.has_escapes:
            hidden = HIDDEN.search(node.text) or _LAYOUT.search(node.text)
            if hidden:
                place = Place(self.text.shown, node.line, node.col)
                self._add(hidden_fault(hidden.group(), place))
        if self.has_odd_letters and node.plain and not node.text.isascii():
            space = _ODD_SPACE.search(node.text)
            if space:
                place = Place(self.text.shown, node.line, node.col + space.start())
                self._add(hints.odd_space(space.group(), place))

    def _no_value(self, top: Map, key: Scalar, event: Any) -> None:
        """A key without a value inside braces: nearly always a comma in unquoted text, or a colon
        without a space.
        """
        if not top.flow:
            return
        index = event.start_mark.index
        between = self.text.text[max(0, index - BEFORE_KEY) : index + 1].rstrip("}], \r\n")
        if between.endswith(":"):
            return
        last = list(top.entries.values())[-1][1] if top.entries else None
        before = last.text if isinstance(last, Scalar) and last.plain else ""
        self._add(hints.bare_word(key.text, before, Place(self.text.shown, key.line, key.col)))
