"""What a file came to, and what is said where it is of another kind than wanted."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, TypeVar

from wiremap.base import Finding, Place, fault
from wiremap.files.built import Built
from wiremap.files.head import Head
from wiremap.files.source import Text

OTHER_KIND = {
    "job": "A job names its pinouts and notebooks, not another job.",
    "pinout": "A job joins pinouts: `wiremap start job OLD NEW` writes one.",
    "notebook": "A job names its notebooks under `readings`.",
}

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Loaded(Generic[T]):
    """What a file came to: its value, or None with the faults that say why; `texts` keeps the
    sources for excerpts.
    """

    value: T | None
    findings: tuple[Finding, ...] = ()
    texts: tuple[Text, ...] = ()


def of_kind(made: Built[T], wanted: str, texts: tuple[Text, ...]) -> Loaded[T]:
    """What was built, or the faults that say why it is none of that kind."""
    another = made.head.faults or another_kind(made.head, wanted, made.head_at)
    if another:
        return Loaded(None, another, texts)
    return Loaded(made.value, made.findings, texts)


def another_kind(head: Head, wanted: str, at: Place | None) -> tuple[Finding, ...]:
    """The fault for a file of another kind than wanted; none if it is of that kind, or of no kind
    that we know.
    """
    if head.kind is None or head.kind == wanted:
        return ()
    message = f"this is a {head.kind}, and a {wanted} is wanted here"
    return (fault("wrong-kind", message, at, fix=OTHER_KIND[head.kind]),)
