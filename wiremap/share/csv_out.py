"""The way back: a pinout, or a job's circuits, as CSV that no spreadsheet takes for formulas."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from wiremap.model import Cavity, Job, Pinout, Span, Wire
from wiremap.naming import Meaning
from wiremap.share.cells import formula_safe

PINOUT_COLUMNS = (
    "cavity",
    "signal",
    "function",
    "flow",
    "volts",
    "amps",
    "size",
    "colour",
    "pair",
    "chain",
    "kbit/s",
    "need",
    "basis",
)
JOB_COLUMNS = ("from", "to", "circuit id", "grade")
WORDS_WITHOUT_COLUMN = {  # fields of a cavity that the table has no column for, in words
    "volts_ac": "alternating volts",
    "peak_amps": "peak amps",
    "asleep_amps": "sleeping amps",
    "serves": "what is served",
    "mark": "marks",
    "codes": "coding",
    "accepts": "accepted sizes",
    "leaflet": "leaflets",
    "as_found": "state as found",
    "limit_C": "insulation limits",
    "clamp": "clamps",
    "pwm_hz": "pulse frequencies",
    "detects_open": "open-load detection",
    "plating": "plating",
    "caution": "cautions",
    "also": "further claims",
    "ohms": "ohms",
}


def csv_text(rows: Iterable[Sequence[str]]) -> str:
    """Rows as CSV: cells quoted, formula signs neutralised, CRLF line ends as RFC 4180 has them."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    writer.writerows([formula_safe(cell) for cell in row] for row in rows)
    return out.getvalue()


def pinout_csv(pinout: Pinout) -> str:
    """One row a cavity."""
    return csv_text([PINOUT_COLUMNS, *map(_row, pinout.cavities.values())])


def job_csv(job: Job) -> str:
    """One row a connection: the first point of a circuit to each other one."""
    rows: list[Sequence[str]] = [JOB_COLUMNS]
    for circuit in job.circuits:
        first, *others = circuit.join
        for other in others:
            rows.append((first, other, circuit.id, circuit.grade or ""))
    return csv_text(rows)


def _row(cavity: Cavity) -> tuple[str, ...]:
    signal, function = cavity.signal, cavity.function
    if function == "unknown":
        function = ""
    if cavity.unused and not signal:
        signal, function = "unused", ""
    return (
        cavity.name,
        signal,
        function,
        cavity.flow or "",
        _span(cavity.volts),
        _figure(cavity.amps),
        _size(cavity.wire),
        _colour(cavity.wire),
        cavity.pair or "",
        cavity.chain or "",
        _figure(cavity.kbit_s),
        cavity.need or "",
        cavity.basis,
    )


def _size(wire: Wire | None) -> str:
    if wire is None:
        return ""
    size = _figure(wire.csa_mm2)
    if size and wire.gauge:
        size = wire.gauge
    return f"{size}?" if wire.doubtful else size


def _colour(wire: Wire | None) -> str:
    """The colour's word, or its letters where base and tracer are not told apart."""
    if wire is None:
        return ""
    if wire.bare:
        return "bare"
    if wire.colour is None:
        return ""
    return wire.colour.word if wire.colour.ordered else wire.colour.iec


def _span(value: Span | None) -> str:
    if value is None:
        return ""
    if value.exact:
        return _figure(value.low)
    return f"{value.low:g} to {value.high:g}"


def _figure(value: float | None) -> str:
    return "" if value is None else f"{value:g}"


def not_carried(pinout: Pinout) -> tuple[str, ...]:
    """What of a pinout such a table cannot carry."""
    connector = pinout.connector
    shell = connector.shell or connector.contacts or connector.sealed is not None
    of_connector = {
        "the face": connector.face,
        "the shell": shell,
        "ohms behind": pinout.behind,
        "ohms inside": pinout.inside,
        "segments": pinout.segments,
        "switches": pinout.switches,
        "the leaflet": pinout.leaflet,
        "the withdrawal": pinout.withdrawn,
    }
    lost = [name for name, there in of_connector.items() if there]
    for words, names in _not_carried_of_cavities(pinout).items():
        lost.append(f"{words} of {', '.join(names)}")
    return tuple(lost)


def _not_carried_of_cavities(pinout: Pinout) -> dict[str, list[str]]:
    """What single cavities have that no column is for, each with its cavities."""
    blank = Cavity(name="", reading=Meaning("unknown"), accepts=pinout.connector.accepts)
    lost: dict[str, list[str]] = {}
    for cavity in pinout.cavities.values():
        for key, words in WORDS_WITHOUT_COLUMN.items():
            if getattr(cavity, key) != getattr(blank, key):
                lost.setdefault(words, []).append(cavity.name)
        wire = cavity.wire
        if wire and (wire.tinned or wire.wall or wire.outside_mm):
            lost.setdefault("wire details", []).append(cavity.name)
    return lost
