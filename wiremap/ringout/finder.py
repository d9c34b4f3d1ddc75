"""Whether a plan shows a mistake: only probes that it can change are looked at."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from functools import cached_property

from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.expectation import Shows, contradicts
from wiremap.mistakes.mistake import Mistake
from wiremap.mistakes.touch import Touch, touch
from wiremap.ringout.probe import Probe, ProbeKind
from wiremap.ringout.silences import Silences, joined, members_of


class Finder:
    """Tells quickly whether a plan shows a mistake."""

    def __init__(self, drawn: Drawn, probes: Sequence[Probe]) -> None:
        self.drawn = drawn
        self.silences = Silences(drawn, probes)
        self.by_net: dict[int, list[Probe]] = {}
        self.telling: set[str] = set()  # points at which something else than silence is expected
        # sets of readings that a touch can change: by the nets under red, black, in a state
        self.under: tuple[dict[int, int], dict[int, int]] = {}, {}
        self.stated: dict[int, int] = {}
        self.odd: set[int] = set()  # nets of readings that expect ohms, or the way of a diode
        self._known_sides: dict[int, tuple[int, int]] = {}
        self.through: dict[str, Probe] = {}  # a through-probe of each point that has one
        self.probes = sorted(probes, key=lambda p: (not p.is_through, p.n))
        for place, probe in enumerate(self.probes):
            self._note(probe)
            if probe.expect != Shows.BEEP:
                self._note_sides(probe, 1 << place)

    def _note(self, probe: Probe) -> None:
        points = self._concerned(probe)
        nets = dict.fromkeys(self.drawn.net_of[a] for a in points)
        for n in nets:
            self.by_net.setdefault(n, []).append(probe)
        if probe.is_through and not probe.state:
            for a in probe.points:
                self.through.setdefault(a, probe)
        if probe.expect != Shows.SILENT or probe.state:
            self.telling.update(points)

    def _note_sides(self, probe: Probe, bit: int) -> None:
        """A reading that a touch can change, by its nets; a beep stays one."""
        net_of = self.drawn.net_of
        for at, points in zip(self.under, (probe.red, probe.black), strict=True):
            nets = {net_of[a] for a in points}
            for net in nets:
                at[net] = at.get(net, 0) | bit
            if probe.expect != Shows.SILENT:
                self.odd |= nets
        if probe.state:
            for net in {net_of[a] for a in self._concerned(probe)}:
                self.stated[net] = self.stated.get(net, 0) | bit

    def _concerned(self, probe: Probe) -> tuple[str, ...]:
        """The points at which a mistake may change a reading; of a clip's beep those of its net."""
        if probe.kind == ProbeKind.CLIP:
            own = self.drawn.members[self.drawn.net_of[probe.red[0]]]
            return (*probe.red, *(a for a in own if a in probe.black))
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
        across = self._across(i, j)
        if not across:
            return False
        build = touch(self.drawn, i, j).on(self.drawn.sound)
        made = map(self.probes.__getitem__, members_of(across))
        return any(contradicts(p.expectation, build, p.red, p.black, p.state) for p in made)

    def hidden_touches(self, net: int, others: int) -> int:
        """Of these nets, a bit each, those whose touch with this one does not show."""
        hidden = others & ~self.silences.apart.get(net, 0)
        for other in members_of(hidden if self._made >> net & 1 else hidden & self._made):
            if self.shows_touch(net, other):
                hidden &= ~(1 << other)
        return hidden

    @cached_property
    def _made(self) -> int:
        """The nets that a tie touches or ohms are read of: of others silences alone tell."""
        return joined(1 << net for net in {*self.drawn.tied, *self.odd})

    def _across(self, i: int, j: int) -> int:
        """The readings of what is tied to one net against what is tied to the other.

        A touch changes no others, but for those in a state of their own.
        """
        (red, black), (other_red, other_black) = self._sides(i), self._sides(j)
        stated = joined(self.stated.get(n, 0) for net in (i, j) for n in self._kin(net))
        return (red & other_black) | (other_red & black) | stated

    def _sides(self, net: int) -> tuple[int, int]:
        """The readings that have what is tied to a net under the red probe, under the black."""
        if net not in self._known_sides:
            kin = self._kin(net)
            red, black = (joined(at.get(n, 0) for n in kin) for at in self.under)
            self._known_sides[net] = red, black
        return self._known_sides[net]

    def _kin(self, net: int) -> Collection[int]:
        return self.drawn.tied.get(net, (net,))

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
        nets = mistake.nets(self.drawn)
        yield from (self.by_net.get(n, ()) for n in sorted(nets))
        kin = {m for n in nets for m in self.drawn.tied.get(n, ())}
        yield from (self.by_net.get(n, ()) for n in sorted(kin - nets))
