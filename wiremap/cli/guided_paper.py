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
from wiremap.share.headings import is_headings, is_table_line
from wiremap.share.module_paper import pinout_by_role
from wiremap.trade.colours import Letters

YES_NO = ("yes", "no")
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
        if self.source == PASTE or any(map(is_table_line, self.rows)):
            return pinout_of_table(self.rows, title=self.name, shell=self.shell, letters=letters)
        if self.source in (HAND, DONT_KNOW):
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
    """The lines of a pasted table; without headings what would be lost is asked at once."""
    question = f"{name}: paste the table, with its headings"
    while True:
        rows = talk.rows(f"{name}.rows", question, PASTED_AS, begins_anew=is_headings)
        if any(map(is_headings, rows)) or not pinout_of_table(rows, title=name).unnamed:
            return rows
        say("  no headings: colours and sizes would not be read")
        more = talk.choose(f"{name}.headless", f"{name}: paste it again with headings?", YES_NO)
        if more != "yes":
            return rows
        talk.forget(*(f"{name}.{part}" for part in ("rows", "rows.all", "headless")))


def tell_faults(findings: tuple[Finding, ...]) -> None:
    """What cannot be read as it is, each with how to mend it."""
    for found in findings:
        say(f"  {found.message}")
        if found.fix:
            say(f"    mend: {found.fix}")
