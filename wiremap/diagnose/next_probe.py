"""The probe to take next, so that as few explanations as can be are left."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import combinations

from wiremap.diagnose.candidates import Suppose
from wiremap.diagnose.explain import Ask, Explanation
from wiremap.diagnose.search import Search
from wiremap.diagnose.weigh import Evidence, bits
from wiremap.evidence import OPEN_OHMS, is_short, is_silent, metered
from wiremap.mistakes.build import NOWHERE, THROUGH_OHMS, Build
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.expectation import Shows
from wiremap.mistakes.mistake import Mistake, words
from wiremap.mistakes.touch import Touch
from wiremap.model import State
from wiremap.model.quantities import band_ohms
from wiremap.ringout.readings import owner

Side = tuple[str, ...]
POOL = 56  # points that the next probe is chosen from


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


def telling(search: Search, found: Sequence[Explanation]) -> Ask | None:
    """The probe that splits the leading explanations best; with one left, the one that proves it.

    What the meter surely shows differently comes first, then what it does while a net is parted outside the harness,
    then figures whose bands overlap.
    """
    if not found:
        return None
    leading = [e for e in found if len(e.unexplained) == len(found[0].unexplained)]
    builds = [e.build for e in leading]
    weights = [math.exp(-e.cost) for e in leading]
    if len(builds) == 1 and _answered(search, leading[0]):
        return None
    if len(builds) == 1:
        builds, weights = [builds[0], search.drawn.sound], [1.0, 0.5]
    near = pool(search.drawn, [e.build for e in leading])
    best = best_split(search.evidence, builds, weights, near)
    if len(builds) > 3:
        for red, black in (
            *_sweeps(search.evidence, builds, weights, near),
            *_combs(search.drawn, leading, weights),
        ):
            if search.evidence.asked(red, black):
                continue
            key = (_split(builds, weights, red, black) + 1e-6, red, black, NOWHERE)
            best = key if best is None or key[0] < best[0] - 1e-12 else best
    if best is None or best[0] >= sum(weights) * (1 - 1e-9):
        return None
    _, red, black, state = best
    return Ask(
        red,
        black,
        reason(builds[0], red, black, leading[0].mistakes, state),
        expect=unit(builds, red, black, state),
        state=state,
    )


def _answered(search: Search, best: Explanation) -> bool:
    """Whether metal answered somewhere as this explanation has it and the drawing does not: silences alone prove little."""
    evidence = search.evidence
    failed = [
        evidence.readings[k].entry for k in bits(evidence.failing & ~evidence.all_left(best.build))
    ]
    return any(is_short(e) or (e.ohms is not None and not is_silent(e)) for e in failed)


def unit(builds: Sequence[Build], red: Side, black: Side, state: State = NOWHERE) -> Shows:
    """What has to be read so that builds can be told apart: a beep or silence, or ohms."""
    return (
        Shows.BEEP
        if all(shown(b, red, black, state) in (Shows.BEEP, Shows.SILENT) for b in builds)
        else Shows.OHMS
    )


def reason(
    build: Build, red: Side, black: Side, mistakes: Sequence[Mistake], state: State = NOWHERE
) -> str:
    """What a probe should show if these mistakes were made."""
    first = shown(build, red, black, state)
    does = {"beep": "beep", "silent": "stay silent"}.get(first, f"read {first}")
    sweep = "sweep over them one after another; " if len(black) > 1 else ""
    return f"{sweep}it should {does} if {words(mistakes)}"


Split = tuple[float, Side, Side, State]  # the weight that is left together, red, black, state


def best_split(
    evidence: Evidence, builds: list[Build], weights: list[float], points: Sequence[str]
) -> Split | None:
    """The reading that parts the builds most evenly; None if there is none.

    Points not yet read against each other come first, then ohms where only a beeper spoke, then nets parted outside, then
    bands of ohms that overlap.
    """
    drawn, rank, total = evidence.drawn, evidence.drawn.rank, sum(weights)
    nets = [[b.net(a) for b in builds] for a in points]
    plain = [not any(n in b.linked for n, b in zip(row, builds, strict=True)) for row in nets]

    def best_of(
        split: Callable[..., float], states: Mapping[State, int | None], again: bool
    ) -> Split | None:
        best: tuple[float, int, int, Side, Side, State] | None = None
        for i, j in combinations(range(len(points)), 2):
            a, b = points[i], points[j]
            for state, at in states.items():
                if evidence.heard(a, b, state) != again or (
                    state and at not in (drawn.net_of[a], drawn.net_of[b])
                ):
                    continue
                if again and evidence.settled(a, b, state, unit(builds, (a,), (b,), state)):
                    continue
                if (plain[i] or plain[j]) and not state:
                    beep = sum(
                        w for w, m, n in zip(weights, nets[i], nets[j], strict=True) if m == n
                    )
                    heaviest = max(beep, total - beep)
                else:
                    heaviest = split(builds, weights, (a,), (b,), state)
                tried = (
                    heaviest,
                    int(owner(a) == owner(b)),
                    rank[a] * 10_000 + rank[b],
                    (a,),
                    (b,),
                    state,
                )
                best = tried if best is None or tried < best else best
        return None if best is None else (best[0], *best[3:])

    plainly: dict[State, int | None] = {NOWHERE: None}
    best: Split | None = None
    for split, states, again in (
        (_split, plainly, False),
        (_split, plainly, True),
        (_split, drawn.parting, False),
        (_guess, plainly, False),
        (_guess, plainly, True),
    ):
        found = best_of(split, states, again)
        best = found or best
        if found is not None and found[0] < total * (1 - 1e-9):
            return found
    return best


def _split(
    builds: Sequence[Build],
    weights: Sequence[float],
    red: Side,
    black: Side,
    state: State = NOWHERE,
) -> float:
    """The weight of the heaviest group of builds that this probe surely does not tell apart: what they show overlaps."""
    spans = sorted(
        (metered(b.ohms(red, black, state)), w) for b, w in zip(builds, weights, strict=True)
    )
    heaviest = here = 0.0
    top = -math.inf
    for span, weight in spans:
        here = weight + (here if span.low <= top else 0.0)
        top, heaviest = max(top, span.high), max(heaviest, here)
    return heaviest


def _guess(
    builds: Sequence[Build],
    weights: Sequence[float],
    red: Side,
    black: Side,
    state: State = NOWHERE,
) -> float:
    """The same if every other band of ohms is another display."""
    classes: dict[str, float] = {}
    for build, weight in zip(builds, weights, strict=True):
        does = shown(build, red, black, state)
        classes[does] = classes.get(does, 0.0) + weight
    return max(classes.values())


def _sweeps(
    evidence: Evidence, builds: list[Build], weights: list[float], near: Sequence[str]
) -> Iterator[tuple[Side, Side]]:
    """One probe held still while the other sweeps over about half of where the builds say that it could beep."""
    half, group = sum(weights) / 2, builds[0].drawn.net_of
    for a in near[:24]:
        chosen: list[str] = []
        weight = 0.0
        for build, share in zip(builds, weights, strict=True):
            net = build.net(a)
            met = next(
                (
                    b
                    for b in near
                    if group[b] != group[a] and build.net(b) == net and not evidence.tried(a, b)
                ),
                None,
            )
            if met is not None and weight + share <= half + 1e-9:
                weight += share
                if met not in chosen:
                    chosen.append(met)
        if len(chosen) > 1:
            yield (a,), tuple(chosen)


def _combs(
    drawn: Drawn, leading: Sequence[Explanation], weights: list[float]
) -> Iterator[tuple[Side, Side]]:
    """Both probes on combs: one side each of about half of the touching pairs that are in question."""
    members, half = drawn.reached, sum(weights) / 2
    red: dict[str, None] = {}
    black: dict[str, None] = {}
    weight = 0.0
    for e, share in zip(leading, weights, strict=False):
        pairs = [(m.one, m.two) for m in e.mistakes if isinstance(m, Touch)]
        if len(pairs) == 1 and weight + share <= half + 1e-9:
            i, j = pairs[0]
            a, b = members.get(i, ("",))[0], members.get(j, ("",))[0]
            if a in black or b in red:
                a, b = b, a
            if a and b and a not in black and b not in red:
                red[a] = black[b] = None
                weight += share
    if len(red) > 1 or len(black) > 1:
        yield tuple(red), tuple(black)


def pool(drawn: Drawn, builds: Sequence[Build]) -> list[str]:
    """Points whose readings could tell builds from one another and from the drawing, those that most builds move first."""
    worth: dict[str, float] = {}

    def count(points: Iterable[str], by: float) -> None:
        for a in points:
            if a in drawn.reach_set:
                worth[a] = worth.get(a, 0.0) + by

    for build in builds:
        nets: dict[int, None] = {}
        for a, n in list(build.moved.items())[:24]:
            nets.update({drawn.net_of[a]: None, n: None})
            count((a,), 3.0)
        for i, j in build.merged.items():
            nets.update({i: None, j: None})
        if build.ties is not drawn.ties:
            for t in (
                *(t for t in drawn.ties if t not in build.ties),
                *(t for t in build.ties if t not in drawn.ties),
            ):
                nets.update((drawn.net_of[x], None) for x in (t.a, t.b))
        for n in nets:
            members = drawn.reached.get(n, ())
            count(members[:1], 1.0)
            count(members[1:6], 0.1)
    return sorted(worth, key=lambda a: (-worth[a], drawn.rank[a]))[:POOL]


def narrowing(search: Search) -> Ask | None:
    """Half of the smallest comb that beeped, as long as nobody knows which of its points met."""
    evidence, suppose = search.evidence, Suppose(search.evidence)
    open_: list[tuple[int, int, list[tuple[str, str]]]] = []
    for k in bits(evidence.failing):
        t = evidence.readings[k]
        if is_short(t.entry) and len(t.red) * len(t.black) > 1 and not t.state:
            pairs = suppose.unheard(k)
            heard = any(evidence.heard(a, b) for a, b in pairs)
            if pairs and not heard:
                open_.append((len(pairs), k, pairs))
    if not open_:
        return None
    _, _, pairs = min(open_)
    reds, blacks = (
        list(dict.fromkeys(a for a, _ in pairs)),
        list(dict.fromkeys(b for _, b in pairs)),
    )
    if len(blacks) > 1:
        blacks = blacks[: (len(blacks) + 1) // 2]
    elif len(reds) > 1:
        reds = reds[: (len(reds) + 1) // 2]
    if evidence.asked(reds, blacks):
        return None
    return Ask(
        tuple(reds),
        tuple(blacks),
        "they beeped all together: find out which of them it is, half of them at a time",
    )


def astray(search: Search) -> Ask | None:
    """A sweep from a point that should have beeped and did not, over all others: where else does its wire go?"""
    drawn, evidence = search.drawn, search.evidence
    at_home = {
        a
        for k, plain in enumerate(evidence.plain)
        if plain and search.is_home(k)
        for a in plain[:2]
    }
    for k in bits(evidence.failing):
        t = evidence.readings[k]
        if len(t.red) * len(t.black) > 1 or not is_silent(t.entry) or t.diode_range:
            continue
        for a in (*t.red, *t.black):
            if a in at_home:
                continue
            there = [
                b
                for points in drawn.reached.values()
                for b in (points if drawn.net_of[points[0]] == drawn.net_of[a] else points[:1])
                if b != a and not evidence.tried(a, b)
            ]
            there = [
                b
                for b in there
                if math.isinf(drawn.sound.ohms((a,), (b,)).low)
                and not drawn.sound.diode((a,), (b,))
            ]
            if len(there) > 2 and not evidence.asked((a,), there):
                return Ask(
                    (a,),
                    tuple(there),
                    f"sweep over them one after another: where does the wire of {a} go?",
                )
    return None
