"""Whether a plan shows a mistake: only probes that it can change are looked at."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.expectation import Shows, contradicts
from wiremap.mistakes.mistake import Mistake
from wiremap.mistakes.parts import OfPart
from wiremap.mistakes.touch import Touch
from wiremap.ringout.probe import Probe, ProbeKind
from wiremap.ringout.silences import Silences
from wiremap.ringout.touching import Touching


class Finder:
    """Tells quickly whether a plan shows a mistake."""

    def __init__(self, drawn: Drawn, probes: Sequence[Probe]) -> None:
        self.drawn = drawn
        self.silences = Silences(drawn, probes)
        self.by_net: dict[int, list[Probe]] = {}
        self.not_only_silent: set[str] = (
            set()
        )  # points at which something else than silence is expected
        self.through: dict[str, Probe] = {}  # a through-probe of each point that has one
        self.probes = sorted(probes, key=lambda p: (not p.is_through, len(p.points), p.n))
        self.touching = Touching(drawn, self.probes)
        for probe in self.probes:
            self._note(probe)

    def _note(self, probe: Probe) -> None:
        points = self._concerned(probe)
        nets = dict.fromkeys(self.drawn.net_of[point] for point in points)
        for net in nets:
            self.by_net.setdefault(net, []).append(probe)
        if probe.is_through and not probe.state:
            for point in probe.points:
                self.through.setdefault(point, probe)
        if probe.expect != Shows.SILENT or probe.state:
            self.not_only_silent.update(points)

    def _concerned(self, probe: Probe) -> tuple[str, ...]:
        """The points at which a mistake may change a reading.

        A clip's beep comes through the points of its own net; the rest of the comb is not asked.
        """
        if probe.kind == ProbeKind.CLIP:
            own = self.drawn.members[self.drawn.net_of[probe.red[0]]]
            return (*probe.red, *(a for a in own if a in probe.black))
        return (*probe.points, *self.drawn.legs_of(probe.state))

    def finds(self, mistake: Mistake) -> bool:
        """Whether at least one probe would surely show something else than expected."""
        if isinstance(mistake, Touch):
            return self.touching.shows(mistake.one, mistake.two)
        build = mistake.on(self.drawn.sound)
        return any(
            contradicts(probe.expectation, build, probe.red, probe.black, probe.state)
            for probe in self.affected(mistake)
        )

    def hidden_touches(self, net: int, others: int) -> int:
        """Of these nets, a bit each, those whose touch with this one does not show."""
        return self.touching.hidden(net, others)

    def is_quiet(self, point: str) -> bool:
        """Whether all that is read at a point is silence, and no part ties its net with another."""
        return point not in self.not_only_silent and self.drawn.net_of[point] not in self.drawn.tied

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
        """The probes at the nets that a mistake concerns, then those at nets tied to them.

        Not the latter where those nets are dead ends with and without the mistake.
        """
        nets = mistake.nets(self.drawn)
        if isinstance(mistake, OfPart):
            nets = self._dead_end_of(nets)
        yield from (self.by_net.get(n, ()) for n in sorted(nets))
        if self._is_dead_end(nets):
            return
        kin = {m for n in nets for m in self.drawn.tied.get(n, ())}
        yield from (self.by_net.get(n, ()) for n in sorted(kin - nets))

    def _dead_end_of(self, nets: set[int]) -> set[int]:
        """Of two nets with a part between them the one from which nothing else leads on."""
        for net in sorted(nets):
            if {net, self.drawn.network.hub(net)} == nets:
                return {net}
        return nets

    def _is_dead_end(self, nets: set[int]) -> bool:
        """Whether all that ties lead to from these nets is one other net."""
        hubs = {self.drawn.network.hub(n) for n in nets if n in self.drawn.tied}
        return len(hubs) == 1 and None not in hubs and hubs.isdisjoint(nets)
