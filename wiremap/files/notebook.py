"""From a notebook file's tree to the model: what was seen, done, answered and accepted."""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from typing import Any

from wiremap.base import only
from wiremap.files import values
from wiremap.files.contacts import OHMS
from wiremap.files.faults import Faults, empty, listed, told
from wiremap.files.strict import Document, Map, Node, Scalar, Seq
from wiremap.files.values import (
    ADDRESSES,
    DATE,
    FINGERPRINT,
    FLAG,
    LATER,
    MARK,
    NAME,
    NAMES,
    TEXT,
    TIME,
    FileValue,
    Table,
    read_map,
)
from wiremap.model import Entry, EntryKind, Notebook, OnOff, Seen, Span, Stop

MARK_DIGITS = 8  # of a SHA-256, by which people name an entry
NEEDS = {
    EntryKind.ANSWER: ("about", "answer"),
    EntryKind.SURVEY: ("red",),
    EntryKind.PROBE: ("red", "black", "seen"),
    EntryKind.ACCEPT: ("rule", "subject", "by", "why"),
    EntryKind.POWER: ("red",),
    EntryKind.BUILT: ("pieces",),
    EntryKind.DONE: ("what", "by"),
    EntryKind.STOP_PASSED: ("stop", "by"),
    EntryKind.MENDED: ("points", "by"),
    EntryKind.STRUCK_OUT: ("mark", "by"),
    EntryKind.ADOPTED: ("mark", "by"),
}


def _seen(faults: Faults, node: Node, key: str) -> Any:
    """A word of the meter's, or ohms as a span."""
    if isinstance(node, Seq):
        return OHMS.read(faults, node, key)
    written = node.text.strip() if isinstance(node, Scalar) else ""
    if written in list(Seen):
        return Seen(written)
    if written == "open" or values.as_number(written) is not None:
        return OHMS.read(faults, node, key)
    message = f"`{key}` must be {listed(Seen)}, `open` or ohms, not {told(node)}"
    faults.unlike("wrong-value", message, node, written, Seen)
    return None


ENTRY: Table = {
    "kind": values.one_of(EntryKind),
    "about": NAME,
    "answer": TEXT,
    "rule": NAME,
    "subject": NAMES,
    "red": ADDRESSES,
    "black": ADDRESSES,
    "volts": values.number(-2000, 2000, "V"),
    "amps": values.number(-1000, 1000, "A"),
    "seen": FileValue(_seen),
    "key": values.one_of(OnOff),
    "state": NAME,
    "pieces": values.whole(0, 1_000_000),
    "revision": values.whole(0, 1_000_000),
    "what": TEXT,
    "points": ADDRESSES,
    "stop": values.one_of(Stop),
    "mark": MARK,
    "by": NAME,
    "second": NAME,
    "alone": FLAG,
    "licensed": NAME,
    "date": DATE,
    "time": TIME,
    "how": TEXT,
    "why": TEXT,
    "of": FINGERPRINT,
}
CAME_WITH: Table = {"from": NAME, "date": DATE, "entries": values.whole(0, 1_000_000)}
NOTEBOOK: Table = {"wiremap": NAME, "title": NAME, "came_with": LATER, "entries": LATER}


def build_notebook(document: Document, faults: Faults) -> Notebook | None:
    """The notebook that a tree describes; faults are left with `faults`."""
    root = document.root
    assert isinstance(root, Map)
    waiting = "entries" in root.entries and empty(root.entries["entries"][1])
    if waiting:  # a notebook that waits for its first entry
        root.entries.pop("entries")
    required = () if waiting else ("entries",)
    got = read_map(faults, root, NOTEBOOK, "a notebook", required)
    listed_nodes: list[Node] = []
    if "entries" in got:
        listed_nodes = values.items(faults, got["entries"], "`entries`")
    came = _came_with(faults, got.get("came_with"))
    entries = []
    for number, item in enumerate(listed_nodes):
        entry = build_entry(faults, item)
        if entry is not None:
            entries.append(replace(entry, from_pack=number < came))
    return None if faults.failed else Notebook(document.shown, tuple(entries), faults.place(root))


def _came_with(faults: Faults, node: Node | None) -> int:
    """How many of the entries, the first ones, came with the notebook in a pack."""
    if node is None:
        return 0
    got = read_map(faults, node, CAME_WITH, "`came_with`", required=("from", "entries"))
    return int(got.get("entries", 0))


def build_entry(faults: Faults, node: Node) -> Entry | None:
    """One entry, or None with faults left behind."""
    before = faults.counted
    got = read_map(faults, node, ENTRY, "an entry", required=("kind",))
    if isinstance(node, Map) and "kind" in got:
        _complete(faults, node, got["kind"])
    if faults.counted > before or "kind" not in got:
        return None
    if isinstance(got.get("seen"), Span):
        got["ohms"] = got.pop("seen")
    return Entry(**got, own_mark=mark(node), place=faults.place(node))


def _complete(faults: Faults, node: Map, kind: EntryKind) -> None:
    """A fault for every key that an entry of its kind cannot be without."""
    for key in NEEDS[kind]:
        if key not in node.entries:
            message = f"an entry of kind `{kind}` lacks `{key}`"
            faults.add("missing-key", message, node, f"Add `{key}: ...`.")
    stated = node.entries.keys()
    if kind is EntryKind.SURVEY and not stated & {"seen", "volts"}:
        message = "a survey reading has neither `seen` nor `volts`"
        faults.add("missing-key", message, node, "Write what the meter showed.")
    if kind is EntryKind.STOP_PASSED and not stated & {"second", "alone"}:
        message = "an entry of kind `stop-passed` gives one name only"
        fix = "Add `second: ...`, the other name; who works alone writes `alone: true`."
        faults.add("missing-key", message, node, fix)


def mark(node: Node) -> str:
    """The first 8 hex digits of SHA-256 over what an entry says, however it is laid out."""
    return hashlib.sha256(_said(node).encode()).hexdigest()[:MARK_DIGITS]


def _said(node: Node) -> str:
    """The texts of a node as JSON, keys in order; a list of one is its one entry."""
    if isinstance(node, Scalar):
        return json.dumps(" ".join(node.text.split()))
    if isinstance(node, Seq):
        alone = only(node.items)
        if alone is not None:
            return _said(alone)
        return "[" + ",".join(map(_said, node.items)) + "]"
    pairs = [f"{json.dumps(key)}:{_said(node.entries[key][1])}" for key in sorted(node.entries)]
    return "{" + ",".join(pairs) + "}"
