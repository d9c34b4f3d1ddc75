"""From a notebook file's tree to the model."""

from __future__ import annotations

from wiremap.files.plain_fields import Fields
from wiremap.files.hints import short
from wiremap.files.strict import Map, Node, Scalar, Seq
from wiremap.model import Entry, Notebook, Span
from wiremap.model.notebook import KINDS, SEEN_WORDS

TOP = ("wiremap", "entries", "title", "notes")
KEYS = (
    "kind",
    "by",
    "date",
    "how",
    "why",
    "about",
    "answer",
    "red",
    "black",
    "seen",
    "volts",
    "key",
    "state",
    "rule",
    "subject",
    "of",
    "pieces",
    "revision",
    "notes",
)
NEEDS = {
    "answer": ("about", "answer"),
    "survey": ("red",),
    "probe": ("red", "black", "seen"),
    "accept": ("rule", "subject"),
    "power": ("red",),
    "built": ("pieces",),
}


def read_notebook(f: Fields, root: Map) -> Notebook:
    """The whole file."""
    top = f.table(root, "notebook", TOP)
    entries = []
    node = top.get("entries")
    if node is not None and not (isinstance(node, Scalar) and not node.text):
        entries = [e for i in f.items(node, "entries") if (e := _entry(f, i))]
    return Notebook(f.document.shown, tuple(entries), f.place(root))


def _entry(f: Fields, node: Node) -> Entry | None:
    found = f.table(node, "entry", KEYS)
    if not found:
        return None
    kind = f.choice(found["kind"], "entry: kind", KINDS) if "kind" in found else None
    if "kind" not in found:
        f.wrong("missing-key", "entry: `kind` is missing", node, f"One of: {', '.join(KINDS)}.")
    if kind is None:
        return None
    missing = [k for k in NEEDS[kind] if k not in found]
    if missing:
        f.wrong(
            "missing-key",
            f"{kind}: `{missing[0]}` is missing",
            node,
            f"An entry of this kind needs {', '.join(NEEDS[kind])}.",
        )
        return None

    def text(key: str) -> str:
        return (f.text(found[key], f"{kind}: {key}") or "") if key in found else ""

    def texts(key: str) -> tuple[str, ...]:
        return (
            tuple(t for i in f.items(found[key], f"{kind}: {key}") if (t := f.name(i, f"{kind}: {key}")))
            if key in found
            else ()
        )

    seen, ohms = _seen(f, found["seen"], kind) if "seen" in found else (None, None)
    volts = f.number(found["volts"], f"{kind}: volts", -1500, 1500, "V") if "volts" in found else None
    key = f.choice(found["key"], f"{kind}: key", ("off", "on")) if "key" in found else None
    pieces = f.whole(found["pieces"], f"{kind}: pieces") if "pieces" in found else None
    revision = f.whole(found["revision"], f"{kind}: revision") if "revision" in found else None
    return Entry(
        kind,
        text("by"),
        text("date"),
        text("how"),
        text("why"),
        text("about"),
        text("answer"),
        texts("red"),
        texts("black"),
        seen,
        ohms,
        volts,
        key,
        text("state") or None,
        text("rule"),
        texts("subject"),
        text("of") or None,
        pieces,
        revision,
        f.place(node),
    )


def _seen(f: Fields, node: Node, kind: str) -> tuple[str | None, Span | None]:
    where = f"{kind}: seen"
    if isinstance(node, Scalar) and node.text in SEEN_WORDS:
        return node.text, None
    if (
        isinstance(node, Scalar)
        and node.text
        and not node.text[0].isdigit()
        and node.text[0] not in ".+"
        and node.text != "open"
    ):
        f.wrong(
            "unknown-word",
            f"{where}: `{short(node.text)}` is not a word for this",
            node,
            f"One of {', '.join(SEEN_WORDS)}, open, or ohms as a number.",
        )
        return None, None
    if isinstance(node, Scalar | Seq):
        return None, f.ohms(node, where)
    f.wrong("wrong-shape", f"{where}: a word or ohms are wanted", node)
    return None, None
