"""What a plan finds, counted by making every modelled mistake once."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.every import every
from wiremap.mistakes.expectation import Shows, contradicts
from wiremap.mistakes.mistake import Mistake
from wiremap.mistakes.parts import loads_other
from wiremap.mistakes.touch import Touch
from wiremap.ringout.probe import Probe


@dataclass(frozen=True, slots=True)
class Coverage:
    """Mistakes made and found, by kind, and those that stay hidden."""

    counts: Mapping[str, tuple[int, int]]  # kind: modelled, found
    hidden: tuple[Mistake, ...]

    def as_dict(self) -> dict[str, Any]:
        """Counts by kind as plain data."""
        return {kind: {"modelled": m, "found": f} for kind, (m, f) in self.counts.items()}


def cover(drawn: Drawn, probes: Sequence[Probe]) -> Coverage:
    """Make every modelled mistake, wrong loads with them, and see whether a probe would show it."""
    finder = Finder(drawn, probes)
    modelled: dict[str, int] = {}
    found: dict[str, int] = {}
    hidden = []
    for mistake in (*every(drawn), *loads_other(drawn)):
        kind = str(mistake.kind)
        modelled[kind] = modelled.get(kind, 0) + 1
        if finder.finds(mistake):
            found[kind] = found.get(kind, 0) + 1
        else:
            hidden.append(mistake)
    return Coverage({k: (n, found.get(k, 0)) for k, n in modelled.items()}, tuple(hidden))


class Finder:
    """Tells quickly whether a plan shows a mistake: only probes that it can change are looked at.

    `red` and `black` hold for each net, as bits, the silences that it is read in under that probe.
    """

    def __init__(self, drawn: Drawn, probes: Sequence[Probe]) -> None:
        self.drawn = drawn
        self.by_point: dict[str, list[Probe]] = {}
        self.by_net: dict[int, list[Probe]] = {}
        self.red: dict[int, int] = {}
        self.black: dict[int, int] = {}
        self.odd: set[int] = set()  # nets on a comb that expects ohms
        for k, probe in enumerate(sorted(probes, key=lambda p: (not p.is_through, p.n))):
            self._note(probe, 1 << k)

    def _note(self, probe: Probe, bit: int) -> None:
        points = (*probe.points, *self.drawn.legs_of(probe.state))
        for a in points:
            self.by_point.setdefault(a, []).append(probe)
        nets = dict.fromkeys(self.drawn.net_of[a] for a in points)
        for n in nets:
            self.by_net.setdefault(n, []).append(probe)
        if probe.expect == Shows.SILENT:
            for side, points in ((self.red, probe.red), (self.black, probe.black)):
                for n in {self.drawn.net_of[a] for a in points}:
                    side[n] = side.get(n, 0) | bit
        elif len(probe.points) > 2:
            self.odd.update(nets)

    def finds(self, mistake: Mistake) -> bool:
        """Whether at least one probe would surely show something else than expected."""
        if isinstance(mistake, Touch):
            if self._read_apart(mistake.one, mistake.two):
                return True
            if not mistake.nets(self.drawn) & (self.drawn.tied.keys() | self.odd):
                return False
        build = mistake.on(self.drawn.sound)
        return any(
            contradicts(p.expectation, build, p.red, p.black, p.state)
            for p in self.affected(mistake)
        )

    def _read_apart(self, i: int, j: int) -> bool:
        one = self.red.get(i, 0) & self.black.get(j, 0)
        return bool(one or self.red.get(j, 0) & self.black.get(i, 0))

    def affected(self, mistake: Mistake) -> Iterator[Probe]:
        """The probes whose reading the mistake can change, through-probes first."""
        seen: set[int] = set()
        for probes in self._sources(mistake):
            for probe in probes:
                if probe.n not in seen:
                    seen.add(probe.n)
                    yield probe

    def _sources(self, mistake: Mistake) -> Iterator[Collection[Probe]]:
        for a in mistake.touches(self.drawn):
            yield self.by_point.get(a, ())
        nets = mistake.nets(self.drawn)
        if mistake.joins(self.drawn):
            yield from (self.by_net.get(n, ()) for n in sorted(nets))
        kin = {m for n in nets for m in self.drawn.tied.get(n, ())}
        yield from (self.by_net.get(n, ()) for n in sorted(kin))
