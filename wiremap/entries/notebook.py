"""Entries for the notebook: from batch lines, stamped with the metal they speak of, appended so that none is lost."""

from __future__ import annotations

import math
import re
import tempfile
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from pathlib import Path

from wiremap.base import Finding, Place, fault
from wiremap.entries.forms import ACCEPTED
from wiremap.entries.lines import DASH, did_you_mean, pieces, text_of
from wiremap.evidence import OPEN_OHMS, kind_of, probe_print
from wiremap.evidence.answers import stamp
from wiremap.evidence.nearby import nets_for
from wiremap.evidence.readings import IN, in_harness
from wiremap.evidence.readings import PARTED as APART
from wiremap.files import load_notebook
from wiremap.files.dump import dump_entry
from wiremap.files.schemas import first_lines
from wiremap.files.write import update_text
from wiremap.graph import Harness
from wiremap.model import OPEN, Address, Entry, EntryKind, Job, Seen, Span

SHORT = {
    "b": Seen.BEEP,
    "beep": Seen.BEEP,
    "s": Seen.SILENT,
    "silent": Seen.SILENT,
    "n": Seen.UNSURE,
    "?": Seen.UNSURE,
    "unsure": Seen.UNSURE,
    "d": Seen.DIODE,
    "diode": Seen.DIODE,
}
OPEN_WORDS = frozenset(
    {"o", "open", "ol", "0l", "o.l", "0.l", "o.l.", "0.l."}
)  # meters show overload as OL, 0L or O.L
LINE = re.compile(
    rf"^\s*(?:(?P<red>\S+)\s+(?:{DASH}|(?i:to))\s+|(?P<tight>[^\s.]+[.]\S+?){DASH}(?=[^\s\d]))"
    r"(?P<black>\S+)\s+(?P<seen>(?:>\s*)?\S+)(?:\s+(?P<scale>[kKM]?)(?:Ω|(?i:ohms?))?(?=\s|$))?"
    r"(?:\s+(?i:with)\s+(?P<fuse>\S+)|\s+(?:(?P<net>\S+)\s+)?(?P<parted>(?i:parted|lifted)))?\s*$"
)
VALUE = re.compile(
    r"^(?P<over>>\s*)?(?P<figure>\d+(?:[.,]\d+)?)(?P<unit>[kKMRr]?)(?P<part>(?<=[kKMRr])\d+)?(?:Ω|(?i:ohms?))?$"
)

SCALE = {"": 1.0, "R": 1.0, "r": 1.0, "k": 1e3, "K": 1e3, "M": 1e6}
Lines = Callable[
    [str, str, str, str], tuple[tuple[Entry, ...], tuple[Finding, ...]]
]  # of text, its name, by whom, when


def batch(
    text: str, shown: str = "batch", by: str = "", date: str = ""
) -> tuple[tuple[Entry, ...], tuple[Finding, ...]]:
    """Probe readings from lines such as `loom.1 - donor.3 b, gateway.1 - gateway.2 61.2`, and what could not be read.

    Readings are parted by commas or line ends; combs are joined by `+`; `b` beep, `s` silent, `n` not sure, `d` diode,
    `o`, `open`, `OL` or `0L` open, a number of ohms (with k or M, also as 4k7 or >20M); `with F1` if that fuse was in;
    `parted`, with its circuit's name before it if the probes are on two such, if a net was parted outside; `#` begins a remark.
    """
    entries: list[Entry] = []
    findings: list[Finding] = []
    for place, piece in pieces(text, shown):
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
            f"this is no reading: {piece!r}",
            place,
            fix=f"write it as: loom.1 - donor.3 b   ({ACCEPTED})",
        )
    red, black = (
        tuple(Address.read(p) for p in side.split("+") if p)
        for side in (found["red"] or found["tight"], found["black"])
    )
    if both := sorted({*red} & {*black}):
        return fault(
            "reading-unread",
            f"both probes stand on {', '.join(both)}",
            place,
            fix="a reading is taken between two points",
        )
    parted = " ".join(x for x in (found["net"], APART) if x) if found["parted"] else None
    state = f"{found['fuse']} {IN}" if found["fuse"] else parted
    plain = Entry(
        kind=EntryKind.PROBE, by=by, date=date, red=red, black=black, state=state, place=place
    )
    seen = read_seen(found["seen"] + (found["scale"] or ""))
    if seen is None or not red or not black:
        return fault(
            "reading-unread",
            f"`{found['seen']}` is no reading",
            place,
            fix=f"accepted are: {ACCEPTED}",
        )
    return replace(plain, seen=seen) if isinstance(seen, Seen) else replace(plain, ohms=seen)


def read_seen(text: str) -> Seen | Span | None:
    """What a typed word or number says of the display; None if it says nothing."""
    word = text.strip().casefold()
    if word in SHORT:
        return SHORT[word]
    if word in OPEN_WORDS:
        return OPEN
    value = VALUE.match(text.strip())
    if value is None or re.search(r",\d{3}(?!\d)", text):  # 7,700 may mean either
        return None
    figure = value["figure"].replace(",", ".")
    if value["part"] and "." in figure:
        return None
    ohms = float(f"{figure}.{value['part']}" if value["part"] else figure) * SCALE[value["unit"]]
    return (
        Span.of(ohms) if not value["over"] else OPEN if ohms >= OPEN_OHMS else Span(ohms, math.inf)
    )


