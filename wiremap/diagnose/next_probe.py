"""The probe to take next, so that as few explanations as can be are left."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from types import MappingProxyType

from wiremap.diagnose.explain import Ask, Explanation
from wiremap.diagnose.search import Search
from wiremap.diagnose.splits import Probed, Split, Weighed, best_split, shown, unit_to_read
from wiremap.diagnose.weigh import Evidence
from wiremap.mistakes.build import THROUGH_OHMS, Build
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.expectation import Shows
from wiremap.mistakes.mistake import words
from wiremap.mistakes.touch import Touch

POOL = 56  # points that the next probe is chosen from
SWEPT_FROM = 24  # of them, those from which the others are swept
MOVED = 24  # moved wires of one build whose points are looked at
HEARD: Mapping[str, str] = MappingProxyType({Shows.BEEP: "beep", Shows.SILENT: "stay silent"})
FIGURES: Mapping[str, str] = MappingProxyType(
    {Shows.BEEP: f"read under {THROUGH_OHMS:g} ohm", Shows.SILENT: "read open"}
)
BUILT, DRAWN = 1.0, 0.5  # how likely the one explanation that there is, and the drawing
OF_MOVED, OF_NET, OF_MEMBER = 3.0, 1.0, 0.1  # rough weights of points: what moved, one of its net
MOST_MEMBERS = 6  # of a net that count
LITTLE = 1e-6  # a comb is not preferred to a single probe that does as well
ROUNDED = 1e-12  # sums of weights that differ by less are equal
SOME = 3  # explanations; of more, sweeps and combs are worth their clips too


def telling_probe(search: Search, found: Sequence[Explanation]) -> Ask | None:
    """The probe that splits the leading explanations best; None if none does.

    What the meter surely shows differently comes first, then what it does while a net is parted
    outside the harness, then figures whose bands overlap.  One explanation alone is told apart from
    the drawing.  The weight of an explanation falls with its cost.
    """
    if not found:
        return None
    leading = [e for e in found if len(e.unexplained) == len(found[0].unexplained)]
    weighed = Weighed([e.build for e in leading], [math.exp(-e.cost) for e in leading])
    near = pool(search.drawn, weighed.builds)
    if len(leading) == 1:
        weighed = Weighed([leading[0].build, search.drawn.sound], [BUILT, DRAWN])
    best = best_split(search.evidence, weighed, near)
    if len(leading) > SOME:
        sweeps = _sweeps(search.evidence, weighed, near)
        for red, black in (*sweeps, *_combs(search.drawn, leading, weighed.weights)):
            if not search.evidence.asked(red, black):
                left = weighed.surely_left(red, black) + LITTLE
                if best is None or left < best.left - ROUNDED:
                    best = Split(left, red, black)
    if best is None or not weighed.is_parted(best.left):
        best = _by_tied_nets(search, weighed, near)
    if best is None:
        return None
    asked = unit_to_read(weighed.builds, best.red, best.black, best.state)
    return Ask(
        red=best.red,
        black=best.black,
        why=_reason(leading[0], best, asked),
        expect=asked,
        state=best.state,
    )


def _by_tied_nets(search: Search, weighed: Weighed, near: Sequence[str]) -> Split | None:
    """What surely tells the builds apart by a net tied to those that they change, if anything."""
    points = _with_tied(search.drawn, weighed.builds, near)
    if len(points) == len(near):
        return None
    best = best_split(search.evidence, weighed, points)
    if best is None:
        return None
    left = weighed.surely_left(best.red, best.black, best.state)
    return best if weighed.is_parted(left) else None


def _with_tied(drawn: Drawn, builds: Sequence[Build], near: Sequence[str]) -> list[str]:
    """These points, and one of each net that a load or part joins with a net that a build changes.

    Through the load of a cavity that nobody reaches a reading of that net tells what lies in it.
    """
    changed = dict.fromkeys(n for build in builds for n in _changed(drawn, build))
    tied = dict.fromkeys(n for net in changed for n in sorted(drawn.network.joined.get(net, ())))
    points = [a for n in tied for a in drawn.reached.get(n, ())[:1]]
    return list(dict.fromkeys((*near, *points)))[:POOL]


def _reason(supposed: Explanation, probe: Split, asked: Shows) -> str:
    """What a probe should show if these mistakes were made, in what is read there."""
    first = shown(supposed.build, probe.red, probe.black, probe.state)
    does = (FIGURES if asked == Shows.OHMS else HEARD).get(first, f"read {first}")
    sweep = "sweep over them one after another; " if len(probe.black) > 1 else ""
    return f"{sweep}it should {does} if {words(supposed.mistakes)}"


def _sweeps(
    evidence: Evidence, weighed: Weighed, near: Sequence[str]
) -> Iterator[tuple[Probed, Probed]]:
    """One probe held still while the other sweeps over about half of where it could beep."""
    half = weighed.total / 2 + ROUNDED
    for point in near[:SWEPT_FROM]:
        chosen: dict[str, None] = {}
        left = half
        for build, share in weighed:
            met = _met(evidence, build, point, near)
            if met is not None and share <= left:
                left -= share
                chosen[met] = None
        if len(chosen) > 1:
            yield (point,), tuple(chosen)


def _met(evidence: Evidence, build: Build, point: str, near: Sequence[str]) -> str | None:
    """A point of another net as drawn that a build has on one net with a point, not tried yet."""
    net, net_of = build.net(point), build.drawn.net_of
    for other in near:
        if (
            net_of[other] != net_of[point]
            and build.net(other) == net
            and not evidence.tried(point, other)
        ):
            return other
    return None


def _combs(
    drawn: Drawn, leading: Sequence[Explanation], weights: Sequence[float]
) -> Iterator[tuple[Probed, Probed]]:
    """Both probes on combs: one side each of about half of the touching pairs in question."""
    left = sum(weights) / 2 + ROUNDED
    red: dict[str, None] = {}
    black: dict[str, None] = {}
    for explanation, share in zip(leading, weights, strict=True):
        touches = [m for m in explanation.mistakes if isinstance(m, Touch)]
        if len(touches) != 1 or share > left:
            continue
        sides = [drawn.reached.get(n, ()) for n in (touches[0].one, touches[0].two)]
        if not all(sides):
            continue
        one, other = sides[0][0], sides[1][0]
        if one in black or other in red:
            one, other = other, one
        if one not in black and other not in red:
            red[one] = black[other] = None
            left -= share
    if len(red) > 1 or len(black) > 1:
        yield tuple(red), tuple(black)


def pool(drawn: Drawn, builds: Sequence[Build]) -> list[str]:
    """Points whose readings could tell builds from one another and from the drawing.

    Those that most builds move come first.
    """
    worth: dict[str, float] = defaultdict(float)

    def count(points: Iterable[str], by: float) -> None:
        for point in points:
            if point in drawn.reach_set:
                worth[point] += by

    for build in builds:
        count(list(build.moved)[:MOVED], OF_MOVED)
        for net in _changed(drawn, build):
            members = drawn.reached.get(net, ())
            count(members[:1], OF_NET)
            count(members[1:MOST_MEMBERS], OF_MEMBER)
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
