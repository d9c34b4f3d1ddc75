"""The order of probes: what stays where it is, and how much work that leaves."""

from __future__ import annotations

from collections.abc import Container, Iterable
from dataclasses import dataclass, replace

from wiremap.mistakes.expectation import Shows
from wiremap.ringout.probe import Points, Probe, ProbeKind


@dataclass(frozen=True, slots=True, kw_only=True)
class HandWork:
    """Probes set and clips moved, and what no order of these readings can beat."""

    sets: int
    clips: int  # each put on once and taken off once
    bound: int

    @property
    def total(self) -> int:
        """All moves of a hand."""
        return self.sets + self.clips

    @property
    def told(self) -> str:
        """The counts in words."""
        clips = f", {self.clips} clip moves" if self.clips else ""
        return f"{self.sets} probe moves{clips}"


def work_of(probes: Iterable[Probe]) -> HandWork:
    """The work of taking probes in this order.

    Each reading needs a new place, the first two; a clip is put on and taken off.
    """
    taken = list(probes)
    clips = 2 * sum(len(probe.clips) for probe in taken)
    least = len(taken) + 1 if taken else 0
    return HandWork(sets=probe_sets(taken), clips=clips, bound=least + clips)


def in_order(probes: Iterable[Probe]) -> tuple[Probe, ...]:
    """The probes with their numbers, from 1, each turned so that a probe which can stay does.

    A band keeps its direction, a comb its side.  What else is read between the two points of a
    diode is read backwards, so that what is noted forwards was read in diode range.
    """
    asked = list(probes)
    forwards = {(probe.red, probe.black) for probe in asked if probe.expect == Shows.DIODE}
    out: list[Probe] = []
    for number, probe in enumerate(asked, 1):
        if _is_turned(out[-1] if out else None, probe, forwards):
            out.append(replace(probe, n=number, red=probe.black, black=probe.red))
        else:
            out.append(replace(probe, n=number))
    return tuple(out)


def _is_turned(
    last: Probe | None, probe: Probe, forwards: Container[tuple[Points, Points]]
) -> bool:
    if probe.diode_range or probe.comb:
        return False
    if (probe.red, probe.black) in forwards:
        return True
    if probe.kind == ProbeKind.BAND or (probe.black, probe.red) in forwards:
        return False
    return last is not None and _stays_turned(last, probe)


def _stays_turned(last: Probe, probe: Probe) -> bool:
    """Whether more probes stay where they are with red and black the other way round."""
    as_it_is = (probe.red == last.red) + (probe.black == last.black)
    return (probe.black == last.red) + (probe.red == last.black) > as_it_is


def probe_sets(probes: Iterable[Probe]) -> int:
    """How often a probe or comb is set in this order; one on a growing comb stays there."""
    count = 0
    red: Points = ()
    black: Points = ()
    on_comb = False
    for probe in probes:
        stays = probe.black == black or (on_comb and probe.comb)
        count += (probe.red != red) + (not stays)
        red, black, on_comb = probe.red, probe.black, probe.comb
    return count


def numbered(probes: Iterable[Probe]) -> tuple[Probe, ...]:
    """The probes with their numbers, from 1."""
    return tuple(replace(probe, n=number) for number, probe in enumerate(probes, 1))
