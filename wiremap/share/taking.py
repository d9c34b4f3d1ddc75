"""A table on its way to becoming files of ours: what is known, assumed and found wrong so far."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path

from wiremap.base import Finding, Place, fault, visible
from wiremap.model import Pinout
from wiremap.share.cells import Cell, CellRow, CellTable
from wiremap.share.columns import Columns
from wiremap.share.dates import DATE, EXPONENT
from wiremap.share.workbook import EXPONENT_FORM
from wiremap.trade.colours import SYSTEM_NAMES, Letters, proven_letters

MOST_SHOWN = 4  # colours told in a sentence
OTHER_LETTERS = {
    "iec": "german or japanese",
    "german": "iec or japanese",
    "japanese": "iec or german",
}
LONGEST_NAME = 200  # characters of a cavity's name
SHOWN = 60  # characters of a cell in a sentence


class IntakeKind(StrEnum):
    """What a table came to be."""

    PINOUT = "pinout"
    JOB = "job"
    SEVERAL = "several"  # the sheets of a workbook are not of one kind
    NOTHING = "nothing"


@dataclass(frozen=True, slots=True)
class Intake:
    """What a table came to: files to write (name -> text), what was assumed, what is wrong.

    `pinout` is that of a pin table, of several sheets that of the first.
    """

    kind: IntakeKind
    files: Mapping[str, str] = field(default_factory=dict)
    assumed: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    pinout: Pinout | None = None
    unsure: tuple[str, ...] = ()  # colours of a pin table whose letters nobody has told


@dataclass(kw_only=True)
class Taking:
    """One table being taken in.

    `title` is the pinout's or job's; with `in_talk` what was assumed is told without options of a
    call; `unsure` are colours whose letters nobody can tell.
    """

    path: Path
    table: CellTable
    columns: Columns
    letters: Letters | None
    title: str
    assumed: list[str]
    findings: list[Finding] = field(default_factory=list)
    unsure: dict[str, None] = field(default_factory=dict)  # colours, each once, in their order
    in_talk: bool

    @property
    def is_list(self) -> bool:
        """Whether the table is a from/to list, not a table of pins."""
        return {"from", "to"} <= self.columns.column_of.keys()

    def rows(self) -> list[CellRow]:
        """The rows that hold pins; what a spreadsheet has done to their cells is noted."""
        rows = list(self.table.rows[self.columns.first :])
        for row in rows:
            for cell in row.cells:
                if cell.damage:
                    words = f"row {row.number}: `{cell.text[:SHOWN]}` is {cell.damage}"
                    self.assumed.append(f"{words} in the workbook: look whether it was meant")
        return rows

    @property
    def stem(self) -> str:
        """What its files are called: after the file, or the sheet where a workbook has several."""
        return self.table.sheet or self.path.stem

    def settle_letters(self) -> None:
        """Whose colour letters the table uses, from all its colours together, if nobody said it.

        Two colours at least must be no others', and all must be readable so.
        """
        if self.letters is not None:
            return
        rows = self.table.rows[self.columns.first :]
        proven = proven_letters(self._colour(row) for row in rows)
        if proven is None:
            return
        self.letters = proven.letters
        shown = ", ".join(proven.proofs[:MOST_SHOWN])
        self.assumed.append(
            f"the colours are taken as {SYSTEM_NAMES[proven.letters]}: no others have {shown}; "
            f"if they are not, {self._other_letters(OTHER_LETTERS[proven.letters])}"
        )

    def _colour(self, row: CellRow) -> str:
        """What a row says of the colour, without the size where both stand in one column."""
        if "colour" in self.columns.column_of:
            return self.columns.text(row, "colour")
        words = self.columns.text(row, "wire").split()
        return " ".join(word for word in words if word.isalpha() or "/" in word)

    def tell_unsure(self) -> None:
        """Say which colours were kept as remarks for want of knowing whose letters they are."""
        if self.unsure and self.letters is None:
            shown = ", ".join(list(self.unsure)[:MOST_SHOWN])
            self.assumed.append(
                f"colours that papers read differently stay remarks ({shown}): "
                f"{self._other_letters('iec, german or japanese')}"
            )

    def _other_letters(self, which: str) -> str:
        """What to do where the letters are another system's."""
        return "write the colours as words" if self.in_talk else f"say --letters {which}"

    def wrong(self, rule: str, message: str, row: int, fix: str = "") -> None:
        """Note a fault in a row."""
        place = Place(self.path.as_posix(), row)
        self.findings.append(fault(rule, message, place, fix=fix))

    def nothing(self) -> Intake:
        """What an intake comes to where something is wrong."""
        return Intake(
            IntakeKind.NOTHING, assumed=tuple(self.assumed), findings=tuple(self.findings)
        )

    def name(self, cell: Cell, row: CellRow, called: str) -> str | None:
        """A cavity's name; None, and a fault, if a spreadsheet has spoilt it or it is too long.

        `called` is what the cell is in the sentence.
        """
        text = cell.text
        damage = cell.damage or _damage(text)
        if damage:
            self.wrong(
                "spreadsheet-damage",
                f"row {row.number}: {called} `{text}` looks like {damage}; "
                "a spreadsheet has changed it",
                row.number,
                "Format the column as text, type it again as the connector says, and save anew.",
            )
            return None
        if len(text) > LONGEST_NAME:
            words = f"row {row.number}: {called} is longer than {LONGEST_NAME} characters"
            self.wrong("over-limit", words, row.number)
            return None
        return text

    def header(self) -> list[str]:
        """Comment lines that say where a file comes from and what was assumed."""
        return [
            f"Taken from {visible(self.path.name)}.",
            *(f"Assumed: {each}." for each in self.assumed),
        ]


def _damage(text: str) -> str:
    if DATE.fullmatch(text):
        return "a date"
    if EXPONENT.fullmatch(text):
        return EXPONENT_FORM
    return ""
