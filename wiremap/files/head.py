"""What a file declares itself to be, told by the reader that will read it: `wiremap: job/1` in
every spelling.

The parser is run only until the key is found, so that a folder of thousands costs little; quoted
keys, JSON form, a byte order mark, `? wiremap` and long remarks on top are all the same to it.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml
from yaml.events import (
    AliasEvent,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
)

from wiremap.base import Finding, Place, fault
from wiremap.files import hints
from wiremap.files.filebytes import read_bytes
from wiremap.files.source import Text, decode
from wiremap.files.strict import Document, Map, Node, Scalar, events

KEY = "wiremap"
KINDS = ("pinout", "job", "notebook")
VERSION = "1"
LIKE_OURS = 0.75  # how near a misspelt key must come to `wiremap`
_MEANT = re.compile(  # a line that was most likely meant to be the head, in the file's bytes
    rb"^[^\w#]{0,12}wire[^a-z0-9]{0,4}map[^a-z0-9]{0,8}(?:pinout|job|notebook)\b",
    re.IGNORECASE | re.MULTILINE,
)
TELLING = {"pinout": {"cavities"}, "job": {"ends", "circuits"}}  # keys that no other files have
BEGIN = "Begin with `wiremap: pinout/1`, `wiremap: job/1` or `wiremap: notebook/1`."
OPENING = (MappingStartEvent, SequenceStartEvent)
CLOSING = (MappingEndEvent, SequenceEndEvent)
NODES = (*OPENING, ScalarEvent, AliasEvent)


@dataclass(frozen=True, slots=True)
class Head:
    """The kind that a file declares, or the faults that say why none can be told; neither: it is
    not ours.
    """

    kind: str | None = None
    faults: tuple[Finding, ...] = ()

    @property
    def is_ours(self) -> bool:
        """Whether the file is one of ours, or may be."""
        return self.kind is not None or bool(self.faults)


def head_of(path: Path | str) -> Head:
    """What a file in a folder is: one of ours, one that cannot be read, or none of ours."""
    path = Path(path)
    shown = path.as_posix()
    data, faults = read_bytes(path, shown)
    return Head(faults=faults) if data is None else head_in_bytes(data, shown)


def head_in_bytes(data: bytes, shown: str) -> Head:
    """What the bytes of a file declare it to be; `shown` is the name for findings."""
    text, faults = decode(data, shown)
    meant = _MEANT.search(data)
    if text is None:
        about_layout = {found.rule for found in faults} <= {"tab", "hidden-character"}
        not_ours = about_layout and meant is None and KEY.encode() not in data.lower()
        return Head(faults=() if not_ours else faults)
    head = _declared_in(text)
    if head.is_ours or meant is None:
        return head
    line = data.count(b"\n", 0, meant.start()) + 1
    message = f"this line reads like the head of a file of ours, but `{KEY}` is no key at the top"
    return Head(faults=(fault("wrong-kind", message, Place(shown, line), fix=BEGIN),))


def _declared_in(text: Text) -> Head:
    try:
        return _root(text)
    except yaml.YAMLError as error:
        if KEY not in text.text.casefold():
            return Head()
        return Head(faults=(hints.explain(error, text),))


def _root(text: Text) -> Head:
    """Looks for the key among those of the root, and for one that is nearly it."""
    near: list[Finding] = []
    keys: set[str] = set()
    for key, value in pairs(events(text.text)):
        if not isinstance(key, ScalarEvent):
            continue
        if key.value == KEY:
            written = value.value if isinstance(value, ScalarEvent) else ""
            return _declares(written, _place(text, value))
        keys.add(key.value)
        if not near and _nearly(key.value):
            near.append(_misspelt(key.value, _place(text, key)))
    if not near:
        near += [_headless(kind, text) for kind in KINDS if _reads_like(kind, keys, text)][:1]
    return Head(faults=tuple(near))


def _reads_like(kind: str, keys: set[str], text: Text) -> bool:
    """Whether the keys of a file without a head are those of a kind of ours."""
    if kind == "notebook":
        return keys == {"entries"} and "kind" in text.text
    return TELLING[kind] <= keys


def _headless(kind: str, text: Text) -> Finding:
    message = f"this reads like a {kind}, but the key `{KEY}` is missing"
    fix = f"Begin with `{KEY}: {kind}/{VERSION}`."
    return fault("wrong-kind", message, Place(text.shown, 1), fix=fix)


def pairs(stream: Iterator[Any]) -> Iterator[tuple[Any, Any]]:
    """The root's keys with their values, as the first event of each; nothing if it is no map.

    The stream stands behind the value while a pair is looked at; what is left of it is skipped.
    """
    for event in stream:
        if isinstance(event, NODES):
            break
    if not isinstance(event, MappingStartEvent):
        return
    for key in stream:
        if isinstance(key, MappingEndEvent):
            return
        for _ in skip(stream, key):
            pass
        value = next(stream)
        yield key, value
        for _ in skip(stream, value):
            pass


def skip(stream: Iterator[Any], event: Any) -> Iterator[Any]:
    """The events up to the end of what an event has opened; none if it opens nothing."""
    depth = int(isinstance(event, OPENING))
    while depth:
        inner = next(stream)
        if isinstance(inner, OPENING):
            depth += 1
        elif isinstance(inner, CLOSING):
            depth -= 1
        yield inner


def _place(text: Text, event: Any) -> Place:
    return Place(text.shown, event.start_mark.line + 1, event.start_mark.column + 1)


def _nearly(key: str) -> bool:
    """Whether a key was most likely meant to be `wiremap`."""
    if len(key) > 2 * len(KEY):
        return False
    return difflib.SequenceMatcher(None, key.casefold().strip(), KEY).ratio() >= LIKE_OURS


def _misspelt(key: str, place: Place) -> Finding:
    message = f"`{hints.short(key)}` is not a key here; did you mean `{KEY}`?"
    return fault("wrong-kind", message, place, fix=BEGIN)


def _declares(text: str, place: Place) -> Head:
    """What the value behind the key says."""
    kind, _, version = text.partition("/")
    if kind not in KINDS:
        near = difflib.get_close_matches(kind[:40], KINDS)
        hint = f"; did you mean `{near[0]}/{VERSION}`?" if near else ""
        message = f"`{KEY}: {hints.short(text)}` is no kind of file known here{hint}"
        return Head(faults=(fault("wrong-kind", message, place, fix=BEGIN),))
    if version == VERSION:
        return Head(kind)
    said = f"a {kind} without a version"
    if version:
        said = f"version {hints.short(version)} of a {kind}"
    message = f"this is {said}; this program reads version {VERSION}"
    fix = f"Write `{KEY}: {kind}/{VERSION}`, or use the program that wrote the file."
    return Head(faults=(fault("wrong-version", message, place, fix=fix),))


def head_in(document: Document) -> Head:
    """What a file that has been parsed declares; one that is not ours is a fault here."""
    root = document.root
    if root is None:
        return Head(faults=document.faults)
    if not isinstance(root, Map):
        message = "this is not a wiremap file: it holds no keys"
        fix = BEGIN.replace("Begin", "A file begins")
        return Head(faults=(fault("wrong-kind", message, document.place(root), fix=fix),))
    if KEY not in root.entries:
        message = f"the key `{KEY}` is missing, so the kind of this file is unknown"
        return Head(faults=(fault("wrong-kind", message, document.place(root), fix=BEGIN),))
    node: Node = root.entries[KEY][1]
    return _declares(node.text if isinstance(node, Scalar) else "", document.place(node))
