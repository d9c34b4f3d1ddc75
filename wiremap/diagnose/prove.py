"""When one explanation is left: prove the metal that it says was built, and look behind what it hid.

A mistake can hide another: a probe on the loose half of an open circuit is silent whatever the other half touches.  So
the changed circuits are rung through, they are read apart from all others on combs (as many readings as the count of
changed circuits has binary digits), and every further mistake that the plan promised to show, but that could hide
behind the explanation, is looked for.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator

from wiremap.diagnose.explain import Ask, Explanation
from wiremap.diagnose.next_probe import best_split, reason, shown, unit
from wiremap.diagnose.search import Search
from wiremap.diagnose.weigh import Base
from wiremap.evidence import is_short
from wiremap.graph.walks import Joined
from wiremap.mistakes.build import Build
from wiremap.mistakes.every import every
from wiremap.mistakes.expectation import Shows
from wiremap.mistakes.mistake import Mistake, words

SOLVED = 12_000  # readings through parts that are worked out for them
MASKED = 160  # hidden mistakes that one probe is chosen for


def proof(search: Search, best: Explanation) -> Ask | None:
    """The next probe that proves the metal of an explanation; None once it is proven."""
    nets = _nets(search, best.build)
    return _diodes(search, best, nets) or _rung(search, best, nets) or _combed(search, best, nets)


def _nets(search: Search, build: Build) -> dict[int, list[str]]:
    """The points within reach of each net as built."""
    found: dict[int, list[str]] = {}
    for a in search.drawn.reach:
        found.setdefault(build.net(a), []).append(a)
    return found


def _changed(search: Search, nets: dict[int, list[str]]) -> list[list[str]]:
    drawn = {frozenset(p) for p in search.drawn.reached.values()}
    return [points for points in nets.values() if frozenset(points) not in drawn]


def _rung(search: Search, best: Explanation, nets: dict[int, list[str]]) -> Ask | None:
    """A beep within a changed net that was not yet heard."""
    heard: Joined[str] = Joined()
    for t in search.readings:
        if len(t.red) == len(t.black) == 1 and not t.state and is_short(t.entry):
            heard.join(t.red[0], t.black[0])
    for points in _changed(search, nets):
        for a in points[1:]:
            one, two = (points[0],), (a,)
            if heard.root(a) != heard.root(points[0]) and not search.evidence.heard(a, points[0]):
                return Ask(one, two, reason(best.build, one, two, best.mistakes))
    return None


def _combed(search: Search, best: Explanation, nets: dict[int, list[str]]) -> Ask | None:
    """The changed nets apart from each other and from all others: one comb for each binary digit of their count."""
    build, silent = best.build, search.evidence.silent
    changed = {id(points) for points in _changed(search, nets)}
    known = {frozenset((build.net(a), build.net(b))) for a, b in map(tuple, silent)}
    codes: dict[int, int] = {}
    for n, points in nets.items():
        codes[n] = sum(c > 0 for c in codes.values()) + 1 if id(points) in changed else 0
    for bit in range(max(codes.values(), default=0).bit_length()):
        red = [n for n, c in codes.items() if c >> bit & 1]
        black = [
            n
            for n, c in codes.items()
            if not c >> bit & 1 and any(frozenset((n, r)) not in known for r in red)
        ]
        black = [n for n in black if all(_apart(build, nets[n][:1], nets[r][:1]) for r in red)]
        red = [r for r in red if any(frozenset((n, r)) not in known for n in black)]
        one, two = tuple(nets[n][0] for n in red), tuple(nets[n][0] for n in black)
        if red and black and not search.evidence.asked(one, two):
            return Ask(
                one,
                two,
                f"all must stay silent if {words(best.mistakes)}: one hand on the first, sweep over the others",
            )
    return None


def _diodes(search: Search, best: Explanation, nets: dict[int, list[str]]) -> Ask | None:
    """A diode's drop where the explanation has it, if it has not been seen there."""
    build = best.build
    seen = {
        (build.net(t.red[0]), build.net(t.black[0]))
        for t in search.readings
        if t.entry.seen == "diode"
    }
    for tie in build.ties:
        a, k = build.net(tie.a), build.net(tie.b)
        if tie.diode and a != k and (a, k) not in seen and a in nets and k in nets:
            why = f"in diode range, red first: {tie.name} shows its drop here if {words(best.mistakes)}"
            if not any(
                t.diode_range and t.red[0] in nets[a] and t.black[0] in nets[k]
                for t in search.readings
            ):
                return Ask((nets[a][0],), (nets[k][0],), why, expect=Shows.DIODE)
    return None


def _apart(build: Build, one: Collection[str], two: Collection[str]) -> bool:
    """Whether nothing lies between two nets, no part either."""
    return math.isinf(build.ohms(one, two).low) and not build.diode(one, two)


def masked(search: Search, best: Explanation, hidden: Collection[Mistake]) -> Ask | None:
    """A probe for mistakes that the plan would show by themselves but that hide behind this explanation."""
    base = Base(search.evidence, best.mistakes, best.build, 0)
    solved = search.evidence.solved + SOLVED
    own, builds, points = best.build.signature(), [best.build], []
    for fault in _possible(search, base, hidden):
        after, left = base.add(fault, 0)
        if left or after.signature() == own:
            continue
        near = _seen_apart(search, best.build, after, fault.changes(base.build))
        if near:
            builds.append(after)
            points += near
        if len(builds) > MASKED or search.evidence.solved > solved:
            break
    if len(builds) == 1:
        return None
    near = list(dict.fromkeys(points))[:40]
    split = best_split(
        search.evidence, builds, [len(builds) - 1.0] + [1.0] * (len(builds) - 1), near
    )
    if split is None or split[0] >= 2 * len(builds) - 2 - 1e-9:
        return None
    _, red, black, state = split
    why = reason(best.build, red, black, best.mistakes, state) + " and nothing else"
    return Ask(red, black, why, expect=unit(builds, red, black, state), state=state)


def _possible(search: Search, base: Base, hidden: Collection[Mistake]) -> Iterator[Mistake]:
    for fault in every(search.drawn):
        if fault not in hidden and fault not in base.mistakes:
            yield fault


def _seen_apart(search: Search, one: Build, two: Build, changed: Collection[str]) -> list[str]:
    """Two points, not yet read against each other, at which two builds show something else."""
    reach = search.drawn.reach_set
    mine = [a for a in changed if a in reach][:6]
    others = dict.fromkeys(mine)
    for a in mine:
        for build in (one, two):
            n = build.net(a)
            others.update(dict.fromkeys([b for b in search.drawn.reach if build.net(b) == n][:3]))
    for t in one.ties:
        if t not in two.ties:
            others.update({x: None for x in (t.a, t.b) if x in reach})
    spots = list(others)
    for i, a in enumerate(spots):
        for b in spots[i + 1 :]:
            differ = shown(one, (a,), (b,)) != shown(two, (a,), (b,))
            if differ and not search.evidence.settled(a, b, unit=unit((one, two), (a,), (b,))):
                return [a, b]
    return []
