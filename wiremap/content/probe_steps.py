"""Readings of a ring-out as steps, under the numbers that the command prints."""

from __future__ import annotations

from collections.abc import Iterable

from wiremap.content.steps import Slot, Step, Want
from wiremap.content.words import listed, ohms_band
from wiremap.ringout.probe import Probe


def probe_steps(probes: Iterable[Probe]) -> tuple[Step, ...]:
    """One step a reading."""
    return tuple(probe_step(probe) for probe in probes)


def probe_step(probe: Probe, words: str = "") -> Step:
    """A box where it beeps or is silent, a blank where ohms are read."""
    black = f"comb of {len(probe.black)}" if probe.comb else " + ".join(probe.black)
    ohms = probe.expect == "ohms"
    want = ohms_band(probe.low, probe.high) if ohms else str(probe.expect)
    return Step(
        n=f"R{probe.n}",
        at=f"{' + '.join(probe.red)} – {black}",
        text=listed(words, _done_for(probe), probe.why if want == Want.SILENT else ""),
        want=want,
        slot=Slot.BLANK if ohms else Slot.BOX,
        unit="Ω" if ohms else "",
        reading=True,
    )


def _done_for(probe: Probe) -> str:
    """What is clipped on, put in or lifted for a reading."""
    if probe.clips:
        return f"first a clip on {listed(*probe.clips)}"
    if probe.state.fuse:
        return f"{probe.state.fuse} in for this one, then out"
    return "guard lifted" if probe.state.shrunk and probe.state.parted else ""
