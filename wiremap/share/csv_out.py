"""The way back: a pinout, or a job's circuits, as CSV that no spreadsheet takes for formulas."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from wiremap.model import Job, Pinout, Span
from wiremap.share.sheets import neutral

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
JOB_COLUMNS = ("from", "to", "circuit", "grade")


def written(rows: Iterable[Sequence[str]]) -> str:
    """Rows as CSV: every cell quoted, formula signs neutralised, CRLF line ends as RFC 4180 has them."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    writer.writerows([neutral(cell) for cell in row] for row in rows)
    return out.getvalue()


def pinout_csv(pinout: Pinout) -> str:
    """One row a cavity."""
    rows: list[Sequence[str]] = [PINOUT_COLUMNS]
    for c in pinout.cavities.values():
        wire = c.wire
        size = "" if wire is None or wire.csa_mm2 is None else wire.gauge or f"{wire.csa_mm2:g}"
        colour = (
            wire.colour.word if wire and wire.colour and wire.colour.ordered else wire.colour.iec if wire and wire.colour else ""
        )
        if wire and wire.bare:
            colour = "bare"
        rows.append(
            (
                c.name,
                "unused" if c.unused else c.signal,
                "" if c.unused or c.function == "unknown" else c.function,
                c.flow or "",
                _span(c.volts),
                _figure(c.amps),
                size + ("?" if wire and wire.doubtful else ""),
                colour,
                c.pair or "",
                c.chain or "",
                _figure(c.kbit_s),
                c.need,
                c.basis,
            )
        )
    return written(rows)


def job_csv(job: Job) -> str:
    """One row a connection: the first point of a circuit to each other one."""
    rows: list[Sequence[str]] = [JOB_COLUMNS]
    rows += [(c.join[0], other, c.id, c.grade or "") for c in job.circuits for other in c.join[1:]]
    return written(rows)


def _span(value: Span | None) -> str:
    return "" if value is None else f"{value.low:g}" if value.exact else f"{value.low:g} to {value.high:g}"


def _figure(value: float | None) -> str:
    return "" if value is None else f"{value:g}"
