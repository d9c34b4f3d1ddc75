"""Whether a plan shows a mistake: only probes that it can change are looked at."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.expectation import Shows, contradicts
from wiremap.mistakes.mistake import Mistake
from wiremap.mistakes.touch import Touch, touch
from wiremap.ringout.probe import Probe, ProbeKind
from wiremap.ringout.silences import Silences


class Finder:
    """Tells quickly whether a plan shows a mistake."""

    def __init__(self, drawn: Drawn, probes: Sequence[Probe]) -> None:
        self.drawn = drawn
        self.silences = Silences(drawn, probes)
        self.by_point: dict[str, list[Probe]] = {}
        self.by_net: dict[int, list[Probe]] = {}
        self.telling: set[str] = set()  # points at which something else than silence is expected
        self.odd: set[int] = set()  # nets on a comb that expects ohms
        self.through: dict[str, Probe] = {}  # a through-probe of each point that has one
        for probe in sorted(probes, key=lambda p: (not p.is_through, p.n)):
            self._note(probe)

    def _note(self, probe: Probe) -> None:
        points = self._concerned(probe)
        for a in points:
            self.by_point.setdefault(a, []).append(probe)
        nets = dict.fromkeys(self.drawn.net_of[a] for a in points)
        for n in nets:
            self.by_net.setdefault(n, []).append(probe)
        if probe.is_through and not probe.state:
            for a in probe.points:
                self.through.setdefault(a, probe)
        if probe.expect != Shows.SILENT and len(points) > 2:
            self.odd.update(nets)
        if probe.expect != Shows.SILENT or probe.state:
            self.telling.update(points)

    def _concerned(self, probe: Probe) -> tuple[str, ...]:
        """The points at which a mistake may change a reading; of a clip's beep those of its net."""
        if probe.kind == ProbeKind.CLIP:
            own = self.drawn.net_of[probe.red[0]]
            return (*probe.red, *(a for a in probe.black if self.drawn.net_of[a] == own))
        return (*probe.points, *self.drawn.legs_of(probe.state))

    def finds(self, mistake: Mistake) -> bool:
        """Whether at least one probe would surely show something else than expected."""
        if isinstance(mistake, Touch):
            return self.shows_touch(mistake.one, mistake.two)
        return self._is_shown(mistake)

    def _is_shown(self, mistake: Mistake) -> bool:
        build = mistake.on(self.drawn.sound)
        return any(
            contradicts(p.expectation, build, p.red, p.black, p.state)
            for p in self.affected(mistake)
        )

    def shows_touch(self, i: int, j: int) -> bool:
        """Whether the touch of two nets shows; it is made only where that alone tells."""
        if self.silences.are_apart(i, j):
            return True
        tied, odd = self.drawn.tied, self.odd
        if i in tied or j in tied or i in odd or j in odd:
            return self._is_shown(touch(self.drawn, i, j))
        return False

    def is_quiet(self, point: str) -> bool:
        """Whether all that is read at a point is silence, and no part ties its net with another."""
        return point not in self.telling and self.drawn.net_of[point] not in self.drawn.tied

    def affected(self, mistake: Mistake) -> Iterator[Probe]:
        """The probes whose reading the mistake can change, through-probes first."""
        seen: set[int] = set()
        for probes in self._sources(mistake):
            for probe in probes:
                if probe.expect == Shows.SILENT and mistake.joins_nothing:
                    continue
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
