"""Figures far from what is usual: true perhaps, or mistyped, so that they are asked back once.

What is usual on vehicles and machines is common practice: a battery has 5 to 20 milliohm, its
cable to the fuses seldom more than 100; no signal connector takes a wire over 25 mm2.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from types import MappingProxyType

from wiremap.evidence.answer_figures import FIGURES, figure_of
from wiremap.evidence.new_wires import NEW_WIRE, length_in, wire_in
from wiremap.model import Cavity, Wire

CSA, NEW_LENGTH = "csa_mm2", "new_length_mm"
# lowest and highest, in the units of `FIGURES` or `UNITS`
USUAL: Mapping[str, tuple[float, float]] = MappingProxyType(
    {
        "milliohm": (2, 250),
        "length_mm": (150, 30_000),
        "tail_mm": (20, 3000),
        "fuse_amps": (0.5, 150),
        "found_amps": (0.5, 150),
        "amps": (0, 60),
        "peak_amps": (0, 300),
        "asleep_amps": (0, 1),
        "volts": (-12, 60),
        "supply.volts": (6, 48),
        "surroundings.ambient_C": (-40, 125),
        "surroundings.bundle": (0, 100),
        "kbit_s": (5, 1000),
        CSA: (0.13, 25),
        NEW_LENGTH: (30, 10_000),
    }
)
UNITS: Mapping[str, str] = MappingProxyType({CSA: "mm2", NEW_LENGTH: "mm"})
METRIC = re.compile(r"[Mm]\s?(\d{1,2})")
INCH = re.compile(r"#?\d{1,2}(?:/\d{1,2})?(?:-\d{1,2})?\"?")
THREADS = "M4 to M12"
LEAST_THREAD, MOST_THREAD = 4, 12  # of a ground stud, metric


def unusual(about: str, text: str) -> str:
    """Why an answer's figure is asked back, in words; empty where it is a usual one."""
    if about.endswith(NEW_WIRE):
        return unusual_wire(text)
    key = about if about in USUAL else about.rpartition(".")[2]
    stated = figure_of(key, text)
    return "" if stated is None else unusual_figure(key, stated)


def unusual_figure(key: str, stated: float) -> str:
    """Why a figure of that kind is asked back; empty where it is usual, or nothing is known."""
    low, high = USUAL.get(key, (stated, stated))
    if low <= stated <= high:
        return ""
    unit = UNITS[key] if key in UNITS else FIGURES[key].unit
    return (
        f"{stated:g} {unit} is unusual: {low:g} to {high:g} {unit} is usual (common practice); "
        "look whether it was mistyped or belongs to another question"
    )


def unusual_wire(text: str) -> str:
    """Why a wire as it is typed is asked back, for its size or its length; empty if neither."""
    wire, length = wire_in(text), length_in(text)
    size = unusual_size(wire) if wire else ""
    return size or ("" if length is None else unusual_figure(NEW_LENGTH, length))


def unusual_size(wire: Wire) -> str:
    """Why the size of a wire is asked back; empty where it is usual or not told."""
    return "" if wire.csa_mm2 is None else unusual_figure(CSA, round(wire.csa_mm2, 3))


def unusual_in(cavity: Cavity) -> Iterator[str]:
    """Why figures of a contact as its paper tells it are asked back."""
    told = {key: getattr(cavity, key) for key in ("amps", "peak_amps", "asleep_amps", "kbit_s")}
    told["volts"] = None if cavity.volts is None else cavity.volts.high
    found = [unusual_figure(key, value) for key, value in told.items() if value is not None]
    if cavity.wire is not None:
        found.append(unusual_size(cavity.wire))
    yield from filter(None, found)


def is_thread(text: str) -> bool:
    """Whether a text is a thread, metric or in inches."""
    said = text.strip()
    return bool(METRIC.fullmatch(said) or INCH.fullmatch(said))


def unusual_thread(text: str) -> str:
    """Why a thread is asked back; empty where a ground stud may have it."""
    found = METRIC.fullmatch(text.strip())
    if found is None or LEAST_THREAD <= int(found[1]) <= MOST_THREAD:
        return ""
    return f"{text.strip()} is unusual for a ground stud: {THREADS} is usual (common practice)"
