"""A pinout from the rows of a table: a cavity a row, what has no field kept as a remark."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from wiremap.evidence.unusual import unusual_in
from wiremap.files.dump import dump_pinout
from wiremap.model import Basis, Cavity, Connector, Flow, Need, Pinout, Source, Wire, frozen
from wiremap.naming import Meaning, read_signal, worded
from wiremap.share.cell_figures import AMPS, KBIT_S, span, within
from wiremap.share.cells import FIRST_ROW, CellRow
from wiremap.share.columns import without_plug_name
from wiremap.share.headings import FIELDS
from wiremap.share.names import file_stem
from wiremap.share.row_wire import row_wire
from wiremap.share.taking import Intake, IntakeKind, Taking
from wiremap.trade.colours import Letters, paper_letters
from wiremap.trade.functions import FUNCTIONS, is_vague, normalise

UNUSED = frozenset(
    {
        "-",
        "--",
        "unused",
        "nc",
        "n/c",
        "n.c.",
        "not used",
        "not connected",
        "frei",
        "nicht belegt",
        "libre",
        "ledig",
        "vapaa",
    }
)
NO_FUNCTION = ("unused", "unknown")  # functions that say that there is nothing to tell
CLOSED_WORDS = {"flow": Flow, "need": Need, "basis": Basis}  # fields with a closed set
CAVITY_RANGE = re.compile(r"(\d{1,20})\s*[-–]\s*(\d{1,20})")
MOST_CAVITIES = 4096  # of one connector
NO_FACE = "No face is drawn: a table does not tell from which side it was numbered."


@dataclass
class CavitiesSoFar:
    """The cavities so far, with their remarks and the rows they stand in."""

    cavities: dict[str, Cavity] = field(default_factory=dict)
    remarks: dict[str, str] = field(default_factory=dict)
    rows: dict[str, int] = field(default_factory=dict)


def take_pinout(taking: Taking) -> Intake:
    """One pinout from all rows."""
    rows = taking.rows()
    taking.columns, plug = without_plug_name(taking.columns, rows)
    taking.assumed += plug
    letters = None
    if not taking.letters:
        letters = paper_letters(taking.columns.text(row, "colour") for row in rows)
    cavities = CavitiesSoFar()
    for row in rows:
        _take_row(taking, cavities, row, letters)
    _note_lost_zeros(taking, list(cavities.cavities))
    taking.tell_unsure()
    if not cavities.cavities and not taking.findings:
        taking.wrong("empty-file", "the table names no cavity", FIRST_ROW)
    if taking.findings:
        return taking.nothing()
    pinout = Pinout(
        title=taking.title,
        path=taking.stem + ".yaml",
        cavities=frozen(cavities.cavities),
        connector=Connector(),
        letters=taking.letters,
        source=Source(taking.path.name, Basis.TOLD),
    )
    text = dump_pinout(pinout, header=[*taking.header(), NO_FACE], comments=cavities.remarks)
    name = f"{file_stem(taking.stem)}.yaml"
    unsure = () if taking.letters else tuple(taking.unsure)
    return Intake(
        IntakeKind.PINOUT, {name: text}, tuple(taking.assumed), pinout=pinout, unsure=unsure
    )


def _take_row(taking: Taking, so_far: CavitiesSoFar, row: CellRow, letters: Letters | None) -> None:
    cell = row.at(taking.columns.column_of["cavity"])
    name = taking.name(cell, row, "the cavity")
    if name is None:
        return
    if not name:
        words = f"row {row.number}: no cavity, but {row.words()[:80]!r}"
        taking.wrong("missing-cavity", words, row.number, "Fill it in, or delete the row.")
        return
    for single in _cavity_names(taking, row, name):
        if single in so_far.cavities:
            first = so_far.rows[single]
            words = f"row {row.number}: cavity {single} stands twice, first in row {first}"
            taking.wrong("duplicate-cavity", words, row.number, "Keep one.")
            continue
        reader = CavityReader(taking, row, letters)
        so_far.rows[single] = row.number
        so_far.cavities[single] = reader.cavity(single)
        if reader.left:
            so_far.remarks[single] = "; ".join(reader.left)


def _cavity_names(taking: Taking, row: CellRow, name: str) -> list[str]:
    """The cavities of a cell; one such as `6-7` stands for a range."""
    hit = CAVITY_RANGE.fullmatch(name)
    if not hit:
        return [name]
    first, last = int(hit.group(1)), int(hit.group(2))
    if first >= last:
        return [name]
    if last - first >= MOST_CAVITIES:
        words = f"row {row.number}: `{name}` would be more than {MOST_CAVITIES:,} cavities"
        taking.wrong("over-limit", words, row.number, "Name the cavities one by one.")
        return []
    taking.assumed.append(f"`{name}` is taken as the cavities {first} to {last}")
    return [str(each) for each in range(first, last + 1)]


def _note_lost_zeros(taking: Taking, names: Sequence[str]) -> None:
    """Note names that a spreadsheet may have robbed of a leading zero."""
    digits = [name for name in names if name.isdigit()]
    wide = {len(name) for name in digits if name.startswith("0")}
    if len(wide) != 1:
        return
    width = wide.pop()
    short = [name for name in digits if len(name) < width]
    if short:
        words = f"cavities {', '.join(short[:5])} may have lost a leading zero"
        taking.assumed.append(f"{words}: the others have {width} digits")


def row_fields() -> list[str]:
    """The fields that a row of pins has; those that only a list of wires has become remarks."""
    return [field for field in FIELDS if field not in ("from", "to", "from_end", "to_end", "id")]


def _in_words(text: str, stated: str) -> tuple[str, str | None]:
    """The signal and the stated function of a paper that only words its function.

    The words become the signal; the function is stated apart only where they do not read as it.
    """
    if is_vague(text) or read_signal(text).function == stated:
        return text, None
    return text, stated


class CavityReader:
    """Reads one row as a cavity; what finds no field is left over in `left`, as remarks.

    `letters` are those that the paper's colours demand, where nobody has told them.
    """

    def __init__(self, taking: Taking, row: CellRow, letters: Letters | None) -> None:
        self.taking = taking
        self.row = row
        self.letters = letters
        self.left = taking.columns.unused(row, but=taking.columns.columns_of(row_fields()))

    def text(self, key: str) -> str:
        """What the row says in a field."""
        return self.taking.columns.text(self.row, key)

    def cavity(self, name: str) -> Cavity:
        """The cavity, under a name."""
        signal, stated = self._function()
        wire = self._wire()
        volts = self._or_remark("volts", span(self.text("volts")))
        amps = self._or_remark("amps", within(self.text("amps"), *AMPS))
        kbit_s = self._or_remark("kbit_s", within(self.text("kbit_s"), *KBIT_S))
        words = self._closed_words()
        if self.text("notes"):
            self.left.append(self.text("notes"))
        if stated == "unused" or (stated is None and signal.casefold() in UNUSED):
            reading = Meaning("unused", how="stated", settled=True)
            signal = signal if stated else ""
        else:
            limits = (volts.low, volts.high) if volts else None
            reading = read_signal(signal, stated=stated, volts=limits)
        cavity_read = Cavity(
            name=name,
            reading=reading,
            signal=signal,
            volts=volts,
            amps=amps,
            kbit_s=kbit_s,
            wire=wire,
            pair=self.text("pair") or None,
            chain=self.text("chain") or None,
            source=self.taking.path.name,
            **words,
        )
        self.taking.assumed += [f"{name}: {why}" for why in unusual_in(cavity_read)]
        return cavity_read

    def _or_remark(self, key: str, value: Any) -> Any:
        """The value that a field was read as; where it is None, the field's text is left over."""
        if self.text(key) and value is None:
            self.left.append(f"{key}: {self.text(key)}")
        return value

    def _function(self) -> tuple[str, str | None]:
        """The signal, and the function that is stated; None where the signal is to tell it."""
        signal = self.text("signal")
        text = self.text("function")
        if not text:
            return signal, None
        stated = normalise(text)
        if stated in NO_FUNCTION or text.casefold() in FUNCTIONS:
            return signal, stated
        if stated is not None:
            return _in_words(text, stated) if not signal else worded(signal, text)
        if not signal:
            return text, None  # people head the column of names so
        meant = read_signal(text).function
        if meant != "unknown" and read_signal(signal).function == "unknown":
            return f"{signal} {text}", None  # a designation, and what it does in the paper's words
        self.left.append(f"function: {text}")
        if FUNCTIONS[meant].refused:  # what must not be touched is never a mere remark
            return signal, meant
        return signal, None

    def _closed_words(self) -> dict[str, Any]:
        """The fields that have a closed set of words."""
        words: dict[str, Any] = {}
        for key, options in CLOSED_WORDS.items():
            text = self.text(key)
            if text in tuple(options):
                words[key] = options(text)
            elif text:
                self.left.append(f"{key}: {text}")
        return words

    def _wire(self) -> Wire | None:
        from_row = row_wire(self.taking, self.row, self.letters)
        if from_row.left:
            self.left.append(from_row.left)
        return from_row.wire
