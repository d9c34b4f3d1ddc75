"""What is done before the first probe of a ring-out: what is out, and where each name is probed."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.content.given import Given
from wiremap.content.proving import studs
from wiremap.content.steps import Slot, Step
from wiremap.content.words import listed, sentence_case
from wiremap.evidence.probe_points import ADAPTER, kind_of
from wiremap.ringout.before_start import probed, taken_out, told_out

MOST_HOLES = 6  # cavities named in a sentence of a full page


def ringout_start(given: Given) -> Iterator[Step]:
    """What is out before the first probe, and where each name is probed."""
    kind = kind_of(given.harness)
    first = (
        "Battery off, minus first; control units unplugged; sensors, valves and terminators left "
        "connected"
    )
    if kind == ADAPTER:
        first = "On the bench, nothing connected"
    out = told_out(taken_out(given.harness, kind, given.sizes))
    yield Step(text=f"{first}; out: {out}." if out else f"{first}.", note=_still_open(given))
    if kind != ADAPTER:
        for stud in studs(given):
            words = "ring on its stud, bare metal, nut tight by hand only"
            yield Step(at=stud, text=words)
    places = probed(given.harness, kind)
    told = [f"{listed(*names)}: {where}." for where, names in places.items()]
    told.append("No bare probe into a socket contact: a mating contact that fits.")
    yield Step(text=sentence_case(" ".join(told)), slot=Slot.NONE)


def _still_open(given: Given) -> str:
    """What is closed only after the last reading: the sleeves, the cavities that get a plug."""
    holes = [a for a, left in given.job.not_joined.items() if left.treat == "blank"]
    told = "No sleeve is shrunk yet" if given.harness.joints else ""
    if 0 < len(holes) <= MOST_HOLES:
        told = listed(told, f"no plug in {listed(*holes)}")
    elif holes:
        told = listed(told, "no blanking plug in")
    return f"{sentence_case(told)}." if told else ""
