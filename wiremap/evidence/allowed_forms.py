"""The forms of an answer: a choice, a number within sane bounds, a span, a name."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from wiremap.entries.numbers import Figure, figure, figures

LONGEST = 200  # characters of a name


@dataclass(frozen=True, slots=True)
class Allowed:
    """What may be answered about one thing: in words, an example, and the test of a text."""

    words: str
    example: str
    fits: Callable[[str], bool]


def number(of: Figure) -> Allowed:
    """A number within bounds."""
    words = f"number from {of.low:g} to {of.high:g} {of.unit}"
    start = "a whole" if of.whole else "a"
    return Allowed(f"{start} {words}", of.example, lambda text: figure(text, of) is not None)


def span(of: Figure) -> Allowed:
    """A number within bounds, or two as the ends of a span."""
    words = f"{number(of).words}, or two with `to` between them"
    return Allowed(words, of.example, lambda text: figures(text, of) is not None)


def choice(shown: tuple[str, ...], also: tuple[str, ...] = ()) -> Allowed:
    """One of the words `shown`, or of `also`, which are taken without being shown."""
    known = {word.casefold() for word in (*shown, *also)}
    example, *_ = shown
    return Allowed(" or ".join(shown), example, lambda text: text.casefold() in known)


def short_text(words: str, example: str) -> Allowed:
    """Any short text."""
    return Allowed(words, example, lambda text: 0 < len(text) <= LONGEST and text.isprintable())
