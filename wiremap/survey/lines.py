"""Survey readings as they are typed, a line each."""

from __future__ import annotations

import re
from dataclasses import replace

from wiremap.base import Finding, Place, fault
from wiremap.entries.lines import BETWEEN, DASH, did_you_mean, taken_out
from wiremap.entries.notebook import read_seen
from wiremap.evidence.answers import cavity_of
from wiremap.evidence.weigh import GROUNDED
from wiremap.model import CHASSIS, OPEN, Address, Entry, EntryKind, Job, OnOff, Seen, Span
from wiremap.survey.rows import Row, survey

MINUS = "battery minus"
MOST_VOLTS, MOST_OHMS = 2000.0, 1e9  # what a notebook takes
_KEY = re.compile(r"(?<!\S)key\s+(on|off)(?!\S)", re.IGNORECASE)
_VOLTS = re.compile(r"(?<!\S)([+-]?\d+(?:[.,]\d+)?)\s*(m?)[Vv](?:olts?)?(?!\S)")
_OHMS = re.compile(
    r"(?<!\S)(\d+(?:[.,]\d+)?)\s*(?:([kKM]?)\s*(?:\u03a9|\u2126|[Oo]hms?)|([kKM]))(?!\S)"
)
_MARKS = re.compile(
    r"[):]+(?=\s|$)|(?<!\S)\("
)  # as in a row of the survey: `loom.1 to battery minus (key off): ...`
_REMARK = re.compile(r"(?:^|\s)#.*")
FORM = "loom.1 12.6 V key off, or loom.12 to loom.8 1800 ohm"


def typed_readings(
    job: Job, text: str, shown: str, by: str = "", date: str = ""
) -> tuple[tuple[Entry, ...], tuple[Finding, ...]]:
    """Survey readings from lines such as `loom.1 12.6 V key off` or `loom.12 to loom.8 0 V 1.8k`, and what could not be read.

    One reading a line, its words as in the rows of the survey: the red probe, `to` the black one (battery minus if volts
    are read and nothing is said), volts or ohms with their unit, how the key stood, the state that a row asks for.
    """
    if re.search(r"^wiremap\s*:", text, re.MULTILINE):
        return (), (
            fault(
                "wrong-kind",
                "this is a file of ours, not lines of readings",
                Place(shown),
                fix="a notebook is judged with --notebook FILE --judge",
            ),
        )
    rows = survey(job).rows
    entries: list[Entry] = []
    findings: list[Finding] = []
    for number, line in enumerate(text.splitlines(), 1):
        said = _REMARK.sub("", line)
        if said.strip():
            place = Place(shown, number, 1 + len(said) - len(said.lstrip()))
            read = _typed(job, rows, said, place)
            if isinstance(read, str):
                findings.append(
                    fault(
                        "reading-unread",
                        f"{read}: `{said.strip()}`; nothing was saved",
                        place,
                        fix=f"write it as: {FORM}",
                    )
                )
            elif isinstance(read, Finding):
                findings.append(read)
            else:
                entries.append(replace(read, by=by, date=date))
    if not entries and not findings:
        findings.append(
            fault(
                "reading-unread",
                "there is no reading in it",
                Place(shown),
                fix=f"write lines such as: {FORM}",
            )
        )
    return tuple(entries), tuple(findings)


