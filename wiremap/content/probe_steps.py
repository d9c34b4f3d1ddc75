"""Readings of a ring-out as steps, under the numbers that the command prints."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from types import MappingProxyType

from wiremap.content.steps import Slot, Step, Want
from wiremap.content.words import listed, ohms_band
from wiremap.ringout.probe import Probe

NOWHERE: Mapping[str, str] = MappingProxyType({})
FIRST, AGAIN = "R", "A"  # the readings before the sleeves, and those after them


def probe_steps(
    probes: Iterable[Probe], series: str = FIRST, where: Mapping[str, str] = NOWHERE
) -> tuple[Step, ...]:
    """One step a reading, each called by its series and number.

    `where` names the joint at which a point is probed.
    """
    return tuple(probe_step(probe, series=series, where=where) for probe in probes)


def probe_step(
    probe: Probe, words: str = "", *, series: str = FIRST, where: Mapping[str, str] = NOWHERE
) -> Step:
    """A box where it beeps or is silent, a blank where ohms are read."""
    ohms = probe.expect == "ohms"
    want = ohms_band(probe.low, probe.high) if ohms else str(probe.expect)
    single = () if probe.comb else probe.black
    joints = dict.fromkeys(where[point] for point in (*probe.red, *single) if point in where)
    return Step(
        n=f"{series}{probe.n}",
        at=f"{' + '.join(probe.red)} – {_black(probe)}",
        text=listed(*joints, words, *_done_for(probe), probe.why if want == Want.SILENT else ""),
        want=want,
        slot=Slot.BLANK if ohms else Slot.BOX,
        unit="Ω" if ohms else "",
        reading=True,
    )


def _black(probe: Probe) -> str:
    """The points under the black probe; several on clips are counted."""
    return probe.together or " + ".join(probe.black)


def _done_for(probe: Probe) -> Iterator[str]:
    """What is clipped on, put in or lifted for a reading."""
    if probe.clips:
        yield f"first a clip on {listed(*probe.clips)}"
    if probe.state.fuse:
        yield f"{probe.state.fuse} in for this one, then out"
    if probe.state.shrunk and probe.state.parted:
        yield "guard lifted"
