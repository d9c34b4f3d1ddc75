"""The ring-out page: what is out and where to probe, then the cards in the order of the plan."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby

from wiremap.content.given import Given
from wiremap.content.pieces import Block, Card, Cards, Section, Step, Text
from wiremap.content.stages import Page, Stage
from wiremap.content.words import listed, ohms_band
from wiremap.evidence.probe_points import ADAPTER, kind_of
from wiremap.ringout.before_start import probed, taken_out, told_out
from wiremap.ringout.probe import Probe
from wiremap.ringout.purpose import last_harmful

MOST_HOLES = 6  # cavities named in a sentence of a full page
TITLES = {
    "sentinel": "First readings: was a plug read the wrong way round?",
    "harm": "Dangerous circuits, through and apart",
    "through": "Every other one through",
    "apart": "Neighbours apart",
    "band": "Values",
}
NOTHING = "There is nothing to ring out: no circuit of two points is within reach of a probe."
HOW = (
    "red probe first. Full dot: it must beep. Ring: it must stay silent. Heavy name: that probe "
    "stays put from row to row. A number alone: of the same connector. Touch the probes together "
    "before and after: silence counts only while they beep."
)


def ringout_section(given: Given) -> Section:
    """The cards in the plan's order."""
    if not given.probes:
        return Section(key="ringout", title="Ring-out", blocks=(Text(NOTHING),))
    blocks = [*_before(given), *_cards(given)]
    count = len(given.probes) - len(given.met_outside)
    return Section(
        key="ringout",
        title="Ring-out",
        drawn_from="cavity numbers as moulded",
        blocks=tuple(blocks),
        lead=f"{count} readings, {HOW}",
    )


def _cards(given: Given) -> Iterator[Cards]:
    """The readings, a block of cards for each purpose."""
    refused = {a for c in given.job.circuits if given.refused_points(c) for a in c.join}
    last_harm = last_harmful(given.probes)

    def purpose(probe: Probe) -> str:
        if probe.n <= last_harm and probe.kind not in ("sentinel", "band"):
            return "harm"
        return probe.kind

    taken = [
        probe
        for probe in given.probes
        if not probe.state.parted and refused.isdisjoint(probe.red + probe.black)
    ]
    for key, group in groupby(taken, purpose):
        cards = [_card(probe) for probe in group]
        yield Cards(TITLES.get(key, key), tuple(_held(cards)), dense=True)


def _before(given: Given) -> Iterator[Block]:
    """What is out before the first probe, where each name is probed, what a probe must not do."""
    kind = kind_of(given.harness)
    out = told_out(taken_out(given.harness, kind, given.sizes))
    first = "Battery off, minus first; only the control units unplugged"
    if kind == ADAPTER:
        first = "On the bench, nothing connected"
    yield Step("0", f"{first}; out: {out}." if out else f"{first}.")
    places = probed(given.harness, kind)
    told = [f"{listed(*names)}: {where}." for where, names in places.items()]
    told.append("No bare probe into a socket contact: a mating contact that fits.")
    parted = [str(probe.n) for probe in given.met_outside]
    if parted:
        told.append(f"Readings {' and '.join(parted)}: at the head of first power.")
    told += [_still_open(given), "A wrong reading: stop, find it."]
    yield Text(" ".join(told))


def _still_open(given: Given) -> str:
    """What is closed only after the last reading: the sleeves, the cavities that get a plug."""
    holes = [a for a, left in given.job.not_joined.items() if left.treat == "blank"]
    if not holes:
        return "No sleeve shrunk yet."
    if len(holes) > MOST_HOLES:
        return "No sleeve shrunk yet, no blanking plug in."
    return f"No sleeve shrunk yet, no plug in {listed(*holes)}."


def _held(cards: Sequence[Card]) -> Iterator[Card]:
    """The cards, each with the point that it shares with the one before it or, else, the next."""
    still = ""
    for card, after in zip(cards, [*cards[1:], None], strict=True):
        mine = (card.red, card.black)
        if still not in mine:
            shared = [] if after is None else [a for a in mine if a in (after.red, after.black)]
            still = shared[0] if shared else ""
        yield replace(card, still=still)


def _card(probe: Probe) -> Card:
    want: str = probe.expect
    if want == "ohms":
        want = ohms_band(probe.low, probe.high)
    return Card(
        n=str(probe.n),
        red=" + ".join(probe.red),
        black=" + ".join(probe.black),
        expect=want,
        write=probe.expect == "ohms",
        note=f"{probe.state.fuse} in for this one, then out" if probe.state.fuse else "",
    )


PAGE = Page(key="ringout", stage=Stage.RING_OUT, make=ringout_section)
