"""The way back: a pinout, or a job's circuits, as CSV that no spreadsheet takes for formulas."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from wiremap.model import Cavity, Job, Pinout, Span
from wiremap.naming import Meaning
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
JOB_COLUMNS = ("from", "to", "circuit id", "grade")


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
            wire.colour.word
            if wire and wire.colour and wire.colour.ordered
            else wire.colour.iec
            if wire and wire.colour
            else ""
        )
        if wire and wire.bare:
            colour = "bare"
        rows.append(
            (
                c.name,
                "unused" if c.unused and not c.signal else c.signal,
                "" if c.function == "unknown" or (c.unused and not c.signal) else c.function,
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


def left_out(pinout: Pinout) -> tuple[str, ...]:
    """What of a pinout such a table cannot carry."""
    connector = pinout.connector
    whole = (
        ("the face", connector.face),
        ("the shell", connector.shell or connector.contacts or connector.sealed is not None),
        ("ohms behind", pinout.behind),
        ("ohms inside", pinout.inside),
        ("segments", pinout.segments),
        ("switches", pinout.switches),
        ("the leaflet", pinout.leaflet),
        ("the withdrawal", pinout.withdrawn),
    )
    told = [name for name, there in whole if there]
    for words, names in _single(pinout).items():
        told.append(f"{words} of {', '.join(names)}")
    return tuple(told)


def _single(pinout: Pinout) -> dict[str, list[str]]:
    """What single cavities have that no column is for, each with its cavities."""
    plain = Cavity(name="", reading=Meaning("unknown"), accepts=pinout.connector.accepts)
    words = {
        "volts_ac": "alternating volts",
        "peak_amps": "peak amps",
        "asleep_amps": "sleeping amps",
        "serves": "what is served",
        "mark": "marks",
        "codes": "coding",
        "accepts": "accepted sizes",
        "leaflet": "leaflets",
        "as_found": "state as found",
        "caution": "cautions",
        "also": "further claims",
        "ohms": "ohms",
    }
    found: dict[str, list[str]] = {}
    for c in pinout.cavities.values():
        for key, word in words.items():
            if getattr(c, key) != getattr(plain, key):
                found.setdefault(word, []).append(c.name)
        if c.wire and (c.wire.tinned or c.wire.wall or c.wire.outside_mm):
            found.setdefault("wire details", []).append(c.name)
    return found


def job_csv(job: Job) -> str:
    """One row a connection: the first point of a circuit to each other one."""
    rows: list[Sequence[str]] = [JOB_COLUMNS]
    rows += [(c.join[0], other, c.id, c.grade or "") for c in job.circuits for other in c.join[1:]]
    return written(rows)


def _span(value: Span | None) -> str:
    return (
        ""
        if value is None
        else f"{value.low:g}"
        if value.exact
        else f"{value.low:g} to {value.high:g}"
    )


def _figure(value: float | None) -> str:
    return "" if value is None else f"{value:g}"
