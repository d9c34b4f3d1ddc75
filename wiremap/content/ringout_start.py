"""What is done before the first probe of a ring-out: what is out, and where each name is probed."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from wiremap.content.given import Given
from wiremap.content.proving import studs
from wiremap.content.read_here import read_at
from wiremap.content.steps import Slot, Step
from wiremap.content.words import ALL_OFF, listed, sentence_case, signal_words
from wiremap.evidence.expected import Quantity
from wiremap.evidence.probe_points import ADAPTER, SPLICE_IN, kind_of
from wiremap.ringout.before_start import fuses_out_words, owners_by_place, taken_out
from wiremap.ringout.unstated import unstated_buses

OTHER_UNITS = "other control units on these wires unplugged, each named on the key's tag"
CONNECTED = "sensors, valves and terminators left connected"
MOST_HOLES = 6  # cavities named in a sentence of a full page


def ringout_start(given: Given) -> Iterator[Step]:
    """What is out before the first probe, and where each name is probed."""
    kind = kind_of(given.harness)
    units = listed(*(end.name for end in given.job.ends.values() if not end.is_machine))
    first = f"{sentence_case(ALL_OFF)}; unmated: {units}; {OTHER_UNITS}"
    if not given.unstated_loads:
        first += f"; {CONNECTED}"
    if kind == ADAPTER:
        first = "On the bench, nothing connected"
    out = fuses_out_words(taken_out(given.harness, kind, given.sizes))
    yield Step(text=f"{first}; out: {out}." if out else f"{first}.", note=_still_open(given))
    yield from _unstated(given)
    if kind != ADAPTER:
        for stud in studs(given):
            words = "ring on its stud, bare metal, nut tight by hand only"
            yield Step(at=stud, text=words)
    places = owners_by_place(given.harness, kind)
    told = [f"{listed(*names)}: {where}." for where, names in places.items()]
    told.append("No bare probe into a socket contact: a mating contact that fits.")
    yield Step(text=sentence_case(" ".join(told)), slot=Slot.NONE)


def _unstated(given: Given) -> Iterator[Step]:
    """What would be found where silence is wanted, as nobody states its ohms."""
    loads = given.unstated_loads
    if loads:
        named = listed(*(f"{signal_words(given.harness.points[a])} ({a})" for a in loads))
        yield Step(
            text=f"Unplugged at its far end: {named}; plugged in again before first power; all "
            f"other {CONNECTED}",
            note=f"Nobody states their ohms. {_or_entered(given, loads)}",
        )
    for high, low in unstated_buses(given.harness, SPLICE_IN):
        rows = listed(*read_at(given, (high, low), Quantity.OHMS))
        yield Step(
            at=f"{high} – {low}",
            text=f"nobody states the ohms between them: {rows}, on the ignition key's tag, is "
            "right where silence is asked between these two, alone or clipped with others",
            slot=Slot.NONE,
        )


def _or_entered(given: Given, loads: Collection[str]) -> str:
    """What else serves where a load cannot be reached."""
    read = [load for load in loads if read_at(given, (load,), Quantity.OHMS)]
    if not read:
        return ""
    rows = listed(*read_at(given, read, Quantity.OHMS))
    which = "One" if len(read) == len(loads) else f"{' or '.join(read)}"
    return f"{which} that cannot be: {rows} into the notebook, the ring-out printed again."


def _still_open(given: Given) -> str:
    """What is closed only after the last reading: the sleeves, the cavities that get a plug."""
    holes = [a for a, left in given.job.not_joined.items() if left.treat == "blank"]
    told = "No sleeve is shrunk yet" if given.harness.joints else ""
    if 0 < len(holes) <= MOST_HOLES:
        told = listed(told, f"no plug in {listed(*holes)}")
    elif holes:
        told = listed(told, "no blanking plug in")
    return f"{sentence_case(told)}." if told else ""
