"""Readings of the ring-out as they are typed: `loom.1 - donor.3 b, gateway.1 - gateway.2 61.2`."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from wiremap.base import Finding, Place, fault
from wiremap.entries.forms import ACCEPTED
from wiremap.entries.lines import LONGEST, pieces, probes, too_many_faults
from wiremap.entries.numbers import OHMS_SAID, read_seen
from wiremap.entries.ticked import ELSEWHERE, NUMBERS, ticked
from wiremap.model import SHRUNK, Address, Entry, EntryKind, Seen
from wiremap.model.state import FUSE_IN, PARTED

DIODE_RANGE = "diode range"  # the state of a reading that was taken in it
NO_DIODE = frozenset({"nd", "no diode"})
PARTED_WORDS = frozenset({PARTED, "lifted"})

Points = tuple[Address, ...]
BY_NUMBER = re.compile(rf"(?:ro|r)?{NUMBERS}[.:)]?(?:\s|$)", re.IGNORECASE)
NAMES_PROBES = "a reading of the ring-out names its probes, not its number"
SHOWN = 40  # characters of what was typed that are told back


@dataclass(frozen=True, slots=True)
class TypedProbe:
    """The words of one reading: what stands under each probe, what was seen, how it stood."""

    red: str
    black: str
    seen: str
    state: str | None


def batch(
    text: str, shown: str = "batch", by: str = "", date: str = ""
) -> tuple[tuple[Entry, ...], tuple[Finding, ...]]:
    """Probe readings from lines that are typed as `forms.FORM` says, and what could not be read."""
    entries: list[Entry] = []
    findings: list[Finding] = []
    for place, piece in pieces(text, shown):
        if too_many_faults(findings, place):
            break
        read = _reading(piece, place, by, date)
        if isinstance(read, Finding):
            findings.append(read)
        else:
            entries.append(read)
    return tuple(entries), tuple(findings)


def _reading(piece: str, place: Place, by: str, date: str) -> Entry | Finding:
    if BY_NUMBER.match(piece):
        words = NAMES_PROBES if ticked(piece) is None else ELSEWHERE
        fix = f"write it as: loom.1 - donor.3 b   ({ACCEPTED})"
        return fault("reading-unread", f"{words}: `{piece[:SHOWN]}`", place, fix=fix)
    typed = _words(piece) if len(piece) <= LONGEST else None
    if typed is None:
        return fault(
            "reading-unread",
            f"this is no reading: {piece[:LONGEST]!r}",
            place,
            fix=f"write it as: loom.1 - donor.3 b   ({ACCEPTED})",
        )
    red, black = _points(typed.red), _points(typed.black)
    if len({*red, *black}) < len(red) + len(black):
        return _twice(red, black, place)
    seen = read_seen(typed.seen)
    if seen is None or not red or not black:
        return fault(
            "reading-unread",
            f"`{typed.seen[:SHOWN]}` is no reading",
            place,
            fix=f"accepted are: {ACCEPTED}",
        )
    return Entry(
        kind=EntryKind.PROBE,
        red=red,
        black=black,
        seen=seen if isinstance(seen, Seen) else None,
        ohms=None if isinstance(seen, Seen) else seen,
        state=typed.state,
        by=by,
        date=date,
        place=place,
    )


def _twice(red: Points, black: Points, place: Place) -> Finding:
    """Points named more than once, under both probes or under one."""
    both = sorted({*red} & {*black})
    if both:
        return fault(
            "reading-unread",
            f"both probes stand on {', '.join(both)}",
            place,
            fix="a reading is taken between two points",
        )
    twice = sorted(p for p in {*red, *black} if (*red, *black).count(p) > 1)
    return fault(
        "reading-unread",
        f"{', '.join(twice)} is named twice under one probe",
        place,
        fix="name each point once",
    )


@lru_cache(maxsize=4096)
def _points(side: str) -> Points:
    return tuple(Address.read(point) for point in side.split("+") if point)


def _words(piece: str) -> TypedProbe | None:
    """One reading taken apart; None if its words do not stand so."""
    at = probes(piece)
    if at.black is None or not at.rest:
        return None
    said = " ".join(at.rest)
    if said.casefold() in NO_DIODE:
        said = f"s {DIODE_RANGE}"
    ohms = OHMS_SAID.match(said)
    seen = "".join(ohms[0].split()) if ohms else said.split()[0]
    state = _state((said[ohms.end() :] if ohms else said.partition(" ")[2]).split())
    return None if state is None else TypedProbe(at.red, at.black, seen, state or None)


def _state(words: list[str]) -> str | None:
    """The state that a reading was taken in, empty if none is said; None for other words."""
    if " ".join(words).casefold() == DIODE_RANGE:
        return DIODE_RANGE
    match words:
        case []:
            return ""
        case [*others, last] if last.casefold() == SHRUNK:
            before = _state(others)
            return None if before is None else f"{before} {SHRUNK}".strip()
        case [first, fuse] if first.casefold() == "with":
            return f"{fuse} {FUSE_IN}"
        case [last] | [_, last] if last.casefold() in PARTED_WORDS:
            *parted, _ = words
            return " ".join([*parted, PARTED])
    return None
