"""The papers of one plug as the guided start asks for them: rows, shell, colour letters."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import cast, get_args

from wiremap.base import Finding
from wiremap.cli.common import say
from wiremap.cli.guided_answers import HAND, PASTE, file_of, row_fault, shell_fault
from wiremap.cli.talk import DONT_KNOW, Talk
from wiremap.propose.inline import MODULE
from wiremap.share.beginning import (
    YAML,
    ToldPinout,
    pinout_of_file,
    pinout_of_rows,
    pinout_of_table,
)
from wiremap.share.headings import is_headings, is_table_line, is_typed_row
from wiremap.share.headless import Headless, fields_named, headless
from wiremap.share.module_paper import pinout_by_role
from wiremap.trade.colours import Letters

YES_NO = ("yes", "no")
YES = ("yes", "y")
AGAIN = "again"
COLUMNS_AS = "a word for each column, as number, name, colour, size; - for none of them"
PASTED_AS = (
    "columns parted by tabs, ; or ,; headings as Pin; Signal; Colour; Size; Function; Volts; Amps"
)
ROWS_AS = "1: +12 always, red   5: ?   14: - (nothing there)   6-9: ? (four unknown)"


@dataclass(frozen=True)
class PlugTable:
    """A plug's table as typed: where it comes from, its rows, the plug's shell."""

    folder: Path
    name: str
    source: str
    rows: Sequence[str] = ()
    shell: str = ""

    @property
    def is_pinout(self) -> bool:
        """Whether it is a pinout already, which tells its own shell."""
        return Path(self.source).suffix.casefold() in YAML

    @property
    def by_role(self) -> bool:
        """Whether it is a module of which nobody has a paper."""
        return self.name == MODULE and self.source == DONT_KNOW

    def paper(self, letters: Letters | None) -> ToldPinout:
        """The pinout that it comes to."""
        if self.by_role:
            return pinout_by_role(self.name)
        by_hand = all(map(is_typed_row, self.rows))
        if not by_hand and (self.source == PASTE or any(map(is_table_line, self.rows))):
            return pinout_of_table(self.rows, title=self.name, shell=self.shell, letters=letters)
        if self.source in (PASTE, HAND, DONT_KNOW):
            return pinout_of_rows(self.rows, title=self.name, shell=self.shell, letters=letters)
        path = file_of(self.folder, self.source)
        return pinout_of_file(path, title=self.name, shell=self.shell, letters=letters)


def asked_shell(talk: Talk, table: PlugTable) -> str:
    """How many ways the shell has, and whether it is sealed; empty if nobody knows."""
    if table.is_pinout or table.by_role:
        return ""
    known = table.paper(None).pinout
    count = 0 if known is None else len(known.cavities)
    ways = f"{count or 14}-way"
    shell = talk.ask(
        f"{table.name}.shell",
        f"{table.name}: how many ways has its shell, and is it sealed?",
        f"{ways} sealed, {ways} not sealed, d",
        shell_fault(count),
    )
    return "" if shell == DONT_KNOW else shell


def paper_in_letters(talk: Talk, name: str, table: PlugTable) -> ToldPinout:
    """The paper, with its colour letters asked for where they are in doubt."""
    letters = talk.answers.get(f"{name}.letters")
    if isinstance(letters, str) and letters != DONT_KNOW:
        return table.paper(cast(Letters, letters))
    paper = table.paper(None)
    doubtful = paper.unsure or [found for found in paper.findings if "letters" in found.fix]
    if not doubtful or letters == DONT_KNOW:
        return paper
    if paper.unsure:
        say(f"  papers read these colours differently: {', '.join(paper.unsure)}")
    tell_faults(paper.findings)
    asked = talk.choose(
        f"{name}.letters",
        f"{name}: whose colour letters are these?",
        get_args(Letters),
        if_unknown=" (write the colours as words)",
    )
    return paper if asked == DONT_KNOW else table.paper(cast(Letters, asked))


def asked_rows(talk: Talk, table: PlugTable) -> list[str]:
    """The rows of a table that is pasted or told by hand; none where it lies in a file."""
    if table.source == PASTE:
        return _pasted_rows(talk, table.name)
    if table.source in (HAND, DONT_KNOW) and not table.by_role:
        question = f"{table.name}: cavity by cavity, as the paper or the plug says"
        return talk.rows(f"{table.name}.rows", question, ROWS_AS, row_fault)
    return []


def _pasted_rows(talk: Talk, name: str) -> list[str]:
    """The lines of a pasted table; where no headings name its columns, it is asked what they are.

    The lines stay as they were pasted if they are no table: why is told where they are read.
    """
    question = f"{name}: paste the table, with its headings"
    while True:
        rows = talk.rows(f"{name}.rows", question, PASTED_AS, begins_anew=is_headings)
        table = headless(rows)
        if table is None or table.is_plain_list:
            return rows
        fields = _asked_columns(talk, name, table)
        if fields is not None:
            return table.headed(fields)
        talk.forget(*(f"{name}.{part}" for part in ("rows", "rows.all", "columns")))


def _asked_columns(talk: Talk, name: str, table: Headless) -> Sequence[str] | None:
    """What each column holds; None where it is pasted once more."""
    key = f"{name}.columns"
    if key not in talk.answers:
        say()
        for column, word in enumerate(table.guess.split(", ")):
            say(f"  column {column + 1} ({table.seen(column)}): {word}")
    guess = f"yes (as above), or a word each, as {table.guess}" if table.is_told else COLUMNS_AS
    answer = talk.ask(
        key,
        f"{name}: it has no headings: is that what its columns are?",
        f"{guess}; {AGAIN} (paste it once more)",
        lambda typed: _columns_fault(typed, table),
        lists=True,
    )
    if answer.casefold() == AGAIN or (answer == DONT_KNOW and not table.is_told):
        return None
    fields = fields_named(answer, table)
    return table.fields if isinstance(fields, str) else fields


def _columns_fault(typed: str, table: Headless) -> str:
    """Why an answer names no columns."""
    if typed.casefold() == AGAIN or (table.is_told and typed.casefold() in YES):
        return ""
    fields = fields_named(typed, table)
    return fields if isinstance(fields, str) else ""


def tell_faults(findings: tuple[Finding, ...]) -> None:
    """What cannot be read as it is, each with how to mend it."""
    for found in findings:
        say(f"  {found.message}")
        if found.fix:
            say(f"    mend: {found.fix}")
