"""Readings of first power as they are typed: a step's number or its probes, what the meter showed, how the key stood."""

from __future__ import annotations

import re
from dataclasses import dataclass

from wiremap.base import Finding, Place, fault
from wiremap.entries.lines import DASH, did_you_mean, pieces, taken_out
from wiremap.entries.notebook import Lines
from wiremap.firstpower.judge import PowerStep
from wiremap.model import Address, Entry, EntryKind, OnOff

FIX = "write it as: 15 off 0.02 V, or: donor.3 - donor.1 12.6 V key on   (numbers as the list of first power prints them)"
MOST = {"V": 2000.0, "A": 1000.0}  # what a notebook takes
_NUMBERS = re.compile(r"\s*(\d+(?:/\d+)*)[.:)]?(?=\s|$)")
_ONE = r"[+-]?(?:\d+(?:[.,]\d+)?|\.\d+)"
_FIGURES = re.compile(
    rf"(?<!\S)({_ONE}(?:(?:\s*/\s*|\s+){_ONE})*)\s*([muµμ]?)(?:([Vv])(?:olts?)?|([Aa])(?:mps?)?)(?!\S)"
)
_KEY = re.compile(r"(?<!\S)(?:key\s+)?(on|off)(?!\S)", re.IGNORECASE)
_OHMS = re.compile(r"(?:[\u03a9\u2126]|ohms?)$|^\d+(?:[.,]\d+)?[kKM]$", re.IGNORECASE)
_MARKS = re.compile(r"[):;]+(?=\s|$)|(?<!\S)\(")
_POINT = r"battery\s+(?:plus|minus)|\S+"
_PROBES = re.compile(
    rf"(?:(?P<tight>[^\s.]+[.]\S+?){DASH}(?=[^\s\d])|(?P<red>{_POINT})(?:\s+(?:to|{DASH})\s+|$))(?P<black>{_POINT})?",
    re.IGNORECASE,
)
_SHARE = {"": 1.0, "m": 1e3, "u": 1e6, "µ": 1e6, "μ": 1e6}


@dataclass(frozen=True, slots=True)
class Said:
    """What one line says, taken apart: numbers of steps or the words left over for its probes, figures, key and state."""

    numbers: tuple[int, ...]
    figures: tuple[float, ...]
    unit: str
    key: str | None
    state: str | None
    rest: str


def power_lines(
    text: str, steps: tuple[PowerStep, ...], shown: str = "readings", by: str = "", date: str = ""
) -> tuple[tuple[Entry, ...], tuple[Finding, ...]]:
    """Entries of kind `power` from lines such as `15 off 0.02 V` or `donor.3 - donor.1 12.6 V key on`, and what could not be read.

    `steps` are those of `power_plan`, whose numbers are typed; an entry names probes, key and state of its step, so that
    it still speaks of them after the list has changed.
    """
    entries: list[Entry] = []
    findings: list[Finding] = []
    for place, piece in pieces(text, shown):
        read = _entries(piece, steps, place, by, date)
        if isinstance(read, str):
            findings.append(fault("reading-unread", f"{read}: `{piece}`", place, fix=FIX))
        else:
            entries += read
    if not entries and not findings:
        findings.append(fault("reading-unread", "there is no reading in it", Place(shown), fix=FIX))
    return tuple(entries), tuple(findings)


def power_reader(steps: tuple[PowerStep, ...]) -> Lines:
    """What reads the lines of these steps, for `readings_from`."""
    return lambda text, shown, by, date: power_lines(text, steps, shown, by, date)


def _entries(
    piece: str, steps: tuple[PowerStep, ...], place: Place, by: str, date: str
) -> list[Entry] | str:
    """What one line says as entries, or in words what is wrong with it."""
    said = _taken_apart(piece, steps)
    if isinstance(said, str):
        return said
    found = _by_number(said, steps) if said.numbers else _by_probes(said, steps)
    if isinstance(found, str):
        return found
    if any(abs(x) > MOST[said.unit] for x in said.figures):
        return f"no meter shows that: up to {MOST[said.unit]:g} {said.unit} is taken"
    return [
        Entry(
            kind=EntryKind.POWER,
            by=by,
            date=date,
            red=(Address.read(str(s.red)),),
            black=(Address.read(str(s.black)),),
            volts=x if said.unit == "V" else None,
            amps=x if said.unit == "A" else None,
            key=OnOff(key) if (key := s.key or said.key) else None,
            state=s.state,
            place=place,
        )
        for s, x in zip(found, said.figures, strict=True)
    ]


def _taken_apart(piece: str, steps: tuple[PowerStep, ...]) -> Said | str:
    """A line's numbers, state, figures and key; what is left over should name its probes."""
    at = _NUMBERS.match(piece)
    text = re.sub(rf"(?<!\S){DASH}(?=[\d.])", "-", _MARKS.sub(" ", piece[at.end() if at else 0 :]))
    states = sorted({s.state for s in steps if s.state}, key=lambda s: (-len(s), s))
    named = re.compile(
        "|".join(rf"(?<!\S){re.escape(s)}(?!\S)" for s in states) or r"(?!)", re.IGNORECASE
    )
    said_state, text = taken_out(named, text)
    figures, text = taken_out(_FIGURES, text)
    keys, text = taken_out(_KEY, text)
    rest = " ".join(text.split())
    if not figures:
        return _no_figure(rest)
    units = {(m[3] or m[4]).upper() for m in figures}
    if len(units) > 1 or len({m[1].casefold() for m in keys}) > 1 or len(said_state) > 1:
        return "one line holds one reading"
    state = next(
        (s for s in states if said_state and s.casefold() == said_state[0][0].casefold()), None
    )
    values = tuple(
        round(float(x.replace(",", ".")) / _SHARE[m[2]], 9)
        for m in figures
        for x in re.findall(_ONE, m[1])
    )
    return Said(
        tuple(map(int, at[1].split("/"))) if at else (),
        values,
        units.pop(),
        keys[0][1].casefold() if keys else None,
        state,
        rest,
    )


