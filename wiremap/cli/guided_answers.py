"""What an answer of the guided start must be: each gives why one will not do, empty if it does."""

from __future__ import annotations

from collections.abc import Callable, Collection
from pathlib import Path

from wiremap.entries.numbers import figure
from wiremap.evidence.answer_figures import FIGURES, figure_of
from wiremap.evidence.new_wires import EXAMPLE, tells_wire, why_no_wire
from wiremap.evidence.unusual import is_thread, unusual, unusual_figure
from wiremap.reports.screen import named_up_to
from wiremap.share.beginning import YAML, fed_by, pinout_of_rows, split_row, ways_of
from wiremap.share.module_paper import own_fuse

PASTE, HAND = "paste", "hand"
TABLES = (".csv", ".tsv", ".txt", ".xlsx", *YAML)
MOST_FILES = 5
MOST_VOLTS = 60  # class B is refused


def readable(folder: Path) -> Callable[[str], str]:
    """An answer that is a way to tell a table, or a file that is there."""

    def refusal(said: str) -> str:
        if told_how(folder, said) in (PASTE, HAND) or file_of(folder, said).is_file():
            return ""
        return f"there is no file {said} in {folder.resolve().name or folder}"

    return refusal


def told_how(folder: Path, said: str) -> str:
    """A way to tell a table, whole or as it begins; a file of that name goes before."""
    if file_of(folder, said).is_file():
        return said
    begun = [way for way in (PASTE, HAND) if way.startswith(said.casefold())]
    return begun[0] if len(begun) == 1 else said


def file_of(folder: Path, said: str) -> Path:
    """A file as it is typed: from the folder that is written to, or from where one stands."""
    there = folder / said
    return there if there.is_file() else Path(said)


def tables_in(folder: Path) -> str:
    """The tables and pinouts that lie there, for the hint; empty if there are none."""
    found = [path.name for path in folder.iterdir() if path.suffix.casefold() in TABLES]
    return named_up_to(sorted(found), MOST_FILES)


def shell_fault(cavities: int) -> Callable[[str], str]:
    """An answer that begins with how many ways the shell has, as many as the table at least."""

    def refusal(said: str) -> str:
        ways = ways_of(said)
        if ways is None:
            return "begin with how many ways it has: 14-way sealed, or 14-way not sealed"
        if ways < cavities:
            return f"the table has {cavities} cavities, {ways} ways are too few"
        return ""

    return refusal


def row_fault(said: str) -> str:
    name, text = split_row(said)
    if not name:
        return "a row is a cavity, a colon and what it carries: 1: +12 always, red"
    found = pinout_of_rows([said], title="row").findings
    if found and "letters" not in found[0].fix:
        return found[0].message
    return "" if text else "what does it carry?"


def volts_fault(said: str) -> str:
    if volts_of(said) is None:
        return f"volts from 1 to {MOST_VOLTS}, as 24 or 24 V"
    return ""


def own_fuse_fault(said: str) -> str:
    return "" if own_fuse(said) else "begin with its form: blade 2"


def unusual_own_fuse(said: str) -> str:
    """Why the amps of a fuse of its own are asked back."""
    fuse = own_fuse(said)
    return "" if fuse is None or not fuse.amps else unusual_figure("fuse_amps", fuse.amps)


def unusual_feed(said: str) -> str:
    """Why the amps of the fuse that feeds a contact are asked back."""
    fed = fed_by("1", said)
    return "" if fed is None or not fed.found_amps else unusual_figure("found_amps", fed.found_amps)


def amps_fault(said: str) -> str:
    return "" if figure_of("amps", said) is not None else "amps, as 0.15 or 150 mA"


def unusual_amps(said: str) -> str:
    """Why amps are asked back."""
    return unusual("amps", said)


def ground_fault(own: Collection[str]) -> Callable[[str], str]:
    """An answer that is a thread, or one of the machine's own grounds."""

    def refusal(said: str) -> str:
        if said in own or is_thread(said):
            return ""
        return "a thread, as M6 or 5/16, or a ground of the machine's plug"

    return refusal


def unusual_volts(said: str) -> str:
    """Why the machine's volts are asked back."""
    return unusual("supply.volts", said)


def wire_fault(said: str) -> str:
    """Why a new wire cannot be read; its size and colour are wanted at least."""
    if tells_wire(said):
        return ""
    why = why_no_wire(said)
    told = f" ({why})" if why else ""
    return f"its size and colour are wanted, its length if it is known: {EXAMPLE}{told}"


def volts_of(said: str) -> float | None:
    """Volts as they are typed, with or without their unit."""
    return figure(said, FIGURES["supply.volts"])