def _typed(job: Job, rows: tuple[Row, ...], line: str, place: Place) -> Entry | Finding | str:
    """One line as an entry; a fault at its points, or in words what is wrong with it."""
    words = _MARKS.sub(" ", BETWEEN.sub(" ", line)).split()
    points, rest = words[:1], words[1:]
    if rest and (rest[0].casefold() == "to" or re.fullmatch(DASH, rest[0])):
        whole = " ".join(rest[1:3]).casefold() == MINUS
        points, rest = [*points, *([MINUS] if whole else rest[1:2])], rest[3 if whole else 2 :]
        if len(points) < 2:
            return "nothing is said about where the black probe stood"
    known = [p if n and p in GROUNDED else _address(job, p) for n, p in enumerate(points)]
    for name, address in zip(points, known, strict=True):
        if address is None:
            return _no_point(job, name, place)
    red, black = str(known[0]), str(known[1]) if len(known) > 1 else ""
    if red == black:
        return "both probes stand on one cavity"
    states = sorted(
        {
            r.state
            for r in rows
            if r.state and {r.red, r.black} == {red, CHASSIS if black in GROUNDED else black}
        }
    )
    return _shown(
        Entry(
            kind=EntryKind.SURVEY,
            red=(Address.read(red),),
            black=(Address.read(black),),
            place=place,
        ),
        " ".join(rest),
        states,
    )


def _shown(plain: Entry, said: str, states: list[str]) -> Entry | str:
    """The entry with what the meter showed and how the machine stood, or in words what is wrong with it."""
    named, said = taken_out(
        re.compile(
            "|".join(rf"(?<!\S){re.escape(s)}(?!\S)" for s in states) or r"(?!)", re.IGNORECASE
        ),
        said,
    )
    keys, said = taken_out(_KEY, said)
    volts, said = taken_out(_VOLTS, re.sub(rf"(?<!\S){DASH}(?=\d)", "-", said))
    figures, said = taken_out(_OHMS, said)
    seen: list[Seen | Span] = [
        s for m in figures if (s := read_seen(m[1] + (m[2] or m[3] or ""))) is not None
    ]
    for word in said.split():
        read = read_seen(word)
        if isinstance(read, Span) and read != OPEN:
            return f"`{word}` has no unit: V, mV, ohm, k or M"
        if read is None or read in ("unsure", "diode"):
            wanted = f"; the state here may be {' or '.join(states)}" if states else ""
            return (
                f"`{word}` is no reading of a survey{wanted}"
                if read is None
                else f"`{word}` proves nothing here: read volts or ohms"
            )
        seen.append(read)
    if not volts and not seen:
        return "no volts and no ohms are said"
    if max(len(volts), len(seen), len(keys), len(named)) > 1:
        return "one line holds one reading"
    value = (
        None if not volts else float(volts[0][1].replace(",", ".")) / (1000 if volts[0][2] else 1)
    )
    if seen and not plain.black[0]:
        return "ohms are read between two points: say where the black probe stood"
    if not seen and not keys:
        return "volts hang on the key: say key off or key on"
    one = seen[0] if seen else None
    if (value is not None and abs(value) > MOST_VOLTS) or (
        isinstance(one, Span) and one != OPEN and one.low > MOST_OHMS
    ):
        return f"no meter shows that: up to {MOST_VOLTS:g} V and {MOST_OHMS / 1e6:g} M are taken"
    return replace(
        plain,
        black=(plain.black[0] or Address(MINUS),),
        volts=value,
        ohms=one if isinstance(one, Span) else None,
        seen=one if isinstance(one, Seen) else None,
        key=OnOff(keys[0][1].casefold()) if keys else None,
        state=next((s for s in states if named and s.casefold() == named[0][0].casefold()), None),
    )


def _address(job: Job, name: str) -> str | None:
    """The whole address of a cavity; where the job has one end only, the end's name may be left out."""
    names = [name, *(f"{end}.{name}" for end in job.ends if len(job.ends) == 1)]
    return next((a for a in names if cavity_of(job, a) is not None), None)


def _no_point(job: Job, name: str, place: Place) -> Finding:
    alone = len(job.ends) == 1
    points = [c if alone else f"{e.name}.{c}" for e in job.ends.values() for c in e.pinout.cavities]
    near = did_you_mean(name, points)
    where = (
        "; the black probe may also stand on battery minus or chassis"
        if name not in GROUNDED
        else "; the red probe stands on a cavity"
    )
    return fault(
        "no-such-point",
        f"{name} is no cavity of this {'pinout' if alone else 'job'}{near}{where}; nothing was saved",
        place,
        fix=f"write it as: {FORM}",
    )