def _no_figure(rest: str) -> str:
    """Why a line without volts and amps is none."""
    words = rest.split()
    if words and re.fullmatch(r"r\d+", words[0]):
        return f"{words[0]} is a reading of the ring-out: note it without --power"
    if any(map(_OHMS.search, words)):
        return "ohms are no reading of first power, nothing live is ohmed: read volts or amps"
    for word in words:
        if re.fullmatch(_ONE, word):
            return f"`{word}` has no unit: V, mV, A or mA"
    return "no volts and no amps are said"


def _by_number(said: Said, steps: tuple[PowerStep, ...]) -> list[PowerStep] | str:
    """The steps whose numbers stand at the head of the line, one for each figure."""
    known = {s.n: s for s in steps}
    for n in said.numbers:
        if n not in known:
            return f"there is no step {n}: the list of first power ends at {max(known, default=0)}"
        if not known[n].quantity:
            return f"nothing is read at step {n} ({known[n].do})"
    chosen = [known[n] for n in said.numbers]
    if said.key and len(chosen) > 1:
        chosen = [s for s in chosen if s.key in (None, said.key)]
    for s in chosen:
        if wrong := _unfit(said, s, steps):
            return wrong
    if len(chosen) == len(said.figures):
        return chosen
    if len(said.figures) == 1 and len(chosen) > 1:
        return "one figure for several steps: say key off or key on, or type a figure for each"
    return f"{_count(len(said.figures), 'figure')} for {_count(len(chosen), 'step')}"


def _unfit(said: Said, step: PowerStep, steps: tuple[PowerStep, ...]) -> str:
    """What in a line contradicts the step that its number names; empty if nothing does."""
    if step.quantity != said.unit:
        return f"step {step.n} is read in {step.quantity}, not in {said.unit}"
    if said.key and step.key not in (None, said.key):
        other = next(
            (
                f"; key {said.key} is step {s.n}"
                for s in steps
                if s.key == said.key
                and s.quantity == step.quantity
                and (s.red, s.black, s.state) == (step.red, step.black, step.state)
            ),
            "",
        )
        return f"step {step.n} is read with the key {step.key}{other}"
    if said.state and said.state != step.state:
        return f"step {step.n} is read {f'with {step.state}' if step.state else 'with no such state'}, not with {said.state}"
    if said.rest:
        probes = _probes(said.rest)
        if probes is None or not step.at(*probes):
            return f"step {step.n} is read at {step.red} to {step.black}, not at {said.rest}"
    return ""


def _by_probes(said: Said, steps: tuple[PowerStep, ...]) -> list[PowerStep] | str:
    """The one step that is read at these probes with this key and state."""
    probes = _probes(said.rest)
    if probes is None:
        return (
            f"`{said.rest}` names no probes"
            if said.rest
            else "neither a step nor its probes are named"
        )
    red, black = probes
    asked = [s for s in steps if s.quantity and s.red]
    there = [s for s in asked if s.at(red, black)]
    if black is None:
        there = [s for s in there if not s.lost] or there
    if not there:
        return _nowhere(red, black, asked)
    fits = [s for s in there if s.quantity == said.unit]
    if not fits:
        return f"step {there[0].n} is read in {there[0].quantity}, not in {said.unit}"
    alike = [s for s in fits if not said.state or s.state == said.state]
    right = [s for s in alike if not said.key or s.key in (None, said.key)]
    if len(right) == len(said.figures) == 1:
        return right
    if len(right) == 1:
        return f"{_count(len(said.figures), 'figure')} for 1 step"
    told = ", ".join(f"step {s.n}{f' ({s.when})' if s.when else ''}" for s in right or fits)
    if not right:
        return f"nothing is read there like that, but {told}"
    return f"it may be {told}: name the key and the state, or begin with the number"


def _nowhere(red: str, black: str | None, asked: list[PowerStep]) -> str:
    """Why no step is read at two probes: turned round, a slip of the pen, or not on the list."""
    turned = next((s for s in asked if black and s.at(black, red)), None)
    if turned is not None:
        return f"the red probe belongs on {turned.red}, the black one on {turned.black}"
    points = list(dict.fromkeys(p for s in asked for p in (s.red, s.black) if p))
    for name in (red, black):
        if name and name not in points:
            return f"nothing is read at {name} during first power{did_you_mean(name, points)}"
    blacks = list(dict.fromkeys(str(s.black) for s in asked if s.red == red))
    where = (
        f": with the red probe on {red} the black one stands on {' or '.join(blacks)}"
        if blacks
        else ""
    )
    return f"nothing is read from {red} to {black} during first power{where}"


def _probes(words: str) -> tuple[str, str | None] | None:
    """The red and the black point of such words as `donor.3 - donor.1` or `battery plus to donor.3`; None if they are none."""
    found = _PROBES.fullmatch(words)
    if found is None:
        return None
    red, black = found["red"] or found["tight"], found["black"]
    return _post(red), None if black is None else _post(black)


def _post(name: str) -> str:
    """A point as the list writes it: the battery's posts in small letters with one space."""
    small = " ".join(name.casefold().split())
    return small if small.startswith("battery ") else name


def _count(n: int, thing: str) -> str:
    return f"{n} {thing}{'' if n == 1 else 's'}"
