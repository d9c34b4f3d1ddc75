"""What all lines of readings share, whatever they tell of: dashes, commas, places, near names."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Iterator
from pathlib import Path

from wiremap.base import Finding, Place, fault

DASH = r"[-\u2010-\u2015\u2212]"  # hyphens, dashes and the minus sign: whatever a phone or a word processor makes of one
BETWEEN = re.compile(r"(?<!\d),|,(?!\d)")  # a comma between digits is a decimal comma


def pieces(text: str, shown: str) -> Iterator[tuple[Place, str]]:
    """Each reading, parted by commas or line ends, with the place where it begins; `#` begins a remark."""
    for number, line in enumerate(text.splitlines(), 1):
        start = 0
        for piece in BETWEEN.split(line.partition("#")[0]):
            if piece.strip():
                yield (
                    Place(shown, number, start + 1 + len(piece) - len(piece.lstrip())),
                    piece.strip(),
                )
            start += len(piece) + 1


def taken_out(pattern: re.Pattern[str], text: str) -> tuple[list[re.Match[str]], str]:
    """What a pattern finds, and the words without it."""
    return list(pattern.finditer(text)), pattern.sub(" ", text)


def did_you_mean(name: str, known: Iterable[str]) -> str:
    """The names that come near a mistyped one, as the end of a sentence; empty if none does."""
    small = {k.casefold(): k for k in known}
    close = difflib.get_close_matches(name.casefold(), list(small), n=3, cutoff=0.5)
    return f"; did you mean {' or '.join(small[c] for c in close)}?" if close else ""


def text_of(path: Path | str) -> str | Finding:
    """The text of a file of lines, or why it could not be read."""
    try:
        return Path(path).read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        why = error.strerror if isinstance(error, OSError) else "it is not UTF-8 text"
        return fault(
            "no-such-file",
            f"could not be read: {why}",
            Place(Path(path).as_posix()),
            fix="check its name and folder, and save it as plain text",
        )
