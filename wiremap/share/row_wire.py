"""The wire that a row of a table tells."""

from __future__ import annotations

import re
from typing import NamedTuple

from wiremap.files.wires import BadWire, parse_wire, size_first
from wiremap.model import Wire
from wiremap.share.cell_figures import number, size
from wiremap.share.cells import CellRow
from wiremap.share.taking import Taking
from wiremap.trade.colours import Letters

MOST_MM2 = 6.0  # a figure without a unit above it may be a gauge number


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
    row_size = _row_size(taking, row)
    sized = row_size.words
    text = " ".join(part for part in (size(sized), colour) if part) or whole
    if not text:
        return RowWire(None)
    if row_size.in_doubt:
        return _colour_alone(taking, row, sized)
    parsed = parse_wire(size_first(text), taking.letters, paper)
    if not isinstance(parsed, BadWire):
        return RowWire(parsed, f"wire: {whole}" if whole and text != whole else "")
    taking.unsure[colour or whole] = None
    written = " ".join(part for part in (sized, colour, whole) if part)
    kept = parse_wire(size(sized), None, None) if sized else None
    wire = kept if isinstance(kept, Wire) else None  # an unsure colour does not lose the size
    return RowWire(wire, f"wire as written: {written} ({parsed.message})")


def _colour_alone(taking: Taking, row: CellRow, size_words: str) -> RowWire:
    """The colour of a wire whose size may be a slip; the size is told as not taken."""
    cavity = taking.columns.text(row, "cavity") or f"row {row.number}"
    colour = taking.columns.text(row, "colour")
    left = f"size not taken: {size_words}"
    taking.assumed.append(f"{cavity}: {left}")
    parsed = parse_wire(colour, taking.letters, None) if colour else None
    if isinstance(parsed, Wire):
        return RowWire(parsed, left)
    if colour:
        taking.unsure[colour] = None
        left = f"wire as written: {size_words} {colour}"
    return RowWire(None, left)


def _row_size(taking: Taking, row: CellRow) -> RowSize:
    """The size with its unit: bare under a heading of AWG a gauge, a large one in doubt."""
    text = taking.columns.text(row, "size")
    heading = taking.columns.heading("size")
    if re.fullmatch(r"\d+(?:/0)?", text) and "awg" in heading:
        return RowSize(f"{text} AWG")
    bare = number(text.rstrip("?"))
    if bare is None or "mm" in heading:
        return RowSize(text)
    if bare > MOST_MM2 or ("gauge" in heading and bare.is_integer()):
        return RowSize(f"{text} (mm2 or gauge?)", in_doubt=True)
    return RowSize(text)
