"""Readings of a ring-out as steps, under the numbers that the command prints."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType

from wiremap.content.steps import Slot, Step, Want
from wiremap.content.words import listed, ohms_band
from wiremap.ringout.bunch import Bunch
from wiremap.ringout.probe import Probe

AS_USUAL: Mapping[str, str] = MappingProxyType({})
NOTHING: Mapping[int, str] = MappingProxyType({})
NO_BUNCH: Mapping[int, Bunch] = MappingProxyType({})
IN_A_ROW = "two loads in a row, by way of ground"
LIFTED = "guard lifted, then shut again"
FIRST, AGAIN = "RO", "A"  # the readings before the sleeves, and those after them


def probe_steps(
    probes: Iterable[Probe],
    series: str = FIRST,
    *,
    where: Mapping[str, str] = AS_USUAL,
    bunch: Mapping[int, Bunch] = NO_BUNCH,
    loads: Collection[str] = (),
    instead: Mapping[int, str] = NOTHING,
) -> tuple[Step, ...]:
    """One step a reading, each called by its series and number, and where all clips come off.

    `where` names the joint at which a point is probed, `bunch` what is done with the clips,
    `loads` the wires behind which a load goes to ground, `instead` what a row may show for a
    reason that is no fault, by its number.
    """
    steps: list[Step] = []
    for probe in probes:
        clips = bunch.get(probe.n)
        step = probe_step(probe, series=series, where=where, bunch=clips, loads=loads)
        note = "; ".join(filter(None, (step.note, instead.get(probe.n))))
        steps.append(replace(step, note=note))
        if clips is not None and clips.ends:
            steps.append(clips_off(clips))
    return tuple(steps)


def clips_off(clips: Bunch) -> Step:
    """What comes off when a bunch has been read against all it is read against."""
    return Step(text=f"All {clips.size} clips off, counted.")


def probe_step(
    probe: Probe,
    words: str = "",
    *,
    series: str = FIRST,
    where: Mapping[str, str] = AS_USUAL,
    bunch: Bunch | None = None,
    loads: Collection[str] = (),
) -> Step:
    """A box where it beeps or is silent, a blank where ohms are read."""
    ohms = probe.expect == "ohms"
    want = ohms_band(probe.low, probe.high) if ohms else str(probe.expect)
    single = () if probe.comb else probe.black
    joints = dict.fromkeys(where[point] for point in (*probe.red, *single) if point in where)
    return Step(
        n=f"{series}{probe.n}",
        at=f"{' + '.join(probe.red)} – {_black(probe)}",
        text=listed(
            *joints,
            words,
            *_prepared(probe, where),
            IN_A_ROW if ohms and set(probe.red + probe.black) <= set(loads) else "",
            _clips_joining(bunch),
        ),
        want=want,
        note=_if_touching(probe, words),
        slot=Slot.BLANK if ohms else Slot.BOX,
        unit="Ω" if ohms else "",
        reading=True,
    )


def _black(probe: Probe) -> str:
    """The points under the black probe; several on clips are counted."""
    return probe.together or " + ".join(probe.black)


def _if_touching(probe: Probe, words: str) -> str:
    """What would happen if the two touched; empty where what is done for the reading says it."""
    if str(probe.expect) != Want.SILENT or not probe.why or words == LIFTED:
        return ""
    return f"touching: {probe.why}"


def _clips_joining(bunch: Bunch | None) -> str:
    """Which clips join the bunch once a circuit was silent against it."""
    if bunch is None or not bunch.joins:
        return ""
    verb = "joins" if len(bunch.joins) == 1 else "join"
    return f"then {listed(*bunch.joins)} {verb} ({bunch.size})"


def _prepared(probe: Probe, where: Mapping[str, str]) -> Iterator[str]:
    """What is clipped on, put in or lifted for a reading."""
    if probe.clips:
        named = (f"{at}'s barrel" if at in where else at for at in probe.clips)
        yield f"first a clip on {listed(*named)}"
    if probe.state.fuse:
        yield f"{probe.state.fuse} in for this one, then out"
    if probe.state.shrunk and probe.state.parted:
        yield LIFTED
