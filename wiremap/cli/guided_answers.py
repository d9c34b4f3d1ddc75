"""What an answer of the guided start must be: each gives why one will not do, empty if it does."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from wiremap.share.beginning import paper_of_rows, split_row

PASTE, HAND = "paste", "hand"
MOST_VOLTS = 60  # class B is refused


def one_of(*words: str) -> Callable[[str], str]:
    return lambda said: "" if said in words else f"one of: {', '.join(words)}, ?"


def readable(folder: Path) -> Callable[[str], str]:
    """An answer that is a way to tell a table, or a file that is there."""

    def refusal(said: str) -> str:
        if said in (PASTE, HAND) or (folder / said).is_file():
            return ""
        return f"there is no file {said}"

    return refusal


def row_fault(said: str) -> str:
    name, text = split_row(said)
    if not name:
        return "a row is a cavity, a colon and what it carries: 1: +12 always, red"
    found = paper_of_rows([said], title="row").findings
    if found and "letters" not in found[0].fix:
        return found[0].message
    return "" if text else "what does it carry?"


def volts_fault(said: str) -> str:
    try:
        volts = float(said)
    except ValueError:
        volts = -1.0
    return "" if 0 < volts <= MOST_VOLTS else f"volts from 1 to {MOST_VOLTS}, as a figure"
