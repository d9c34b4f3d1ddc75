"""What an answer of the guided start must be: each gives why one will not do, empty if it does."""

from __future__ import annotations

from collections.abc import Callable, Collection
from pathlib import Path

from wiremap.base import only
from wiremap.entries.numbers import figure
from wiremap.evidence.answer_figures import FIGURES, figure_of
from wiremap.evidence.new_wires import EXAMPLE, tells_wire, why_no_wire
from wiremap.evidence.unusual import is_thread, unusual, unusual_figure
from wiremap.reports.screen import named_up_to
from wiremap.share.beginning import YAML, fed_by, pinout_of_rows, split_row, ways_of
from wiremap.share.headings import is_table_line, is_typed_row
from wiremap.share.module_paper import is_tabled, own_fuse
from wiremap.sizing.fuse_limits import FAMILIES

PASTE, HAND = "paste", "hand"
TABLES = (".csv", ".tsv", ".txt", ".xlsx", *YAML)
MOST_FILES = 5  # named in the hint
FORMS = ", ".join(FAMILIES)
MOST_VOLTS = 60  # class B is refused


def readable(folder: Path) -> Callable[[str], str]:
    """An answer that is a way to tell a table, or a file that is there."""

    def refusal(answer: str) -> str:
        if told_how(folder, answer) in (PASTE, HAND) or file_of(folder, answer).is_file():
            return ""
        return f"there is no file {answer} in {folder.resolve().name or folder}"

    return refusal


def told_how(folder: Path, answer: str) -> str:
    """A way to tell a table, whole or as it begins; a file of that name goes before."""
    if file_of(folder, answer).is_file():
        return answer
    begun = [way for way in (PASTE, HAND) if way.startswith(answer.casefold())]
    return only(begun) or answer


def file_of(folder: Path, answer: str) -> Path:
    """A file as it is typed: from the folder that is written to, or from where one stands."""
    there = folder / answer
    return there if there.is_file() else Path(answer)


def tables_in(folder: Path) -> str:
    """The tables and pinouts that lie there, for the hint; empty if there are none."""
    names = [path.name for path in folder.iterdir() if path.suffix.casefold() in TABLES]
    return named_up_to(sorted(names), MOST_FILES, by="")


def shell_fault(cavities: int) -> Callable[[str], str]:
    """An answer that begins with how many ways the shell has, as many as the table at least."""

    def refusal(answer: str) -> str:
        ways = ways_of(answer)
        if ways is None:
            return "begin with how many ways it has: 14-way sealed, or 14-way not sealed"
        if ways < cavities:
            return f"the table has {cavities} cavities, {ways} ways are too few"
        return ""

    return refusal


def way_of_row(row: str) -> str:
    """How a table is told that begins with this row."""
    return HAND if is_typed_row(row) else PASTE


def row_fault(answer: str) -> str:
    """Why a row of a table told by hand cannot be read; colours in doubt are asked about later."""
    if is_table_line(answer):
        return ""
    name, text = split_row(answer)
    if not name:
        return "a row is a cavity, a colon and what it carries: 1: +12 always, red"
    first = next(iter(pinout_of_rows([answer], title="row").findings), None)
    if first is not None and "letters" not in first.fix:
        return first.message
    return "" if text else "what does it carry?"


def volts_fault(answer: str) -> str:
    """Why these are no volts of a machine."""
    if volts_of(answer) is None:
        return f"volts from 1 to {MOST_VOLTS}, as 24 or 24 V"
    return ""


def own_fuse_fault(answer: str) -> str:
    """Why this tells no fuse of the job's own."""
    return "" if own_fuse(answer) else "begin with its form: blade 2"


def unusual_own_fuse(answer: str) -> str:
    """Why a fuse of its own is asked back: a form of which no limits are known, strange amps."""
    fuse = own_fuse(answer)
    if fuse is None:
        return ""
    if not is_tabled(fuse):
        return f"nothing is known of how a `{fuse.form}` opens: it holds the job (known: {FORMS})"
    return "" if not fuse.amps else unusual_figure("fuse_amps", fuse.amps)


def unusual_feed(answer: str) -> str:
    """Why the amps of the fuse that feeds a contact are asked back."""
    fed = fed_by("1", answer)
    return "" if fed is None or not fed.found_amps else unusual_figure("found_amps", fed.found_amps)


def amps_fault(answer: str) -> str:
    """Why these are no amps."""
    return "" if figure_of("amps", answer) is not None else "amps, as 0.15 or 150 mA"


def unusual_amps(answer: str) -> str:
    """Why amps are asked back."""
    return unusual("amps", answer)


def ground_fault(own: Collection[str]) -> Callable[[str], str]:
    """An answer that is a thread, or one of the machine's own grounds."""

    def refusal(answer: str) -> str:
        if answer in own or is_thread(answer):
            return ""
        return "a thread, as M6 or 5/16, or a ground of the machine's plug"

    return refusal


def unusual_volts(answer: str) -> str:
    """Why the machine's volts are asked back."""
    return unusual("supply.volts", answer)


def wire_fault(answer: str) -> str:
    """Why a new wire cannot be read; its size and colour are wanted at least."""
    if tells_wire(answer):
        return ""
    why = why_no_wire(answer)
    reason = f" ({why})" if why else ""
    return f"its size and colour are wanted, its length if it is known: {EXAMPLE}{reason}"


def volts_of(answer: str) -> float | None:
    """Volts as they are typed, with or without their unit."""
    return figure(answer, FIGURES["supply.volts"])
