"""What is written at a step of a filled-in sheet, and whose hand it is."""

from __future__ import annotations

from typing import NamedTuple

from wiremap.content.words import listed, number
from wiremap.model import Entry


class Written(NamedTuple):
    """What is written at a step, and whose hand it is."""

    text: str
    by: str
    wrong: bool = False


def written(entry: Entry, *, wrong: bool) -> Written:
    """The figure or the word of a reading; one that is not as wanted is called so."""
    figures = []
    if entry.volts is not None:
        figures.append(f"{number(entry.volts)} V")
    if entry.amps is not None:
        figures.append(f"{number(entry.amps)} A")
    if entry.ohms is not None:
        text = str(entry.ohms)
        figures.append(text if text == "open" else f"{text} Ω")
    if entry.seen is not None:
        figures.append(str(entry.seen))
    text = listed(*figures)
    if wrong:
        text = f"{text}: wrong"
    return Written(text, entry.by, wrong)


def plain(words: str) -> str:
    """Words as they are compared: in small letters, without a full stop."""
    return words.strip().casefold().rstrip(".")
