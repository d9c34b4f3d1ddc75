"""What a ring-out does not prove, said outright."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import islice
from typing import Any

from wiremap.graph import Reach
from wiremap.mistakes.drawn import Drawn
from wiremap.ringout.coverage import Coverage
from wiremap.ringout.masks import EMPTY, joined, ones_of
from wiremap.ringout.probe import Probe
from wiremap.ringout.second import not_read_through
from wiremap.ringout.unheard import NetPairs
from wiremap.rules import held_points

MOST_PAIRS = 200  # told by name
READ_APART = (
    "these may touch, as only circuits side by side are read apart, and those whose touch breaks a "
    "unit or moves a load"
)


class GapKind(StrEnum):
    """Why something stays unproven."""

    ONE_CONTACT = "one-contact"
    EMPTY = "empty"
    UNREACHED = "unreached"
    UNTESTED_PAIRS = "untested-pairs"
    TWIST = "twist"
    HIDDEN = "hidden"  # a mistake that no reading shows
    UNHEARD = "unheard"  # contacts that are only read silent
    HELD = "held"  # an unsigned stop speaks of it
    BARREL = "barrel"
    CRIMP = "crimp"
    CLOSED = "closed"  # not read through once more when the sleeves are shrunk


@dataclass(frozen=True, slots=True)
class NamedPairs:
    """Pairs of nets by their names; of thousands of nets there are millions."""

    pairs: NetPairs
    names: Sequence[str]

    def __len__(self) -> int:
        return len(self.pairs)

    def __iter__(self) -> Iterator[tuple[str, str]]:
        return ((self.names[one], self.names[other]) for one, other in self.pairs)


@dataclass(frozen=True, slots=True)
class Unproven:
    """One thing that stays unproven, whom it concerns and why.

    `pairs` lists untested pairs of nets; of a hidden mistake the subject begins with its kind.
    """

    kind: GapKind
    subject: tuple[str, ...]
    why: str
    pairs: NamedPairs | tuple[()] = ()

    def as_dict(self) -> dict[str, Any]:
        """The gap as plain data."""
        out: dict[str, Any] = {"kind": self.kind, "subject": list(self.subject), "why": self.why}
        if self.pairs:
            out["pairs"] = [list(p) for p in self.pairs]
        return out


def gaps(
    drawn: Drawn,
    probes: Sequence[Probe],
    coverage: Coverage,
) -> Iterator[Unproven]:
    """Single contacts, points out of reach, untested pairs, twists, hidden mistakes, crimps."""
    yield from _unread(drawn)
    yield from _unshown(drawn, coverage)
    yield from _held(drawn)
    barrels = [a for p in probes for a in p.clips if drawn.harness.reach(a) == Reach.JOINT]
    if barrels:
        why = (
            "its clip sits on the barrel, which says nothing of the crimp on that side: the lamp "
            "does"
        )
        yield Unproven(GapKind.BARREL, tuple(barrels), why)
    if probes:
        why = "a beep proves no crimp: load supply and ground and read the drop in millivolts"
        yield Unproven(GapKind.CRIMP, (), why)


def unread_when_closed(drawn: Drawn, second: Sequence[Probe]) -> Iterator[Unproven]:
    """The circuits that no reading of the second ring-out goes through."""
    points = not_read_through(drawn, second)
    if points:
        why = (
            "not read through again when all is closed: a wire pulled out meanwhile shows at first "
            "power (supplies, grounds) or at work (the rest; shield and coding nowhere), no earlier"
        )
        yield Unproven(GapKind.CLOSED, points, why)


def _unread(drawn: Drawn) -> Iterator[Unproven]:
    """What cannot beep or is not read: single contacts, empty holes, points out of reach."""
    alone = "a contact by itself cannot beep: its silence may be a probe that did not touch"
    for points in drawn.reached.values():
        if len(points) == 1 and points[0] not in drawn.holes:
            yield Unproven(GapKind.ONE_CONTACT, points, alone)
    yield from _holes(drawn)
    lost = tuple(a for a in drawn.points if a not in drawn.reach)
    if lost:
        why = (
            "no probe gets there, nor shows what it touches: "
            "only what was read there before speaks of it"
        )
        yield Unproven(GapKind.UNREACHED, lost, why)


def _holes(drawn: Drawn) -> Iterator[Unproven]:
    """Holes without a contact, which no plan reads; apart from them those told to have a wire."""
    holes = [address for address in drawn.points if address in drawn.holes]
    wired = []
    for address in holes:
        cavity = drawn.harness.points[address].cavity
        if cavity is not None and cavity.has_wire:
            wired.append(address)
    bare = tuple(address for address in holes if address not in wired)
    if bare:
        empty = "no contact in it, so nothing is read there: look that it is empty and blanked"
        yield Unproven(GapKind.EMPTY, bare, empty)
    if wired:
        told = (
            "a wire is told there, the job fits no contact, and nothing is read there: look that "
            "it is empty; if not, probe it against every other"
        )
        yield Unproven(GapKind.EMPTY, tuple(wired), told)


def _unshown(drawn: Drawn, coverage: Coverage) -> Iterator[Unproven]:
    """Mistakes that no reading shows."""
    untested = _untested(drawn, coverage)
    if untested:
        pairs = "pair" if len(untested) == 1 else "pairs"
        why = (
            f"{len(untested)} {pairs} of circuits may touch: no reading of this plan would show it"
        )
        yield Unproven(GapKind.UNTESTED_PAIRS, (), why, untested)
    twist = "one wire from each of two pairs beeps perfectly: look that these share one twist"
    for pair in drawn.harness.job.twists.values():
        yield Unproven(GapKind.TWIST, pair.circuits, twist)
    for mistake in coverage.hidden:
        why = f"{mistake.kind.called} there would not show in these readings"
        yield Unproven(GapKind.HIDDEN, (mistake.kind, *mistake.subject), why)
    unheard = _unheard(drawn, coverage)
    if unheard:
        why = "no beep is asked for here: wires exchanged, or one in the wrong place, may not show"
        yield Unproven(GapKind.UNHEARD, unheard, why)


def _unheard(drawn: Drawn, coverage: Coverage) -> tuple[str, ...]:
    """The contacts at which an exchange or a strayed wire may stay unheard."""
    seats = joined(each.seats for each in coverage.unheard)
    own = {each.point for each in coverage.unheard}
    return tuple(a for i, a in enumerate(drawn.points) if a in own or seats >> i & 1)


def _held(drawn: Drawn) -> Iterator[Unproven]:
    """What the check stops at and nobody has signed, one gap a rule."""
    points: dict[str, list[str]] = {}
    for address, finding in held_points(drawn.harness).items():
        points.setdefault(finding.rule, []).append(address)
    for rule, addresses in points.items():
        why = f"the check stops here ({rule}): a reading shows what was built, not that it is right"
        yield Unproven(GapKind.HELD, tuple(addresses), why)


def gap_lines(gaps: Iterable[Unproven]) -> list[str]:
    """Gaps in as few lines as can be: those with one reason together, each subject once."""
    reasons: dict[str, dict[str, None]] = {}
    for gap in gaps:
        subjects = reasons.setdefault(gap.why, {})
        named = gap.subject[1:] if gap.kind == GapKind.HIDDEN else gap.subject
        if named:
            subjects[" and ".join(named)] = None
    return [f"{', '.join(told)}: {why}" if told else why for why, told in reasons.items()]


def full_gap_lines(gaps: Sequence[Unproven]) -> list[str]:
    """Gaps in as few lines as can be, and at their end the pairs that may touch by name, with
    which pairs are read at all.
    """
    return [*gap_lines(gaps), *(_named_pairs(gap.pairs) for gap in gaps if gap.pairs)]


def _named_pairs(pairs: NamedPairs | tuple[()]) -> str:
    """Pairs that may touch, by the first of each, as far as a person reads on."""
    found: dict[str, list[str]] = {}
    for one, other in islice(pairs, MOST_PAIRS):
        found.setdefault(one, []).append(other)
    named = "; ".join(f"{one} with {', '.join(others)}" for one, others in found.items())
    rest = ""
    if len(pairs) > MOST_PAIRS:
        rest = f"; and {len(pairs) - MOST_PAIRS} more: --json tells them"
    return f"{READ_APART}: {named}{rest}"


def _untested(drawn: Drawn, coverage: Coverage) -> NamedPairs:
    """The pairs of nets within reach whose touch would not show, but for nets of empty holes."""
    empty = {drawn.net_of[a] for a in drawn.holes}
    within = joined(1 << net for net in drawn.reached.keys() - empty)
    tied = joined(1 << net for net in drawn.tied)
    rows = {}
    for one, others in coverage.hidden_touches.rows.items():
        if within >> one & 1:
            rows[one] = others & within
            for other in ones_of(rows[one] & tied if tied >> one & 1 else EMPTY):
                if drawn.inseparable(one, other):
                    rows[one] &= ~(1 << other)
    return NamedPairs(NetPairs(rows), drawn.names)
