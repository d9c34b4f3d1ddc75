"""How lines are laid for a screen: wrapped, indented, cut short with a mark."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Iterator, Sequence

WIDTH = 80
CALL = re.compile(r"wiremap [a-z](?:\"[^\"]*\"|[^\";:,()\n])*")  # a command within a sentence
HELD = "\N{NO-BREAK SPACE}"  # no wrapping parts words at it
INDENT = "  "


def wrapped(words: str, *, lead: str = "", most: int | None = None) -> list[str]:
    """A sentence in lines of at most `WIDTH`, the first behind `lead`, the others below its end.

    With `most`, what does not fit into so many lines is cut off and marked.
    """
    room = WIDTH - len(lead)
    lines = filled(words, room)
    if most is not None and len(lines) > most:
        lines = [*lines[: most - 1], f"{lines[most - 1]} ..."]
    return [lead + lines[0], *(" " * len(lead) + line for line in lines[1:])]


def filled(words: str, room: int) -> list[str]:
    """A sentence in lines of so many characters; a command in it stays whole, for it is pasted."""
    held = CALL.sub(lambda call: call[0].rstrip().replace(" ", HELD) + _blank(call[0]), words)
    lines = textwrap.wrap(held, room, break_long_words=False, break_on_hyphens=False) or [""]
    return [line.replace(HELD, " ") for line in lines]


def _blank(call: str) -> str:
    """The blanks behind a command, where the sentence goes on."""
    return " " * (len(call) - len(call.rstrip()))


def block(heading: str, lines: Iterable[str], *, most: int | None = None) -> Iterator[str]:
    """A heading with its lines below; nothing where there are none."""
    below = list(lines)
    if not below:
        return
    yield from wrapped(heading)
    for line in below:
        yield from wrapped(line, lead=INDENT, most=most)


def few(lines: Sequence[str], most: int, *, each: int = 3, lead: str = "") -> Iterator[str]:
    """The first of these sentences in at most `each` lines, and how many follow."""
    for line in lines[:most]:
        yield from wrapped(line, lead=lead, most=each)
    left = len(lines) - most
    if left > 0:
        yield f"{lead}and {left} more such: --full tells {'it' if left == 1 else 'them'}"


def some(words: Sequence[str], most: int) -> str:
    """The first of several words, and how many more there are."""
    named = ", ".join(words[:most])
    left = len(words) - most
    return f"{named} and {left} more" if left > 0 else named
