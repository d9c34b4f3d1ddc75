"""The probe to take next, so that as few explanations as can be are left."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import combinations
from typing import NamedTuple

from wiremap.diagnose.explain import Ask, Explanation
from wiremap.diagnose.search import Search
from wiremap.diagnose.weigh import Evidence
from wiremap.diagnose.weighable import bits
from wiremap.evidence import OPEN_OHMS, is_short, is_silent, metered
from wiremap.mistakes.build import NOWHERE, THROUGH_OHMS, Build
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.expectation import Shows
from wiremap.mistakes.mistake import words
from wiremap.mistakes.touch import Touch
from wiremap.model import Span, State
from wiremap.model.quantities import band_ohms
from wiremap.ringout.taken import owner

Side = tuple[str, ...]
POOL = 56  # points that the next probe is chosen from
SWEPT_FROM = 24  # of them, those from which the others are swept
MOVED = 24  # moved wires of one build whose points are looked at
LITTLE = 1e-6  # a comb is not preferred to a single probe that does as well


def shown(build: Build, red: Side, black: Side, state: State = NOWHERE) -> str:
    """What a build would show: beep, silent, or the ohms."""
    if len(red) == len(black) == 1 and not state:
        i, j = build.net(red[0]), build.net(black[0])
        if i == j:
            return Shows.BEEP
        if i not in build.linked or j not in build.linked:
            return Shows.SILENT
    span = build.ohms(red, black, state)
    if span.high <= THROUGH_OHMS:
        return Shows.BEEP
    if span.low >= OPEN_OHMS:
        return Shows.SILENT
    return band_ohms(span.low, span.high)


class Split(NamedTuple):
    """A probe, and the weight of the builds that are left together if the worst comes of it."""

    left: float
    red: Side
    black: Side
    state: State = NOWHERE


def telling(search: Search, found: Sequence[Explanation]) -> Ask | None:
    """The probe that splits the leading explanations best; None if none does.
    What the meter surely shows differently comes first, then what it does while a net is parted
    outside the harness, then figures whose bands overlap.  One explanation alone is told apart from
    the drawing.
    """
    if not found:
        return None
    leading = [e for e in found if len(e.unexplained) == len(found[0].unexplained)]
    weighed = Weighed([e.build for e in leading], [math.exp(-e.cost) for e in leading])
    near = pool(search.drawn, weighed.builds)
    if len(leading) == 1:
        weighed = Weighed([leading[0].build, search.drawn.sound], [1.0, 0.5])
    best = best_split(search.evidence, weighed, near)
    if len(leading) > 3:
        sweeps = _sweeps(search.evidence, weighed, near)
        for red, black in (*sweeps, *_combs(search.drawn, leading, weighed.weights)):
            if not search.evidence.asked(red, black):
                left = weighed.surely_left(red, black) + LITTLE
                if best is None or left < best.left - LITTLE * LITTLE:
                    best = Split(left, red, black)
    if best is None or best.left >= weighed.total * (1 - 1e-9):
        return None
    return Ask(
        red=best.red,
        black=best.black,
        why=_reason(leading[0], best),
        expect=unit(weighed.builds, best),
        state=best.state,
    )


def unit(builds: Sequence[Build], probe: Split) -> Shows:
    """What has to be read so that builds can be told apart: a beep or silence, or ohms."""
    told = {shown(b, probe.red, probe.black, probe.state) for b in builds}
    return Shows.BEEP if told <= {Shows.BEEP, Shows.SILENT} else Shows.OHMS


def _reason(supposed: Explanation, probe: Split) -> str:
    """What a probe should show if these mistakes were made."""
    first = shown(supposed.build, probe.red, probe.black, probe.state)
    does = {"beep": "beep", "silent": "stay silent"}.get(first, f"read {first}")
    sweep = "sweep over them one after another; " if len(probe.black) > 1 else ""
    return f"{sweep}it should {does} if {words(supposed.mistakes)}"


class Weighed:
    """Builds, and how likely each is."""

    def __init__(self, builds: Sequence[Build], weights: Sequence[float]) -> None:
        self.builds, self.weights = list(builds), list(weights)
        self.total = sum(weights)

    def __iter__(self) -> Iterator[tuple[Build, float]]:
        return zip(self.builds, self.weights, strict=True)

    def surely_left(self, red: Side, black: Side, state: State = NOWHERE) -> float:
        """The weight of the heaviest group that this probe surely does not tell apart.

        What they show overlaps.
        """
        found: dict[Span, list[float]] = {}
        for build, weight in self:
            found.setdefault(build.ohms(red, black, state), []).append(weight)
        spans = sorted((metered(span), sorted(weights)) for span, weights in found.items())
        heaviest = here = 0.0
        top = -math.inf
        for span, weights in spans:
            here = sum(weights, here if span.low <= top else 0.0)
            top, heaviest = max(top, span.high), max(heaviest, here)
        return heaviest

    def likely_left(self, red: Side, black: Side, state: State = NOWHERE) -> float:
        """The weight of the heaviest group if every other band of ohms is another display."""
        classes: dict[str, float] = {}
        for build, weight in self:
            does = shown(build, red, black, state)
            classes[does] = classes.get(does, 0.0) + weight
        return max(classes.values())


Left = Callable[[Side, Side, State], float]
States = Mapping[State, int | None]  # each with the net that one probe must be on


def best_split(evidence: Evidence, weighed: Weighed, points: Sequence[str]) -> Split | None:
    """The reading between two points that parts the builds most evenly; None if there is none.
    Points not yet read against each other come first, then ohms where only a beeper spoke, then
    nets parted outside, then bands of ohms that overlap.
    """
    plainly: States = {NOWHERE: None}
    pairs = _Pairs(evidence, weighed, points)
    best: Split | None = None
    for left, states, again in (
        (weighed.surely_left, plainly, False),
        (weighed.surely_left, plainly, True),
        (weighed.surely_left, evidence.drawn.parting, False),
        (weighed.likely_left, plainly, False),
        (weighed.likely_left, plainly, True),
    ):
        found = pairs.best(left, states, again=again)
        best = found or best
        if found is not None and found.left < weighed.total * (1 - 1e-9):
            return found
    return best


class _Pairs:
    """The readings between any two of some points."""

    def __init__(self, evidence: Evidence, weighed: Weighed, points: Sequence[str]) -> None:
        self.evidence, self.weighed, self.points = evidence, weighed, points
        self.nets = {a: [build.net(a) for build in weighed.builds] for a in points}
        self.plain = {a for a in points if self._is_plain(a)}

    def _is_plain(self, point: str) -> bool:
        """Whether no build has a part at a point."""
        nets = zip(self.nets[point], self.weighed.builds, strict=True)
        return not any(n in build.linked for n, build in nets)

    def best(self, left: Left, states: States, *, again: bool) -> Split | None:
        """The one that leaves the least weight together, among those read already or not."""
        rank = self.evidence.drawn.rank
        best: tuple[tuple[float, int, int], Split] | None = None
        for a, b in combinations(self.points, 2):
            for state, at in states.items():
                if not self._is_open(a, b, state, at, again=again):
                    continue
                split = self._split(left, a, b, state)
                key = (split.left, int(owner(a) == owner(b)), rank[a] * 10_000 + rank[b])
                if best is None or key < best[0]:
                    best = (key, split)
        return None if best is None else best[1]

    def _is_open(self, a: str, b: str, state: State, at: int | None, *, again: bool) -> bool:
        evidence, net_of = self.evidence, self.evidence.drawn.net_of
        if evidence.heard(a, b, state) != again:
            return False
        if state and at not in (net_of[a], net_of[b]):
            return False
        if not again:
            return True
        reading = Split(0.0, (a,), (b,), state)
        return not evidence.settled(a, b, state, unit(self.weighed.builds, reading))

    def _split(self, left: Left, a: str, b: str, state: State) -> Split:
        if state or (a not in self.plain and b not in self.plain):
            return Split(left((a,), (b,), state), (a,), (b,), state)
        beep = 0.0
        for weight, i, j in zip(self.weighed.weights, self.nets[a], self.nets[b], strict=True):
            if i == j:
                beep += weight
        return Split(max(beep, self.weighed.total - beep), (a,), (b,))


# -- sweeps and combs -----------------------------------------------------------------------------


def _sweeps(
    evidence: Evidence, weighed: Weighed, near: Sequence[str]
) -> Iterator[tuple[Side, Side]]:
    """One probe held still while the other sweeps over about half of where it could beep."""
    half = weighed.total / 2 + 1e-9
    for a in near[:SWEPT_FROM]:
        chosen: dict[str, None] = {}
        weight = 0.0
        for build, share in weighed:
            met = _met(evidence, build, a, near)
            if met is not None and weight + share <= half:
                weight += share
                chosen[met] = None
        if len(chosen) > 1:
            yield (a,), tuple(chosen)


def _met(evidence: Evidence, build: Build, a: str, near: Sequence[str]) -> str | None:
    """A point of another net as drawn that a build has on one net with a point, not tried yet."""
    net, net_of = build.net(a), build.drawn.net_of
    for b in near:
        if net_of[b] != net_of[a] and build.net(b) == net and not evidence.tried(a, b):
            return b
    return None


def _combs(
    drawn: Drawn, leading: Sequence[Explanation], weights: Sequence[float]
) -> Iterator[tuple[Side, Side]]:
    """Both probes on combs: one side each of about half of the touching pairs in question."""
    half = sum(weights) / 2 + 1e-9
    red: dict[str, None] = {}
    black: dict[str, None] = {}
    weight = 0.0
    for e, share in zip(leading, weights, strict=True):
        touches = [m for m in e.mistakes if isinstance(m, Touch)]
        if len(touches) != 1 or weight + share > half:
            continue
        sides = [drawn.reached.get(n, ()) for n in (touches[0].one, touches[0].two)]
        if not all(sides):
            continue
        a, b = sides[0][0], sides[1][0]
        if a in black or b in red:
            a, b = b, a
        if a not in black and b not in red:
            red[a] = black[b] = None
            weight += share
    if len(red) > 1 or len(black) > 1:
        yield tuple(red), tuple(black)


def pool(drawn: Drawn, builds: Sequence[Build]) -> list[str]:
    """Points whose readings could tell builds from one another and from the drawing.

    Those that most builds move come first.
    """
    worth: dict[str, float] = {}

    def count(points: Iterable[str], by: float) -> None:
        for a in points:
            if a in drawn.reach_set:
                worth[a] = worth.get(a, 0.0) + by

    for build in builds:
        count(list(build.moved)[:MOVED], 3.0)
        for n in _changed(drawn, build):
            members = drawn.reached.get(n, ())
            count(members[:1], 1.0)
            count(members[1:6], 0.1)
    return sorted(worth, key=lambda a: (-worth[a], drawn.rank[a]))[:POOL]


def _changed(drawn: Drawn, build: Build) -> dict[int, None]:
    """The nets that a build has otherwise than drawn."""
    moved = list(build.moved.items())[:MOVED]
    nets = dict.fromkeys(n for a, net in moved for n in (drawn.net_of[a], net))
    nets |= dict.fromkeys(n for pair in build.merged.items() for n in pair)
    if build.ties is not drawn.ties:
        lost = [t for t in drawn.ties if t not in build.ties]
        new = [t for t in build.ties if t not in drawn.ties]
        ends = [x for t in (*lost, *new) for x in (t.a, t.b)]
        nets |= dict.fromkeys(drawn.net_of[x] for x in ends)
    return nets


# -- before any explanation is told apart ---------------------------------------------------------


def narrowing(search: Search) -> Ask | None:
    """Half of the smallest comb that beeped, as long as nobody knows which of its points met."""
    evidence, suppose = search.evidence, search.single.suppose
    answered: list[list[tuple[str, str]]] = []
    for k in bits(evidence.failing):
        t = evidence.readings[k]
        if is_short(t.entry) and not t.is_alone and not t.state:
            pairs = suppose.unheard(k)
            if pairs and not any(evidence.heard(a, b) for a, b in pairs):
                answered.append(pairs)
    if not answered:
        return None
    pairs = min(answered, key=len)
    reds, blacks = (
        list(dict.fromkeys(a for a, _ in pairs)),
        list(dict.fromkeys(b for _, b in pairs)),
    )
    if len(blacks) > 1:
        blacks = blacks[: (len(blacks) + 1) // 2]
    else:
        reds = reds[: (len(reds) + 1) // 2]
    if evidence.asked(reds, blacks):
        return None
    why = "they beeped all together: find out which of them it is, half of them at a time"
    return Ask(red=tuple(reds), black=tuple(blacks), why=why)


def astray(search: Search) -> Ask | None:
    """A sweep from a point that should have beeped and did not: where else does its wire go?"""
    evidence = search.evidence
    at_home: set[str] = set()
    for k, plain in enumerate(evidence.plain):
        if plain is not None and search.is_home(k):
            at_home.update((plain.a, plain.b))
    for k in bits(evidence.failing):
        t = evidence.readings[k]
        if not t.is_alone or not is_silent(t.entry) or t.diode_range:
            continue
        for a in t.points:
            there = () if a in at_home else _elsewhere(evidence, a)
            if len(there) > 2 and not evidence.asked((a,), there):
                why = f"sweep over them one after another: where does the wire of {a} go?"
                return Ask(red=(a,), black=there, why=why)
    return None


def _elsewhere(evidence: Evidence, a: str) -> Side:
    """A point of every other net, and all of its own, that it was not tried against.

    What a part joins it with as drawn is left out.
    """
    drawn = evidence.drawn
    there: list[str] = []
    for net, points in drawn.reached.items():
        there += points if net == drawn.net_of[a] else points[:1]
    free = [b for b in there if b != a and not evidence.tried(a, b)]
    sound = drawn.sound
    return tuple(
        b for b in free if math.isinf(sound.ohms((a,), (b,)).low) and not sound.diode((a,), (b,))
    )
