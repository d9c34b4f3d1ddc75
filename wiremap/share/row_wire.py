"""The wire that a row of a table tells."""

from __future__ import annotations

import re
from typing import NamedTuple

from wiremap.files.wires import BadWire, parse_wire, size_first
from wiremap.model import Wire
from wiremap.share.cells import CellRow
from wiremap.share.figures_in import number, size
from wiremap.share.taking import Taking
from wiremap.trade.colours import Letters

MOST_MM2 = 6.0  # a bare figure above it may be a gauge number


class RowSize(NamedTuple):
    """The size that a row tells, with its unit; `in_doubt` whether that is mm2 or a gauge."""

    words: str
    in_doubt: bool = False


class RowWire(NamedTuple):
    """The wire of a row, and what of it could not be read as one."""

    wire: Wire | None
    left: str = ""


def row_wire(taking: Taking, row: CellRow, paper: Letters | None) -> RowWire:
    """The wire that a row tells: in one column, or size and colour each in its own."""
    whole, colour = taking.columns.text(row, "wire"), taking.columns.text(row, "colour")
    told = _sized(taking, row)
    sized = told.words
    text = " ".join(part for part in (size(sized), colour) if part) or whole
    if not text:
        return RowWire(None)
    if told.in_doubt:
        return _colour_alone(taking, row, sized)
    found = parse_wire(size_first(text), taking.letters, paper)
    if not isinstance(found, BadWire):
        return RowWire(found, f"wire: {whole}" if whole and text != whole else "")
    taking.unsure[colour or whole] = None
    written = " ".join(part for part in (sized, colour, whole) if part)
    kept = parse_wire(size(sized), None, None) if sized else None
    wire = kept if isinstance(kept, Wire) else None  # an unsure colour does not lose the size
    return RowWire(wire, f"wire as written: {written} ({found.message})")


def _colour_alone(taking: Taking, row: CellRow, sized: str) -> RowWire:
    """The colour of a wire whose size may be a slip; the size is told as not taken."""
    cavity = taking.columns.text(row, "cavity") or f"row {row.number}"
    colour = taking.columns.text(row, "colour")
    left = f"size not taken: {sized}"
    taking.assumed.append(f"{cavity}: {left}")
    found = parse_wire(colour, taking.letters, None) if colour else None
    if isinstance(found, Wire):
        return RowWire(found, left)
    if colour:
        taking.unsure[colour] = None
        left = f"wire as written: {sized} {colour}"
    return RowWire(None, left)


def _sized(taking: Taking, row: CellRow) -> RowSize:
    """The size with its unit: bare under a heading of AWG a gauge, a large one in doubt."""
    said = taking.columns.text(row, "size")
    heading = taking.columns.heading("size")
    if re.fullmatch(r"\d+(?:/0)?", said) and "awg" in heading:
        return RowSize(f"{said} AWG")
    bare = number(said.rstrip("?"))
    if bare is None or "mm" in heading:
        return RowSize(said)
    if bare > MOST_MM2 or ("gauge" in heading and bare.is_integer()):
        return RowSize(f"{said} (mm2 or gauge?)", in_doubt=True)
    return RowSize(said)
