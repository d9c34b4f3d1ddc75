"""Two ways to fit one unit, told in sentences: what each takes, what speaks for which."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from wiremap.base import counted
from wiremap.reports.screen import INDENT, wrapped
from wiremap.share.way import Way
from wiremap.share.ways import Ways

CALLED: Mapping[str, str] = MappingProxyType(
    {
        "joints": "joints",
        "contacts": "crimped contacts",
        "mated": "mated contacts in the way",
        "plugs": "plugs to buy",
        "wires_cut": "machine wires cut",
        "harmful_slips": "harmful slips",
        "survey_readings": "readings before",
        "ring_out_readings": "ring-out readings",
        "joints_to_undo": "joints on the way back",
    }
)
PROVISO = (
    "each joint, crimp and mated contact is one more place that can fail (common practice); the "
    "figures count what is made, not how well"
)


def ways_text(ways: Ways) -> Iterator[str]:
    """Both ways side by side in sentences, then which has fewer of what."""
    both = (("splice", ways.splice), ("adapter", ways.adapter))
    for name, way in both:
        yield from wrapped(f"{name} {way.file}: {_verdict(way)}")
    for told in (_made, _parts, _machine, _readings, _slips, _back, _hours):
        lines = [(name, told(way)) for name, way in both]
        yield from _pair(lines)
    for file, points in ways.only.items():
        yield from wrapped(f"not the same work: {file} alone joins {'; '.join(points)}")
    yield from _fewer(ways)
    yield from wrapped(PROVISO)


def _pair(lines: list[tuple[str, str]]) -> Iterator[str]:
    """One line for both if they say the same, else one for each."""
    (one, first), (two, second) = lines
    if not first and not second:
        return
    if first == second:
        yield from wrapped(first, lead=f"{INDENT}both: ")
        return
    yield from wrapped(first, lead=f"{INDENT}{one}: ")
    yield from wrapped(second, lead=f"{INDENT}{two}: ")


def _verdict(way: Way) -> str:
    unsigned = f"{counted(way.cautions, 'caution')} to sign"
    if way.verdict == "in-order":
        return f"paper in order, {unsigned}"
    return f"on hold, {counted(way.stops, 'stop')}, {unsigned}"


def _made(way: Way) -> str:
    made = f"{counted(way.joints, 'joint')} to make, {counted(way.contacts, 'contact')} to crimp"
    return f"{made}, {counted(way.mated, 'mated contact')}: {way.places} places that can fail"


def _parts(way: Way) -> str:
    parts = {
        f"{counted(way.plugs, 'plug')} to buy": way.plugs,
        f"{counted(way.wires, 'new wire')}, {way.wire_m:g} m as far as stated": way.wires,
        counted(way.blanks, "cavity blank"): way.blanks,
        counted(way.caps, "cap"): way.caps,
    }
    return ", ".join(words for words, count in parts.items() if count)


def _machine(way: Way) -> str:
    cut = f"{counted(way.wires_cut, 'wire')} of the machine cut"
    return f"{cut}, {way.wires_uncut} left as they are"


def _readings(way: Way) -> str:
    readings = counted(way.survey_readings, "reading")
    return f"{readings} before, {way.ring_out_readings} at the ring-out"


def _slips(way: Way) -> str:
    if way.harmful_slips is None:
        return "harmful slips not counted for a job so large (--full does)"
    return f"{counted(way.harmful_slips, 'slip')} of the hand would do harm"


def _back(way: Way) -> str:
    if not way.joints_to_undo:
        return "the way back: unplug it, and the machine is as it was"
    joints = counted(way.joints_to_undo, "joint")
    return f"the way back: {joints} more, to the plug that was cut off"


def _hours(way: Way) -> str:
    if way.hours is None:
        return ""
    return f"{way.hours:g} hours at the minutes told"


def _fewer(ways: Ways) -> Iterator[str]:
    """What each way has less of."""
    for name in ("splice", "adapter"):
        less = [CALLED[what] for what, which in ways.fewer.items() if which == name]
        if less:
            yield from wrapped(f"fewer with the {name}: {', '.join(less)}")
