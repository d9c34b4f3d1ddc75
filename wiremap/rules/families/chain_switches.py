"""Family `chain`: switches that watch over people, which no joint may close."""

from __future__ import annotations

from itertools import combinations

from wiremap.graph import Point
from wiremap.rules.dangers import MUST_STAY_METAL, OpenDanger, worded_dangers
from wiremap.rules.guards import bridge_words
from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.view import View
from wiremap.trade.functions import FUNCTIONS

CHAIN = Family("chain", Matter.PEOPLE)
SHARED = frozenset({"supply", "ground", "reference", "shield", "loop"})


@CHAIN.stop(
    "switch-bridged",
    acceptable=False,
    source="common practice; ISO 14119 on defeating interlocks, from memory, unverified",
    what="{a} and {b} of one connector name {danger}, and they {how}",
    why="A switch between them is bridged: the machine runs whether somebody is there or not.",
    fix="Carry each of them through to its own partner; a switch is never closed by a joint.",
)
def switch_bridged(view: View) -> Hits:
    """Two contacts of one connector that name the same danger of people, connected or with a part
    of low ohms across; not two supplies, two grounds, nor a typed guard loop, which has rules of
    its own.
    """
    for end in view.job.ends.values():
        named = [
            (point, danger)
            for point in view.points.values()
            if point.owner == end.name and view.is_joined(point.address)
            for danger in worded_dangers(view, point.address)
            if danger.kind in MUST_STAY_METAL
        ]
        for (one, danger), (two, other) in combinations(named, 2):
            if one is two or danger.kind != other.kind or _may_share(one, two):
                continue
            how = bridge_words(view, one, two)
            if how:
                yield view.described_hit(one.address, two.address, danger=_called(danger), how=how)


def _may_share(one: Point, two: Point) -> bool:
    """Whether two contacts are feeds, grounds or loop ends alike, which may be one metal."""
    classes = {_electrical(one), _electrical(two)}
    return len(classes) == 1 and classes <= SHARED


def _electrical(point: Point) -> str:
    return "" if point.cavity is None else FUNCTIONS[point.cavity.function].electrical


def _called(danger: OpenDanger) -> str:
    return f"{danger.kind.replace('-', ' ')} ({danger.meaning})"
