"""Pinouts and notebooks built from their text; a text that was built before is not built again.

The text itself is the key, so that what a file holds now is what is given, whoever wrote it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache, partial
from typing import Generic, TypeVar

from wiremap.base import Finding, Place
from wiremap.files.faults import Faults
from wiremap.files.head import KEY, Head, head_in
from wiremap.files.notebook import build_notebook
from wiremap.files.pinout import build_pinout
from wiremap.files.source import Text
from wiremap.files.strict import Document, Map, parse
from wiremap.model import Notebook, Pinout

MOST_NOTEBOOKS = 6  # kept: as it was, as it becomes, what is added, and others that are named
MOST_PINOUTS = 16

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Built(Generic[T]):
    """What a text says it is, where it says so, and what it holds if that is of the wanted kind."""

    head: Head
    head_at: Place | None  # None: it does not say
    value: T | None = None
    findings: tuple[Finding, ...]


@lru_cache(maxsize=MOST_NOTEBOOKS)
def built_notebook(text: Text) -> Built[Notebook]:
    """The notebook that a text holds."""
    return notebook_in(parse(text))


@lru_cache(maxsize=MOST_PINOUTS)
def built_pinout(text: Text, stem: str) -> Built[Pinout]:
    """The pinout that a text holds; `stem` is its file's name, for what has none of its own."""
    return pinout_in(parse(text), stem)


def notebook_in(document: Document) -> Built[Notebook]:
    """The notebook of a parsed text."""
    return _built(document, "notebook", build_notebook)


def pinout_in(document: Document, stem: str) -> Built[Pinout]:
    """The pinout of a parsed text; `stem` is its file's name, for what has none of its own."""
    return _built(document, "pinout", partial(build_pinout, default_title=stem))


def _built(
    document: Document, wanted: str, build: Callable[[Document, Faults], T | None]
) -> Built[T]:
    """What a document holds, built if it is of the wanted kind."""
    head = head_in(document)
    place = head_at(document)
    if head.kind != wanted or head.faults:
        return Built(head=head, head_at=place, findings=head.faults)
    faults = Faults(document.shown)
    value = build(document, faults)
    return Built(head=head, head_at=place, value=value, findings=faults.ordered())


def head_at(document: Document) -> Place | None:
    """Where a document says what it is; None where it does not."""
    if isinstance(document.root, Map) and KEY in document.root.entries:
        return document.place(document.root.entries[KEY][1])
    return None
