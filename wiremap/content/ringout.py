"""The ring-out page: what is out and where to probe, then the cards in the order of the plan."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from wiremap.content.given import Given
from wiremap.content.pieces import Block, Card, Cards, Section, Step, Text
from wiremap.content.words import number

MOST_HOLES = 6  # cavities named in a sentence of a full page
TITLES = {
    "sentinel": "Is a face misread?",
    "harm": "Harm first",
    "through": "Every other one through",
    "apart": "Neighbours apart",
    "band": "Values",
}


def ringout_section(given: Given) -> Section:
    """The cards in the plan's order."""
    plan = given.plan
    if plan is None or not plan.probes:
        return Section(
            "ringout",
            "Ring-out",
            "",
            (
                Text(
                    "There is nothing to ring out: no net of two points is within reach of a probe."
                ),
            ),
        )
    refused = {a for c in given.harness.job.circuits if given.refused_points(c) for a in c.join}
    last_harm = max(
        (i for i, p in enumerate(plan.probes) if p.kind == "apart" and p.why), default=-1
    )
    groups: list[tuple[str, list[Card]]] = []
    for i, probe in enumerate(plan.probes):
        if probe.state.parted or refused.intersection(probe.red + probe.black):
            continue
        key = (
            probe.kind
            if probe.kind in ("sentinel", "band")
            else "harm"
            if i <= last_harm
            else probe.kind
        )
        if not groups or groups[-1][0] != key:
            groups.append((key, []))
        groups[-1][1].append(
            _card(
                probe.n,
                probe.red,
                probe.black,
                probe.expect,
                probe.low,
                probe.high,
                probe.state.fuse,
            )
        )
    blocks: list[Block] = [*_before(given)]
    blocks += [
        Cards(TITLES.get(key, key), tuple(_held(cards)), dense=True) for key, cards in groups
    ]
    lead = (
        f"{len(plan.probes) - len(given.met_outside)} readings, red probe first. Full dot: it must beep. Ring: it must stay silent. "
        "Heavy name: that probe stays put from row to row. A number alone: of the same connector. Touch the probes together before and "
        "after: silence counts only while they beep."
    )
    return Section("ringout", "Ring-out", "cavity numbers as moulded", tuple(blocks), lead)


def _before(given: Given) -> Iterator[Block]:
    """What is out before the first probe, where each name is probed, and what a probe must not do."""
    from wiremap.evidence.probe_points import ADAPTER, kind_of
    from wiremap.ringout.before_start import probed, taken_out, told_out

    kind = kind_of(given.harness)
    out = told_out(taken_out(given.harness, kind, given.sizes))
    first = (
        "On the bench, nothing connected"
        if kind == ADAPTER
        else "Battery off, minus first; control units alone unplugged"
    )
    yield Step("0", f"{first}{f'; out: {out}' if out else ''}.")
    places = probed(given.harness, kind)
    told = " ".join(f"{', '.join(names)}: {where}." for where, names in places.items())
    parted = [str(p.n) for p in given.met_outside]
    apart = f" Readings {' and '.join(parted)}: at the head of first power." if parted else ""
    words = f"{told} No bare probe into a socket contact: a mating contact that fits."
    yield Text(f"{words}{apart}{_still_open(given)} A wrong reading: stop, find it.")


def _still_open(given: Given) -> str:
    """What is closed only after the last reading: the sleeves, the cavities that get a plug."""
    holes = [a for a, left in given.harness.job.not_joined.items() if left.treat == "blank"]
    plugs = (
        f", no plug in {', '.join(holes)}"
        if 0 < len(holes) <= MOST_HOLES
        else ", no blanking plug in"
        if holes
        else ""
    )
    return f" No sleeve shrunk yet{plugs}."


def _held(cards: list[Card]) -> Iterator[Card]:
    """The cards, each with the point that it shares with the one before it or, at a change, with the next."""
    still = ""
    for i, card in enumerate(cards):
        mine = (card.red, card.black)
        if still not in mine:
            after = cards[i + 1] if i + 1 < len(cards) else None
            still = next(
                (a for a in mine if after is not None and a in (after.red, after.black)), ""
            )
        yield replace(card, still=still)


def _card(
    n: int,
    red: tuple[str, ...],
    black: tuple[str, ...],
    expect: str,
    low: float | None,
    high: float | None,
    fuse: str,
) -> Card:
    want = {"beep": "beep", "silent": "silent", "diode": "diode"}.get(expect) or band(low, high)
    note = f"{fuse} in for this one, then out" if fuse else ""
    return Card(str(n), " + ".join(red), " + ".join(black), want, expect == "ohms", note)


def band(low: float | None, high: float | None) -> str:
    """A band of ohms in few characters."""
    if low is None or math.isinf(low):
        return "open"
    if high is None or math.isinf(high):
        return f"over {_ohms(low)}"
    if low <= 0:
        return f"under {_ohms(high)}"
    return f"{_ohms(low)} to {_ohms(high)}"


def _ohms(value: float) -> str:
    return (
        f"{number(round(value / 1000, 1))} kΩ"
        if value >= 1000
        else f"{value:.0f} Ω"
        if value >= 10
        else f"{value:.1f} Ω"
    )