def readings_from(
    path: Path | str, by: str = "", date: str = "", read: Lines = batch
) -> tuple[tuple[Entry, ...], tuple[Finding, ...]]:
    """The entries of a notebook or of a file of lines, whichever it is, and what could not be read; `read` reads the lines."""
    text = text_of(path)
    if isinstance(text, Finding):
        return (), (text,)
    if re.search(r"^wiremap\s*:", text, re.MULTILINE):
        loaded = load_notebook(path)
        return (loaded.value.entries if loaded.value else ()), loaded.findings
    return read(text, Path(path).as_posix(), by, date)


def respelled(points: Iterable[str], entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Entries with their points as the job spells them, whichever capitals were typed, where only one is meant."""
    known = tuple(points)
    small: dict[str, list[str]] = {}
    for p in known:
        small.setdefault(p.casefold(), []).append(p)

    def spelled(p: Address) -> Address:
        meant = small.get(p.casefold(), ())
        return Address.read(meant[0]) if len(meant) == 1 and p not in known else p

    return tuple(
        replace(e, red=tuple(map(spelled, e.red)), black=tuple(map(spelled, e.black)))
        for e in entries
    )


def no_such_points(harness: Harness, entries: Iterable[Entry]) -> tuple[Finding, ...]:
    """A fault for every typed reading at a point that the job does not have; what carries a fingerprint is judged as stale."""
    found = []
    fuses = [x.name for x in harness.job.extras.values() if x.kind == "fuse"]
    nets = {n.name for n in nets_for(harness, kind_of(harness))} | {
        c.id for c in harness.job.circuits
    }
    for e in entries:
        name, _, what = (e.state or "").rpartition(" ")
        if e.kind == "probe" and e.of is None and what == IN and name not in fuses:
            found.append(
                fault(
                    "no-such-fuse",
                    f"{name} is no fuse of this harness that could be put in",
                    e.place,
                    fix=f"its own fuses: {', '.join(fuses) or 'none'}",
                )
            )
        if e.kind == "probe" and e.of is None and what == APART and name and name not in nets:
            near = did_you_mean(name, nets)
            found.append(
                fault(
                    "no-such-net",
                    f"{name} is no circuit of this job that could be parted{near}",
                    e.place,
                    fix="write the circuit's name before parted, or parted alone",
                )
            )
        if e.kind == "probe" and e.of is None:
            for address in in_harness((*e.red, *e.black)):
                if address not in harness.points:
                    near = did_you_mean(address, harness.points)
                    found.append(
                        fault(
                            "no-such-point",
                            f"{address} is no point of this job{near}",
                            e.place,
                            fix="write an end and its cavity as loom.1, a part and its leg as F1.a",
                        )
                    )
    return tuple(found)


def added(known: Iterable[Entry], read: Iterable[Entry]) -> tuple[Entry, ...]:
    """What was read and is not in the notebook yet: a file that was saved before does not count as measured twice.

    Point by point: the longest beginning of what the file says that is the end of what the notebook says was saved
    before.  So the last word of the file is always the last word of the notebook, and a reading that stands twice in the
    file and once in the notebook is added once.
    """
    there: dict[Entry, list[Entry]] = {}
    for e in known:
        there.setdefault(_spot(e), []).append(_same(e))
    here: dict[Entry, list[Entry]] = {}
    for e in read:
        here.setdefault(_spot(e), []).append(_same(e))
    skip = {spot: _saved(there.get(spot, []), said) for spot, said in here.items()}
    out = []
    for e in read:
        skip[_spot(e)] -= 1
        if skip[_spot(e)] < 0:
            out.append(e)
    return tuple(out)


def _saved(there: list[Entry], here: list[Entry]) -> int:
    """How many of the file's readings at one spot end the notebook's there."""
    return next(
        n for n in range(min(len(there), len(here)), -1, -1) if there[len(there) - n :] == here[:n]
    )


def _spot(e: Entry) -> Entry:
    """An entry without what was seen, by whom and when: where and in which state."""
    return replace(_same(e), seen=None, ohms=None, volts=None, amps=None, by="", date="", answer="")


def _same(e: Entry) -> Entry:
    return replace(e, of=None, place=None, how="")


def stamped(harness: Harness, entry: Entry, filed: Job | None = None) -> Entry:
    """The entry with the fingerprint of the metal or cavity it speaks of; unchanged if it already has one or none fits.

    `filed` is the job as its files say it: a cavity's fingerprint is taken there, before any answer was laid over it.
    """
    if entry.of is not None:
        return entry
    if entry.kind in ("probe", "power"):
        return replace(entry, of=probe_print(harness, (*entry.red, *entry.black)))
    return (
        stamp(filed, entry) if filed is not None and entry.kind in ("survey", "answer") else entry
    )


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
    return (
        None
        if found is None
        else replace(
            found, place=Place(Path(path).as_posix()), message=f"nothing was saved: {found.message}"
        )
    )


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
    return (
        "\n".join([*lines[: end + 1], *(f"{indent}- {e}" for e in entries), *lines[end + 1 :]])
        + "\n"
    )
