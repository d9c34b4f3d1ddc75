"""Which touches of two circuits a plan shows: sets of readings and of nets, a bit each.

A load that a touch brings to a circuit leads to where all loads of its kind lead (its hub).  The
fewer ohms it has, the lower a reading at that circuit falls.  So of all that lead to one hub, in
the order of their ohms, a reading shows those up to a place that few trials find.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from functools import cached_property
from itertools import accumulate
from operator import or_

from wiremap.mistakes.build import SHORT
from wiremap.mistakes.drawn import ROUNDED, Drawn
from wiremap.mistakes.expectation import Shows, contradicts, misses
from wiremap.mistakes.touch import touch
from wiremap.model import Span
from wiremap.ringout.masks import EMPTY, Masks, joined, ones_of
from wiremap.ringout.probe import Probe

FEW = 8  # nets that lead to one hub, up to which it is as quick to make each touch


class Touching:
    """Tells of two nets whether a plan shows their touch."""

    def __init__(self, drawn: Drawn, probes: Sequence[Probe]) -> None:
        self.drawn, self.probes = drawn, probes
        self.apart: Masks[int] = Masks()  # nets that one reading surely tells apart
        # by net the readings that a touch can change: with it under red, under black, in a state
        self.under: tuple[Masks[int], Masks[int]] = Masks(), Masks()
        self.in_state: Masks[int] = Masks()
        # nets of diodes, and of fuses that are in for a reading
        self.not_plain = {drawn.net_of[a] for tie in drawn.diodes for a in (tie.a, tie.b)}
        self._known_sides: dict[int, tuple[int, int]] = {}
        self._known_falls: dict[int, int] = {}
        for place, probe in enumerate(probes):
            if probe.expect != Shows.BEEP:  # a beep stays one
                self._note(probe, 1 << place)

    def _note(self, probe: Probe, bit: int) -> None:
        net_of = self.drawn.net_of
        sides = [{net_of[a] for a in points} for points in (probe.red, probe.black)]
        for at, nets in zip(self.under, sides, strict=True):
            for net in nets:
                at[net] |= bit
        if misses(probe.expectation, SHORT, self.drawn.beeper):
            red, black = (joined(1 << net for net in nets) for nets in sides)
            for nets, far in zip(sides, (black, red), strict=True):
                for net in nets:
                    self.apart[net] |= far
        if probe.state:
            legs = {net_of[a] for a in self.drawn.legs_of(probe.state)}
            self.not_plain |= legs
            for net in {*sides[0], *sides[1], *legs}:
                self.in_state[net] |= bit

    def shows(self, one: int, other: int) -> bool:
        """Whether the touch of two nets shows; its build is made only where nothing else tells."""
        if self.apart[one] >> other & 1:
            return True
        across = self._across(one, other)
        return bool(across) and self._is_shown(one, other, across)

    def hidden(self, net: int, others: int) -> int:
        """Of these nets, a bit each, those whose touch with this one does not show."""
        hidden = others & ~self.apart[net]
        to_make = hidden if self._to_make >> net & 1 else hidden & self._to_make
        if not to_make:
            return hidden
        shown = to_make & self._falls(net)
        for other in ones_of(to_make & ~shown):
            if self._falls(other) >> net & 1 or self._shows_otherwise(net, other):
                shown |= 1 << other
        return hidden & ~shown

    def _shows_otherwise(self, one: int, other: int) -> bool:
        """Whether a touch shows in another way than by the fall of a reading at either net."""
        return not self._only_falls_tell(one, other) and self.shows(one, other)

    def _only_falls_tell(self, one: int, other: int) -> bool:
        """Whether two nets touch in a way that only the falls at them can show."""
        hub, other_hub = self._lead.get(one), self._lead.get(other)
        if hub is None and other_hub is None:
            return False
        if hub == other_hub:
            return True
        alone = one if hub is None else other
        free = alone not in self.drawn.tied and alone not in self.not_plain
        return free and (hub is None or other_hub is None)

    @cached_property
    def _to_make(self) -> int:
        """The nets of which touches must be made: those with a tie, and those read in a state.

        Of all others the silences tell.
        """
        return joined(1 << net for net in {*self.drawn.tied, *self.in_state})

    def _is_shown(self, one: int, other: int, across: int) -> bool:
        """Whether one of these readings surely shows a touch; those at the two nets first."""
        build = touch(self.drawn, one, other).on(self.drawn.sound)
        here = across & (self._at(one) | self._at(other))
        for probes in (here, across & ~here):
            for place in ones_of(probes):
                probe = self.probes[place]
                if contradicts(probe.expectation, build, probe.red, probe.black, probe.state):
                    return True
        return False

    def _at(self, net: int) -> int:
        """The readings that have a net under a probe."""
        red, black = self.under
        return red[net] | black[net]

    def _across(self, one: int, other: int) -> int:
        """The readings of what is tied to one net against what is tied to the other.

        A touch changes no others, but for those in a state of their own; that of two dead ends at
        one hub changes those at them alone, that of a dead end and its hub those at the first.
        """
        (red, black), (other_red, other_black) = self._sides(one), self._sides(other)
        across = (red & other_black) | (other_red & black)
        hub, other_hub = self._hub(one), self._hub(other)
        if hub == other:
            across &= self._at(one)
        elif other_hub == one:
            across &= self._at(other)
        else:
            elsewhere = EMPTY if hub is not None and hub == other_hub else self._far_seeing
            across &= self._at(one) | self._at(other) | elsewhere
        in_state = joined(self.in_state[n] for net in (one, other) for n in self._kin(net))
        return across | in_state

    @cached_property
    def _far_seeing(self) -> int:
        """The readings that may show a touch of two nets of which neither is under a probe."""
        return joined(1 << n for n, probe in enumerate(self.probes) if self._sees_far(probe))

    def _sees_far(self, probe: Probe) -> bool:
        """Whether a reading would fall too low if all nets not under its probes were one."""
        if probe.state:
            return True
        net_of, network = self.drawn.net_of, self.drawn.network
        red, black = ({net_of[a] for a in points} for points in (probe.red, probe.black))
        ohms = [network.most_beside(nets) for nets in (red, black)]
        near = any(not network.joined.get(n, set()).isdisjoint(black) for n in red)
        least = max(ohms) if near else sum(ohms)
        return misses(probe.expectation, Span(SHORT.low, least / ROUNDED), self.drawn.beeper)

    def _sides(self, net: int) -> tuple[int, int]:
        """The readings that have what is tied to a net under the red probe, under the black."""
        if net not in self._known_sides:
            kin = self._kin(net)
            red, black = (joined(at[n] for n in kin) for at in self.under)
            sides = self._known_sides[net] = red, black
            for each in kin:
                self._known_sides[each] = sides
        return self._known_sides[net]

    def _kin(self, net: int) -> Collection[int]:
        """A net with those that ties connect with it."""
        return self.drawn.tied.get(net, (net,))

    # -- loads that lead to one hub ---------------------------------------------------------------

    def _hub(self, net: int) -> int | None:
        """The one net that all ties of a net lead to, if nothing but ties does."""
        return None if net in self.not_plain else self.drawn.network.hub(net)

    @cached_property
    def _leading(self) -> Mapping[int, Sequence[int]]:
        """For each hub of many loads the nets that lead there alone, the least ohms first."""
        found: dict[int, list[tuple[float, int]]] = defaultdict(list)
        for net in self.drawn.members:
            hub = self._hub(net)
            if hub is not None and hub not in self.not_plain:
                high = self.drawn.sound.between({net}, {hub}).high
                found[hub].append((high, net))
        return {hub: [n for _, n in sorted(of)] for hub, of in found.items() if len(of) > FEW}

    @cached_property
    def _lead(self) -> Mapping[int, int]:
        """The hub of many that a net leads to."""
        return {net: hub for hub, nets in self._leading.items() for net in nets}

    @cached_property
    def _first(self) -> Mapping[int, Sequence[int]]:
        """For each of these hubs, at place n, the first n of its nets as a set."""
        return {
            hub: list(accumulate((1 << n for n in nets), or_, initial=EMPTY))
            for hub, nets in self._leading.items()
        }

    def _falls(self, net: int) -> int:
        """The nets that lead to a hub of many, whose touch with this one a reading at it shows."""
        if net not in self._known_falls:
            self._known_falls[net] = (
                EMPTY if net in self.not_plain else joined(self._found_falls(net))
            )
        return self._known_falls[net]

    def _found_falls(self, net: int) -> Iterator[int]:
        for place in ones_of(self._at(net)):
            under = self._under[place]
            for hub, sets in self._first.items():
                kin = self._tied[hub]
                if hub != net and (kin >> net & 1 or under & kin) and sets[-1] & ~under:
                    count = self._count_shown(self.probes[place], net, hub, under)
                    yield sets[count] & ~under

    @cached_property
    def _under(self) -> Sequence[int]:
        """The nets under the probes of each reading, as a set."""
        net_of = self.drawn.net_of
        return [joined({1 << net_of[a] for a in probe.points}) for probe in self.probes]

    @cached_property
    def _tied(self) -> Mapping[int, int]:
        """The nets that ties connect with each hub of many, as a set."""
        return {hub: joined(1 << n for n in self._kin(hub)) for hub in self._leading}

    def _count_shown(self, probe: Probe, net: int, hub: int, under: int) -> int:
        """Up to which place a reading shows a touch of a net with what leads to a hub.

        What is itself under a probe of it has no say.
        """
        leading = self._leading[hub]
        low, high = 0, len(leading)
        while low < high:
            middle = place = (low + high) // 2
            while place < high and under >> leading[place] & 1:
                place += 1
            if place < high and self._falls_with(probe, net, leading[place]):
                low = place + 1
            else:
                high = middle
        return low

    def _falls_with(self, probe: Probe, net: int, other: int) -> bool:
        build = touch(self.drawn, net, other).on(self.drawn.sound)
        return contradicts(probe.expectation, build, probe.red, probe.black, probe.state)
