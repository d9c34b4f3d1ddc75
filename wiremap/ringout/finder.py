"""Whether a plan shows a mistake: only probes that it can change are looked at."""

from __future__ import annotations

from collections.abc import Collection, Hashable, Iterable, Iterator, Mapping, Sequence
from typing import TypeVar

from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.expectation import Shows, contradicts
from wiremap.mistakes.mistake import Mistake
from wiremap.mistakes.touch import Touch, touch
from wiremap.ringout.probe import Points, Probe, ProbeKind

KeyT = TypeVar("KeyT", bound=Hashable)


class Finder:
    """Tells quickly whether a plan shows a mistake.

    `red` and `black` hold for each net, as bits, the silences that it is read in under that probe.
    """

    def __init__(self, drawn: Drawn, probes: Sequence[Probe]) -> None:
        self.drawn = drawn
        self.by_point: dict[str, list[Probe]] = {}
        self.by_net: dict[int, list[Probe]] = {}
        self.red: dict[int, int] = {}
        self.black: dict[int, int] = {}
        self.red_at: dict[str, int] = {}  # the silences that a point is read in, as bits
        self.black_at: dict[str, int] = {}
        self.telling: set[str] = set()  # points at which something else than silence is expected
        self.odd: set[int] = set()  # nets on a comb that expects ohms
        self.through: dict[str, Probe] = {}  # a through-probe of each point that has one
        for k, probe in enumerate(sorted(probes, key=lambda p: (not p.is_through, p.n))):
            self._note(probe, 1 << k)
        self._red_in, self._black_in = self._by_net(self.red_at), self._by_net(self.black_at)
        for net, silences in self._red_in.items():
            _add(self.red, (net,), silences)
        for net, silences in self._black_in.items():
            _add(self.black, (net,), silences)

    def _note(self, probe: Probe, bit: int) -> None:
        points = self._concerned(probe)
        for a in points:
            self.by_point.setdefault(a, []).append(probe)
        nets = dict.fromkeys(self.drawn.net_of[a] for a in points)
        for n in nets:
            self.by_net.setdefault(n, []).append(probe)
        if probe.expect == Shows.SILENT and not probe.state:
            _add(self.red_at, probe.red, bit)
            _add(self.black_at, probe.black, bit)
        else:
            self._note_telling(probe, bit, points)

    def _note_telling(self, probe: Probe, bit: int, points: Points) -> None:
        """One that expects something, or silence in a state."""
        self.telling.update(points)
        nets = [self.drawn.net_of[a] for a in points]
        if probe.is_through and not probe.state:
            for a in probe.points:
                self.through.setdefault(a, probe)
        if probe.expect == Shows.SILENT:
            _add(self.red, {self.drawn.net_of[a] for a in probe.red}, bit)
            _add(self.black, {self.drawn.net_of[a] for a in probe.black}, bit)
        elif len(points) > 2:
            self.odd.update(nets)

    def _concerned(self, probe: Probe) -> Points:
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
        if self._read_apart(i, j):
            return True
        tied, odd = self.drawn.tied, self.odd
        if i in tied or j in tied or i in odd or j in odd:
            return self._is_shown(touch(self.drawn, i, j))
        return False

    def _read_apart(self, i: int, j: int) -> bool:
        one = self.red.get(i, 0) & self.black.get(j, 0)
        return bool(one or self.red.get(j, 0) & self.black.get(i, 0))

    def is_quiet(self, point: str) -> bool:
        """Whether all that is read at a point is silence, and no part ties its net with another."""
        return point not in self.telling and self.drawn.net_of[point] not in self.drawn.tied

    def shows_move(self, point: str, others: Iterable[str]) -> bool:
        """Whether the wire of a quiet point, laid to these others, beeps where silence belongs."""
        red, black = self.red_at.get(point, 0), self.black_at.get(point, 0)
        if not red and not black:
            return False
        return any(
            red & self.black_at.get(other, 0) or black & self.red_at.get(other, 0)
            for other in others
        )

    def sounds_in(self, point: str) -> frozenset[int]:
        """The nets with a point that a quiet one is read silent against."""
        red, black = self.red_at.get(point, 0), self.black_at.get(point, 0)
        under_black = (n for n, bits in self._black_in.items() if red & bits) if red else ()
        under_red = (n for n, bits in self._red_in.items() if black & bits) if black else ()
        return frozenset((*under_black, *under_red))

    def _by_net(self, at: Mapping[str, int]) -> dict[int, int]:
        """The silences that all points of a net are read in together, as bits."""
        found: dict[int, int] = {}
        for point, bits in at.items():
            _add(found, (self.drawn.net_of[point],), bits)
        return found

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


def _add(masks: dict[KeyT, int], keys: Iterable[KeyT], bit: int) -> None:
    """Set one bit for each of these keys."""
    for key in keys:
        masks[key] = masks.get(key, 0) | bit
