"""What a notebook says of itself once it has come in a pack: how many of its entries came along."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from wiremap.base import Finding, Place, fault, visible
from wiremap.files import declared_kind, load_notebook
from wiremap.files.yamltext import quoted
from wiremap.model import Entry
from wiremap.model.notebook import SIGNED

FIRST_KEY = re.compile(rb"^wiremap[ \t]*:[ \t]*notebook/1[^\r\n]*(\r?\n)", re.MULTILINE)
EARLIER_ORIGIN = re.compile(rb"^came_with[ \t]*:[^\r\n]*\r?\n", re.MULTILINE)
LONGEST_AUTHOR = 200  # characters
NOBODY = "nobody named"


def with_origin(
    files: Mapping[str, bytes], manifest: Mapping[str, Any]
) -> dict[str, bytes] | Finding:
    """A pack's files; a notebook that holds signatures bears where its entries came from.

    One that cannot bear it is a finding: its signatures would count as if made here.
    """
    files_told = {}
    for name, data in files.items():
        if not name.endswith((".yaml", ".yml")) or not _holds_signatures(data):
            files_told[name] = data
            continue
        marked = _marked(data, manifest)
        if marked is None:
            words = "this notebook cannot be told apart from one that was written here"
            fix = "Ask the sender for one that begins with the line `wiremap: notebook/1`."
            return fault("no-origin", words, Place(name), fix=fix)
        files_told[name] = marked
    return files_told


def _holds_signatures(data: bytes) -> bool:
    """Whether it is a notebook with signatures; one that cannot be read counts nothing anyway."""
    entries = _entries(data) or ()
    return any(entry.kind in SIGNED for entry in entries)


def _marked(data: bytes, manifest: Mapping[str, Any]) -> bytes | None:
    """The notebook with its origin behind its first key; None where that does not read back."""
    count = len(_entries(data) or ())
    bare = EARLIER_ORIGIN.sub(b"", data)
    first_key = FIRST_KEY.search(bare)
    if first_key is None:
        return None
    author = visible(str(manifest.get("author") or NOBODY))[:LONGEST_AUTHOR]
    line = f"came_with: {{from: {quoted(author)}, entries: {count}}}".encode()
    marked = bare[: first_key.end()] + line + first_key[1] + bare[first_key.end() :]
    read_back = _entries(marked)
    if (
        read_back is None
        or len(read_back) != count
        or not all(entry.from_pack for entry in read_back)
    ):
        return None
    return marked


def _entries(data: bytes) -> tuple[Entry, ...] | None:
    """The entries of a notebook; None of any other file, and of one that cannot be read."""
    with tempfile.TemporaryDirectory() as scratch:
        path = Path(scratch) / "read.yaml"
        path.write_bytes(data)
        if declared_kind(path)[0] != "notebook":
            return None
        loaded = load_notebook(path)
    if loaded.value is None or any(found.fault for found in loaded.findings):
        return None
    return loaded.value.entries
