"""The plan for hands that have clips or mating halves: a comb that grows net by net.

Each net is rung out on its own clip, read against the comb, and joins it.  Of nets that loads or
parts join with ohms one is on the comb and the others are read against it by their value, which
shows a touch with any other net of the comb too.  At the end each clip of the comb beeps once more,
so that no fallen clip has faked a silence.  Not read: holes without a contact, legs of parts whose
value is read, nets that meet outside the harness, and what other readings show already.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from wiremap.evidence import OPEN_OHMS
from wiremap.evidence.equipment import Equipment
from wiremap.evidence.meter import DEAD_VOLTS
from wiremap.evidence.probe_points import HarnessKind
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.expectation import Expectation, Shows, expected_apart
from wiremap.mistakes.parts import loads_other
from wiremap.ringout.finder import Finder
from wiremap.ringout.grips import Grips
from wiremap.ringout.held import Held
from wiremap.ringout.masks import joined, ones_of
from wiremap.ringout.order import numbered
from wiremap.ringout.planner import NO_DANGER, Planner
from wiremap.ringout.probe import Points, Probe, ProbeKind
from wiremap.ringout.values import bands, fuses, load_value, met_outside, tie_name

VOLTS_FIRST = (
    f"first volts from the clips to ground: above {DEAD_VOLTS:g} V no ohms are read, find the feed"
)
OPEN_IN_OHMS = Expectation(Shows.OHMS, OPEN_OHMS, math.inf)
LEAST_COMB = 2  # nets


class GrowingComb:
    """The probes of one plan with clips, in order."""

    def __init__(self, drawn: Drawn, equipment: Equipment, held: Held) -> None:
        self.drawn, self.equipment, self.held = drawn, equipment, held
        self.grips = Grips(drawn, equipment)
        points = {net: tuple(self.grips.points_of(net)) for net in self.grips.nets}
        self.planner = Planner(drawn, self.grips.trees(held), points)
        self.has_clip: set[str] = set()  # the points on which a clip was put

    @property
    def holds(self) -> int:
        """How many nets the equipment holds on a comb at once."""
        free, _ = self._free_and_loaded()
        on, _ = self._split_by_clips(free)
        return len(on)

    def probes(self) -> Iterator[Probe]:
        """All probes: sentinels, comb after comb, values left, fuses, what is parted outside."""
        planner = self.planner
        free, loaded = self._free_and_loaded()
        on, left = self._split_by_clips(free)
        made = [self._on_clip(probe, on) for probe in planner.sentinels()]
        while on:
            made += self._grown(on, [*left, *loaded])
            if len(left) < LEAST_COMB:  # it was read against the comb that is done
                break
            on, left = self._split_by_clips(left)
        for net in planner.by_place():
            made += planner.through(net)
        made += bands(planner)
        made = list(self.held.left_of(made))
        finder = Finder(self.drawn, numbered(made))
        made += self._unread_loads(finder)
        made += planner.apart_in_turn(self._hidden(finder))
        yield from made
        yield from fuses(planner)
        yield from met_outside(planner)

    def _free_and_loaded(self) -> tuple[list[int], list[int]]:
        """The nets that go on a comb, and those only read against it; both most harmful first."""
        planner = self.planner
        nets = planner.separable()
        ranked = sorted(nets, key=lambda net: (planner.harm(net), planner.place(net)))
        groups: dict[frozenset[int], list[int]] = {}
        for net in ranked:
            groups.setdefault(self.drawn.tied.get(net, frozenset((net,))), []).append(net)
        heads = {net for of in groups.values() for net in self._heads(of)}
        free = [net for net in ranked if net in heads and net in self.grips.at]
        return free, [net for net in ranked if net not in free]

    def _heads(self, group: Sequence[int]) -> Sequence[int]:
        """Of nets that ties connect the one at which most of the ties end, if one can be held."""
        gripped = [net for net in group if net in self.grips.at]
        return [max(gripped, key=lambda n: (self._ties_at(n), -n))] if gripped else group

    def _ties_at(self, net: int) -> int:
        net_of = self.drawn.net_of
        here = self._reads_as(net)
        return sum(net_of[tie.a] in here or net_of[tie.b] in here for tie in self.drawn.ties)

    def _reads_as(self, net: int) -> set[int]:
        """A net and those that it meets outside the harness."""
        return {net, *(n for group in self.drawn.meeting if net in group for n in group)}

    def _split_by_clips(self, free: Sequence[int]) -> tuple[list[int], list[int]]:
        """The nets that the clips at hand hold at once, and those that are left."""
        spare = math.inf if self.equipment.clips is None else self.equipment.clips
        on: list[int] = []
        left: list[int] = []
        for net in free:
            fits = not self.grips.at[net].clip or spare > 0
            (on if fits else left).append(net)
            spare -= self.grips.at[net].clip
        return on, left

    def _on_clip(self, probe: Probe, on: Sequence[int]) -> Probe:
        """A through-probe with the clip that is put on for it."""
        spot = probe.black[0]
        grip = self.grips.at.get(self.drawn.net_of[spot])
        if grip is None or grip.point != spot or self.drawn.net_of[spot] not in on:
            return probe
        return replace(probe, clips=self._hang(spot))

    def _hang(self, spot: str) -> Points:
        if spot in self.has_clip:
            return ()
        self.has_clip.add(spot)
        return (spot,)

    # -- the comb ---------------------------------------------------------------------------------

    def _grown(self, on: Sequence[int], others: Sequence[int]) -> Iterator[Probe]:
        """One comb: it grows, the others are read against it, and each of its clips beeps again."""
        comb: list[int] = []
        waiting: Points = ()
        for net in on:
            for probe in self._through(net):
                yield self._on_clip(probe, on)
            waiting += self._hang(self.grips.at[net].point)
            if comb:
                yield replace(self._against(net, comb), clips=waiting)
                waiting = ()
            comb.append(net)
        if len(comb) < LEAST_COMB:
            return
        for net in self.grips.nets:
            if net not in on and net not in others:
                yield from self._through(net)
        warning = VOLTS_FIRST if self.drawn.kind == HarnessKind.SPLICE_IN else ""
        for net in others:
            yield from self._through(net)
            yield self._in_ohms(self._against(net, comb), warning)
            warning = ""
        spots = tuple(self.grips.at[net].point for net in comb)
        for net in comb:
            yield from self._clip_beeps(net, spots)

    def _through(self, net: int) -> Iterator[Probe]:
        yield from self.planner.through(net)
        yield from self.grips.over_fuses(net, self.planner)

    def _against(self, net: int, comb: Sequence[int]) -> Probe:
        """A net against the comb: silence, or the ohms of what ties it with one net of it."""
        drawn = self.drawn
        red = (self._visited(net),)
        black = tuple(self.grips.at[other].point for other in comb)
        kin = drawn.tied.get(net)
        tied = [other for other in comb if other in kin] if kin else []
        others = drawn.names[comb[0]] if len(comb) == 1 else f"{len(comb)} others at once"
        proves = [f"{drawn.names[net]} apart from {others}"]
        for other in tied:
            proves += self._loads_proven(net, other)
        return Probe(
            kind=ProbeKind.APART,
            red=red,
            black=black,
            expectation=expected_apart(self.drawn.sound, red, black),
            proves=tuple(proves),
            why=self._why_worst(net, comb),
            comb=True,
        )

    def _visited(self, net: int) -> str:
        """The point at which the last through-reading of a net has left its probe."""
        edges = self.planner.trees.get(net, ())
        here = [edge.red for edge in edges if edge.red in self.drawn.reached[net]]
        return here[-1] if here else self.grips.points_of(net)[0]

    def _loads_proven(self, net: int, other: int) -> Iterator[str]:
        """What a reading of two nets proves of the loads straight between; notes them as read.

        A part of the job is read by itself, as its other leg may lie in any net of the comb.
        """
        net_of = self.drawn.net_of
        there = self._reads_as(other)
        for tie in self.drawn.ties:
            ends = {net_of[tie.a], net_of[tie.b]}
            if tie.outside and not tie.diode and net in ends and ends & there:
                self.planner.pairs.update((min(net, n), max(net, n)) for n in there)
                yield f"{tie_name(tie)} there and of its value"

    def _why_worst(self, net: int, comb: Sequence[int]) -> str:
        """Why the most dangerous touch of a net with one of the comb is so; empty if none is."""
        for pair in self.planner.near_to[net]:
            other = pair.other if pair.one == net else pair.one
            if pair.rank < NO_DANGER and other in comb:
                return self.planner.why_dangerous(net, other)
        return ""

    def _in_ohms(self, probe: Probe, warning: str) -> Probe:
        """The reading in ohms, as a beeper is silent at what still joins two nets."""
        why = "; ".join(filter(None, (probe.why, warning)))
        if probe.expect == Shows.SILENT:
            return replace(probe, expectation=OPEN_IN_OHMS, why=why)
        return replace(probe, why=why)

    def _clip_beeps(self, net: int, comb: Points) -> Iterator[Probe]:
        """A beep from another point of a net to the comb: its clip has not fallen off."""
        grip = self.grips.at[net].point
        for point in self.drawn.reached[net]:
            if point != grip:
                yield Probe(
                    kind=ProbeKind.CLIP,
                    red=(point,),
                    black=comb,
                    expectation=Expectation(Shows.BEEP),
                    proves=(f"the clip on {grip} still bites",),
                    comb=True,
                )
                return

    # -- what is left -----------------------------------------------------------------------------

    def _unread_loads(self, finder: Finder) -> Iterator[Probe]:
        """The value of each load of which no reading shows yet that it is not there."""
        for mistake in loads_other(self.drawn):
            if math.isinf(mistake.ohms) and not finder.finds(mistake):
                yield from load_value(self.planner, mistake.a, mistake.b)

    def _hidden(self, finder: Finder) -> list[tuple[int, int]]:
        """The pairs of nets whose touch no reading shows; of many only those near or dangerous."""
        left = joined(1 << net for net in self.grips.nets)
        found: list[tuple[int, int]] = []
        for net in self.grips.nets:
            left &= ~(1 << net)
            hidden = ones_of(finder.hidden_touches(net, left))
            found += [(net, n) for n in hidden if not self.drawn.inseparable(net, n)]
        if len(found) <= len(self.grips.nets):
            return found
        near = {(pair.one, pair.other) for pair in self.planner.near}
        return [pair for pair in found if pair in near]
