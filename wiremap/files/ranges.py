"""Ranges of cavities: `6-7` stands for 6 and 7 unless a cavity bears that very name."""

from __future__ import annotations

import re
from collections.abc import Collection

from wiremap.files.faults import Faults
from wiremap.files.hints import short
from wiremap.files.strict import Scalar

MAX_CAVITIES = 4096
_RANGE = re.compile(r"(\d{1,60})-(\d{1,60})", re.ASCII)
_MEANT_RANGE = re.compile(
    r"(\d{1,4})\s*(?::|\.\.+|‐|‑|‒|–|—|−|~|\bto\b|\bbis\b)\s*(\d{1,4})", re.ASCII
)


def numbers(word: str) -> tuple[str, ...]:
    """The names that a range of whole numbers stands for, or nothing if the word is no range."""
    found = _RANGE.fullmatch(word)
    if not found:
        return ()
    low, high = found.groups()
    first, last = int(low), int(high)
    if last < first or last - first >= MAX_CAVITIES:
        return ()
    width = len(low) if low.startswith("0") and len(low) == len(high) else 0
    return tuple(str(number).zfill(width) for number in range(first, last + 1))


def expand(
    faults: Faults, key: Scalar, literal: Collection[str], written: str | None = None
) -> tuple[str, ...]:
    """The cavities that a key names: itself, or each of a range; a misspelt range names nothing."""
    word = key.text if written is None else written
    if word in literal or word.isdecimal():
        return (word,)
    found = _RANGE.fullmatch(word)
    if found:
        names = numbers(word)
        if not names:
            _no_range(faults, key, word, int(found[1]), int(found[2]))
        return names
    meant = _MEANT_RANGE.fullmatch(word) if key.plain else None
    if meant and int(meant[1]) < int(meant[2]):
        fix = (
            f"Write `{meant[1]}-{meant[2]}` with a plain dash; "
            "if it is the name of one cavity, put it in quotes."
        )
        faults.add("wrong-range", f"`{short(word)}` is no range of cavities", key, fix)
        return ()
    return (word,)


def _no_range(faults: Faults, key: Scalar, word: str, low: int, high: int) -> None:
    if high < low:
        message = f"the range `{short(word)}` runs from high to low"
        faults.add("wrong-value", message, key, f"Write `{high}-{low}`.")
        return
    message = f"the range `{short(word)}` spans more than {MAX_CAVITIES:,} cavities"
    faults.add("over-limit", message, key, "Check the two numbers.")
