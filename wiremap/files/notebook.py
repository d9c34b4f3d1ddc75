"""From a notebook file's tree to the model: what was seen, answered and accepted."""

from __future__ import annotations

import hashlib
import json
from typing import Any

from wiremap.files import fields
from wiremap.files.cavities import OHMS
from wiremap.files.fields import Reading, Table
from wiremap.files.strict import Document, Map, Node, Scalar, Seq
from wiremap.model import Entry, EntryKind, Notebook, OnOff, Seen, Span, Stop

NEEDS = {
    "answer": ("about", "answer"),
    "survey": ("red",),
    "probe": ("red", "black", "seen"),
    "accept": ("rule", "subject", "by", "why"),
    "power": ("red",),
    "built": ("pieces",),
    "done": ("what", "by"),
    "stop-passed": ("stop", "by"),
    "mended": ("points", "by"),
    "struck-out": ("mark", "by"),
}


def _seen(to: Reading, node: Node, key: str) -> Seen | Span | None:
    if isinstance(node, Scalar) and node.text.strip() in tuple(Seen):
        return Seen(node.text.strip())
    numeric = isinstance(node, Seq) or (
        isinstance(node, Scalar)
        and (node.text.strip() == "open" or fields.as_number(node.text.strip()) is not None)
    )
    if not numeric:
        guess = fields.did_you_mean(node.text, Seen) if isinstance(node, Scalar) else ""
        to.fault(
            "wrong-value",
            f"`{key}` must be {fields.listed(Seen)}, `open` or ohms, not {fields.told(node)}"
            + (f"; {guess}" if guess else ""),
            node,
        )
        return None
    return OHMS(to, node, key)  # type: ignore[no-any-return]


_ENTRY: Table = {
    "kind": fields.one_of(*EntryKind),
    "by": fields.name,
    "date": fields.date,
    "how": fields.text,
    "why": fields.text,
    "about": fields.name,
    "answer": fields.text,
    "red": fields.addresses,
    "black": fields.addresses,
    "seen": _seen,
    "volts": fields.number(-2000, 2000, "V"),
    "amps": fields.number(-1000, 1000, "A"),
    "key": fields.one_of(OnOff.OFF, OnOff.ON),
    "state": fields.name,
    "rule": fields.name,
    "subject": fields.names,
    "of": fields.fingerprint,
    "licensed": fields.name,
    "what": fields.text,
    "points": fields.addresses,
    "stop": fields.one_of(*Stop),
    "second": fields.name,
    "alone": fields.flag,
    "mark": fields.mark,
    "pieces": fields.whole(0, 1_000_000),
    "revision": fields.whole(0, 1_000_000),
}
_NOTEBOOK: Table = {
    "wiremap": fields.name,
    "title": fields.name,
    "entries": lambda to, node, key: node,
}


def build_notebook(document: Document, to: Reading) -> Notebook | None:
    """The notebook that a tree describes; faults are left with `to`."""
    root = document.root
    assert isinstance(root, Map)
    waiting = "entries" in root.entries and fields.empty(root.entries["entries"][1])
    if waiting:  # a notebook that waits for its first entry
        root.entries.pop("entries")
    got = fields.read_map(
        to, root, _NOTEBOOK, "a notebook", required=() if waiting else ("entries",)
    )
    entries = []
    for item in fields.items(to, got["entries"], "`entries`") if "entries" in got else ():
        entry = build_entry(to, item)
        if entry is not None:
            entries.append(entry)
    return None if to.failed else Notebook(document.shown, tuple(entries), to.place(root))


def build_entry(to: Reading, node: Node) -> Entry | None:
    """One entry, or None with faults left behind."""
    before = len(to.findings)
    got: dict[str, Any] = fields.read_map(to, node, _ENTRY, "an entry", required=("kind",))
    kind = got.get("kind")
    if isinstance(node, Map) and kind:
        for key in NEEDS[kind]:
            if key not in node.entries:
                to.fault(
                    "missing-key",
                    f"an entry of kind `{kind}` lacks `{key}`",
                    node,
                    f"Add `{key}: ...`.",
                )
        if kind == "stop-passed" and not node.entries.keys() & {"second", "alone"}:
            to.fault(
                "missing-key",
                "an entry of kind `stop-passed` gives one name only",
                node,
                "Add `second: ...`, the other name; who works alone writes `alone: true`.",
            )
        if kind == "survey" and not node.entries.keys() & {"seen", "volts"}:
            to.fault(
                "missing-key",
                "a survey reading has neither `seen` nor `volts`",
                node,
                "Write what the meter showed.",
            )
    if len(to.findings) > before or kind is None:
        return None
    seen = got.pop("seen", None)
    if isinstance(seen, Span):
        got["ohms"] = seen
    elif seen is not None:
        got["seen"] = seen
    return Entry(**got, own_mark=mark(node), place=to.place(node))


def mark(node: Node) -> str:
    """The first 8 hex digits of SHA-256 over what an entry says, however it is laid out."""
    return hashlib.sha256(_said(node).encode()).hexdigest()[:8]


def _said(node: Node) -> str:
    """The texts of a node as JSON, keys in order; a list of one is its one entry."""
    if isinstance(node, Scalar):
        return json.dumps(node.text)
    if isinstance(node, Seq):
        if len(node.items) == 1:
            return _said(node.items[0])
        return "[" + ",".join(map(_said, node.items)) + "]"
    pairs = (
        f"{json.dumps(key)}:{_said(value)}" for key, (_, value) in sorted(node.entries.items())
    )
    return "{" + ",".join(pairs) + "}"
