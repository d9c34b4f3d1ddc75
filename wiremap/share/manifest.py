"""What a pack says of itself: its manifest, read from strangers and judged by its schema."""

from __future__ import annotations

import json
import unicodedata
from collections.abc import Iterator
from functools import cache
from typing import TYPE_CHECKING, Any

from wiremap.base import STEERING
from wiremap.files.schemas import schema

if TYPE_CHECKING:
    from jsonschema import Draft7Validator

MANIFEST = "manifest.json"
VERSION = "pack/1"
INVISIBLE = STEERING - {"Co", "Cn"}  # an unassigned character may be one of a newer Unicode


class Unfit(Exception):
    """Why a pack is refused."""


def read_manifest(data: bytes) -> dict[str, Any]:
    """A manifest as plain data; raises Unfit unless it is as its schema says."""
    try:
        manifest = json.loads(data.decode("utf-8"), object_pairs_hook=_without_repeats)
    except (ValueError, RecursionError):
        raise Unfit("its manifest cannot be read") from None
    if not isinstance(manifest, dict) or not isinstance(manifest.get("wiremap"), str):
        raise Unfit("its manifest is not one of wiremap's")
    if any(unicodedata.category(each) in INVISIBLE for text in _texts(manifest) for each in text):
        raise Unfit("its manifest holds a control or invisible character")
    version = manifest["wiremap"]
    if version != VERSION:
        raise Unfit(f"it is of version {version[:40]!r}; this program reads {VERSION!r}")
    _judge(manifest)
    return manifest


def _without_repeats(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    entries = dict(pairs)
    if len(entries) != len(pairs):
        raise Unfit("its manifest says something twice")
    return entries


def _texts(value: Any) -> Iterator[str]:
    """Every text of a manifest, keys included."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for key, each in value.items():
            yield key
            yield from _texts(each)
    elif isinstance(value, list):
        for each in value:
            yield from _texts(each)


def _judge(manifest: dict[str, Any]) -> None:
    """Raise Unfit with the first place, by path, where the manifest is not as its schema says."""
    wrong = [
        ("/".join(map(str, error.absolute_path)), error.message)
        for error in _validator().iter_errors(manifest)
    ]
    if wrong:
        path, message = min(wrong)
        raise Unfit(f"its manifest is not in order at {path or 'its top'}: {message[:120]}")


@cache
def _validator() -> Draft7Validator:
    """The judge; its registry is empty, so that nothing is ever fetched."""
    from jsonschema import Draft7Validator  # a fifth of a second, and only packs need it
    from referencing import Registry

    return Draft7Validator(schema("manifest"), registry=Registry())
