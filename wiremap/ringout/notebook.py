"""Entries for the notebook: from batch lines, stamped with the metal they speak of, appended so that none is lost."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path

from wiremap.base import Finding, Place, fault
from wiremap.evidence import probe_print
from wiremap.files import load_notebook
from wiremap.files.dump import dump_entry
from wiremap.files.schemas import first_lines
from wiremap.files.write import update_text
from wiremap.graph import Harness, cavity_fingerprint
from wiremap.model import OPEN, Entry, Span

SHORT = {
    "b": "beep",
    "beep": "beep",
    "s": "silent",
    "silent": "silent",
    "n": "unsure",
    "?": "unsure",
    "unsure": "unsure",
    "d": "diode",
    "diode": "diode",
}
OPEN_WORDS = frozenset({"o", "open", "ol", "0l", "o.l", "0.l", "o.l.", "0.l."})  # meters show overload as OL, 0L or O.L
ACCEPTED = "b beep, s silent, o or open or OL (0L) open, n not sure, d diode, a number of ohms (61.2, 4.7k, 1M)"
LINE = re.compile(r"^\s*(?P<red>\S+)\s+-\s+(?P<black>\S+)\s+(?P<seen>\S+)(?:\s+(?:ohm|ohms|Ω))?(?:\s+with\s+(?P<fuse>\S+))?\s*$")
VALUE = re.compile(r"^(?P<figure>\d+(?:[.]\d+)?)(?P<unit>[kKM]?)$")


def batch(text: str, shown: str = "batch", by: str = "", date: str = "") -> tuple[tuple[Entry, ...], tuple[Finding, ...]]:
    """Probe readings from lines such as `loom.1 - donor.3 b, gateway.1 - gateway.2 61.2`, and what could not be read.

    Readings are parted by commas or line ends; combs are joined by `+`; `b` beep, `s` silent, `n` not sure, `d` diode,
    `o`, `open`, `OL` or `0L` open, a number of ohms (with k or M); `with F1` if that fuse was in; `#` begins a remark.
    """
    entries: list[Entry] = []
    findings: list[Finding] = []
    for number, line in enumerate(text.splitlines(), 1):
        for piece in line.partition("#")[0].split(","):
            if piece.strip():
                place = Place(shown, number, line.index(piece) + 1 + len(piece) - len(piece.lstrip()))
                read = _reading(piece, place, by, date)
                if isinstance(read, Finding):
                    findings.append(read)
                else:
                    entries.append(read)
    return tuple(entries), tuple(findings)


def _reading(piece: str, place: Place, by: str, date: str) -> Entry | Finding:
    found = LINE.match(piece)
    if found is None:
        return fault(
            "reading-unread",
            f"this is no reading: {piece.strip()!r}",
            place,
            fix=f"write it as: loom.1 - donor.3 b   ({ACCEPTED})",
        )
    red, black = (tuple(p for p in found[side].split("+") if p) for side in ("red", "black"))
    state = f"{found['fuse']} in" if found["fuse"] else None
    plain = Entry("probe", by=by, date=date, red=red, black=black, state=state, place=place)
    seen = read_seen(found["seen"])
    if seen is None or not red or not black:
        return fault(
            "reading-unread",
            f"`{found['seen']}` is no reading",
            place,
            fix=f"accepted are: {ACCEPTED}",
        )
    return replace(plain, seen=seen) if isinstance(seen, str) else replace(plain, ohms=seen)


def read_seen(text: str) -> str | Span | None:
    """What a typed word or number says of the display; None if it says nothing."""
    word = text.strip().casefold()
    if word in SHORT:
        return SHORT[word]
    if word in OPEN_WORDS:
        return OPEN
    value = VALUE.match(text.strip())
    if value is None:
        return None
    return Span.of(float(value["figure"]) * {"": 1.0, "k": 1e3, "K": 1e3, "M": 1e6}[value["unit"]])


def readings_from(path: Path | str, by: str = "", date: str = "") -> tuple[tuple[Entry, ...], tuple[Finding, ...]]:
    """The entries of a notebook or of a file of batch lines, whichever it is, and what could not be read."""
    path = Path(path)
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        why = error.strerror if isinstance(error, OSError) else "it is not UTF-8 text"
        return (), (fault("no-such-file", f"{path.as_posix()} could not be read: {why}", Place(path.as_posix())),)
    if re.search(r"^wiremap\s*:", text, re.MULTILINE):
        loaded = load_notebook(path)
        return (loaded.value.entries if loaded.value else ()), loaded.findings
    return batch(text, path.as_posix(), by, date)


def stamped(harness: Harness, entry: Entry) -> Entry:
    """The entry with the fingerprint of the metal or cavity it speaks of; unchanged if it already has one or none fits."""
    if entry.of is not None:
        return entry
    if entry.kind in ("probe", "power"):
        return replace(entry, of=probe_print(harness, (*entry.red, *(b for b in entry.black if b != "chassis"))))
    if entry.kind in ("survey", "answer"):
        address = next(iter(entry.red), "") if entry.kind == "survey" else entry.about
        point = harness.points.get(address) or harness.points.get(address.rpartition(".")[0])
        if point is not None and point.cavity is not None:
            return replace(entry, of=cavity_fingerprint(point.cavity))
    return entry


def append(path: Path | str, entries: Sequence[Entry]) -> Finding | None:
    """Add entries to a notebook file, atomically and under its lock; a missing file is begun. None when done."""
    lines = [dump_entry(e) for e in entries]
    if not lines:
        return None
    return _unreadable(lines, path) or update_text(path, lambda text: _with(text, lines))


def _unreadable(lines: Iterable[str], path: Path | str) -> Finding | None:
    """Why entries could not be read back (no such day, say): a notebook is never left in a state that locks its job."""
    with tempfile.TemporaryDirectory() as folder:
        trial = Path(folder) / "notebook.yaml"
        trial.write_text(_with("", lines), encoding="utf-8")
        found = next((f for f in load_notebook(trial).findings if f.fault), None)
    return None if found is None else replace(found, place=Place(Path(path).as_posix()), message=f"nothing was saved: {found.message}")


def _with(text: str, entries: Iterable[str]) -> str:
    if not text.strip():
        text = "\n".join(first_lines("notebook")) + "\nwiremap: notebook/1\nentries:\n"
    lines = text.splitlines()
    top = next((i for i, x in enumerate(lines) if re.match(r"entries\s*:", x)), None)
    if top is None:
        lines.append("entries:")
        top = len(lines) - 1
    if re.match(r"entries\s*:\s*\[\s*\]\s*(#.*)?$", lines[top]):
        lines[top] = "entries:"
    end, indent = top, "  "
    for i in range(top + 1, len(lines)):
        if re.match(r"[^\s#-]", lines[i]):
            break
        if lines[i].strip() and not lines[i].startswith("#"):
            end = i
        if (dash := re.match(r"(\s*)-\s", lines[i])) is not None:
            indent = dash[1]
    return "\n".join([*lines[: end + 1], *(f"{indent}- {e}" for e in entries), *lines[end + 1 :]]) + "\n"
