"""The JSON Schemas that editors read: where they are, and how a file names the one that describes
it.
"""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from importlib import resources
from pathlib import Path
from typing import Any

KINDS: tuple[str, ...] = ("pinout", "job", "notebook")  # what people write
ALL = (*KINDS, "manifest")
VERSION = 1
MOST_UP = 4  # folders above a file in which its schema is looked for


def schema_text(kind: str) -> str:
    """The schema of a kind of file, from the installed package or else from the checkout; raises
    KeyError.
    """
    if kind not in ALL:
        raise KeyError(f"{kind!r} is none of {', '.join(ALL)}")
    name = f"{kind}-{VERSION}.json"
    packaged = resources.files("wiremap").joinpath("data", "schemas", name)
    if packaged.is_file():
        return packaged.read_text(encoding="utf-8")
    return (Path(__file__).resolve().parents[2] / "schemas" / name).read_text(encoding="utf-8")


def schema(kind: str) -> Mapping[str, Any]:
    """The parsed schema of a kind of file."""
    parsed: Mapping[str, Any] = json.loads(schema_text(kind))
    return parsed


def reference(kind: str, folder: Path | str | None = None) -> str:
    """How a file in this folder names its schema: the nearest `schemas` folder above it, or one
    beside it.
    """
    name = f"schemas/{kind}-{VERSION}.json"
    here = Path(os.path.abspath(folder or "."))
    for up, above in enumerate((here, *here.parents)):
        if up > MOST_UP:
            break
        if (above / name).is_file():
            return "../" * up + name
    return name


def first_lines(kind: str, where: str | None = None) -> tuple[str, str]:
    """The comment lines that tie a file to its schema, for both families of editors."""
    named = where or f"schemas/{kind}-{VERSION}.json"
    return f"# yaml-language-server: $schema={named}", f"# $schema: {named}"
