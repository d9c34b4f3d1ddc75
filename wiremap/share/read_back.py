"""Files of ours are read back before they are given out: what we write, we can read."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from pathlib import Path

from wiremap.files import Files


def unreadable(files: Mapping[str, str]) -> str:
    """Why one of the texts could not be read by us, or nothing."""
    with tempfile.TemporaryDirectory() as scratch:
        paths = []
        for name, text in files.items():
            path = Path(scratch) / name
            path.write_text(text, encoding="utf-8", newline="\n")
            paths.append(path)
        reader = Files()
        for path in paths:
            for found in reader.any(path).findings:
                if found.fault:
                    return found.message
    return ""
