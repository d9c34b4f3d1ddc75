"""How lines are laid for a screen: wrapped, indented, cut short with a mark."""

from __future__ import annotations

import os
import re
import sys
import textwrap
from collections.abc import Callable, Iterable, Iterator, Sequence

from wiremap.base import only

SCREEN = 40  # lines of a command, but for --full
LAST_STEP = 4  # of them for what comes next
USUAL = 100  # columns where there is no terminal
NARROWEST, WIDEST = 40, 200  # that lines are laid for
LABEL = re.compile(r" *(?:[a-z]+: |\d+\. )?")
HANGING = 12  # columns at which a line goes on, at most
LEAST_HANGING = 2
LEAST_ROOM = 20  # columns for what stands behind a long lead
CALL = re.compile(r"wiremap [a-z](?:\"[^\"]*\"|[^\";:,()\n])*")  # a command within a sentence
HELD = "\N{NO-BREAK SPACE}"  # words are not parted at it when lines are wrapped
INDENT = "  "
SENTENCE = 3  # lines of one, where it is one of several
ONE_LINE = 1
SHORT = 2  # lines of one that is short mostly
CUT = " ..."  # where a sentence was cut off


def width() -> int:
    """Columns that a line may take: as COLUMNS says, else the terminal's, else 100."""
    said = os.environ.get("COLUMNS", "")
    columns = int(said) if said.isascii() and said.isdigit() and len(said) < 6 else _terminal()
    return min(max(columns, NARROWEST), WIDEST)


def _terminal() -> int:
    try:
        return os.get_terminal_size(sys.stdout.fileno()).columns or USUAL
    except (OSError, ValueError, AttributeError):  # no terminal, a closed one, or none of its own
        return USUAL


def fitted(line: str) -> list[str]:
    """A line as it is printed: within the width, what goes on below its label or first word."""
    if len(line) <= width():
        return [line]
    label = LABEL.match(line)
    lead = label.group() if label else ""
    hanging = " " * max(LEAST_HANGING, min(len(lead), HANGING))
    first, *others = filled(line[len(lead) :], width() - max(LEAST_HANGING, len(lead)))
    return [lead + first, *(hanging + each for each in others)]


def rows_of(line: str) -> int:
    """How many rows of the screen a line takes that is not wrapped."""
    return max(1, -(-len(line) // width()))


def wrapped(words: str, *, lead: str = "", most: int | None = None) -> list[str]:
    """A sentence in lines of the width, the first behind `lead`, the others below its end.

    With `most`, what does not fit into so many lines is cut off and marked.
    """
    room = max(width() - len(lead), LEAST_ROOM)
    first, *others = cut(filled(words, room), most, room)
    return [lead + first, *(" " * len(lead) + line for line in others)]


def cut(lines: list[str], most: int | None, room: int) -> list[str]:
    """The first `most` of some lines; where some are left out, a mark ends the last of them.

    With the mark it is no longer than `room`, in characters.
    """
    if most is None or len(lines) <= most:
        return lines
    last = lines[most - 1]
    while len(last) + len(CUT) > room and " " in last:
        last = last.rpartition(" ")[0]
    return [*lines[: most - 1], last + CUT]


def filled(words: str, room: int) -> list[str]:
    """A sentence in lines of so many characters; a command in it stays whole, for it is pasted."""
    held = CALL.sub(
        lambda call: call.group().rstrip().replace(" ", HELD) + _blank(call.group()), words
    )
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


def lines_up_to(
    lines: Sequence[str], most: int, *, each: int = SENTENCE, lead: str = ""
) -> Iterator[str]:
    """The first of these sentences in at most `each` lines, and how many follow."""
    for line in lines[:most]:
        yield from wrapped(line, lead=lead, most=each)
    left = lines[most:]
    if left:
        them = "them" if only(left) is None else "it"
        yield f"{lead}and {len(left)} more such: --full tells {them}"


def whole_or_few(lines: Sequence[str], most: int, *, room: int, each: int) -> Iterator[str]:
    """These sentences whole where they fit into the room, else the beginnings of the first."""
    whole = [part for line in lines for part in wrapped(line)]
    return iter(whole) if len(whole) <= room else lines_up_to(lines, most, each=each)


def shrunk_to(make: Callable[[int], Iterable[str]], room: int, most: int) -> list[str]:
    """The lines that `make` gives for the longest lists, `most` items at most, that fit the room.

    `room` is in lines of the screen.
    """
    lines: list[str] = []
    for told in range(most, 0, -1):
        lines = list(make(told))
        if sum(len(fitted(line)) for line in lines) <= room:
            break
    return lines


def named_up_to(words: Sequence[str], most: int, *, by: str = "--full") -> str:
    """The first of several words, how many more there are, and by which flag they are told."""
    named = ", ".join(words[:most])
    left = words[most:]
    told = f" ({by})" if by else ""
    return f"{named} and {len(left)} more{told}" if left else named
