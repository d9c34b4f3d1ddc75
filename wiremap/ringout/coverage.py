"""What a plan finds of every modelled mistake.

Few are made one by one.  Exchanges and strayed wires at circuits that nothing ties with another all
do the same, so they are counted by classes; two circuits that touch show if they are read apart.
What is left of a contact is counted as sets (`silences.py`).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from wiremap.mistakes.classes import Classes
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.every import ALL
from wiremap.mistakes.expectation import misses
from wiremap.mistakes.mistake import Mistake, MistakeKind
from wiremap.mistakes.move import MISPLACED, every_move, move, wires_to_lay
from wiremap.mistakes.swap import EXCHANGE, PAIR_CROSSED, swap, swaps
from wiremap.mistakes.touch import BRIDGE, touches
from wiremap.ringout.finder import Finder
from wiremap.ringout.masks import EMPTY, joined, ones_of
from wiremap.ringout.parting import Parting
from wiremap.ringout.probe import Probe
from wiremap.ringout.speaking import Speaking
from wiremap.ringout.unheard import NetPairs, Unheard


@dataclass(frozen=True, slots=True, kw_only=True)
class Coverage:
    """Mistakes made and found, by kind, and those that stay hidden.

    `hidden_touches` are the pairs of nets whose touch would not show, `unheard` the exchanges and
    strayed wires at contacts that are only read silent; `hidden` are all others.
    """

    counts: Mapping[MistakeKind, tuple[int, int]]  # kind: modelled, found
    hidden: tuple[Mistake, ...]
    hidden_touches: NetPairs
    unheard: tuple[Unheard, ...]

    def as_dict(self) -> dict[str, Any]:
        """Counts by kind as plain data."""
        return {kind: {"modelled": m, "found": f} for kind, (m, f) in self.counts.items()}


def cover(drawn: Drawn, probes: Sequence[Probe]) -> Coverage:
    """Of every modelled mistake, wrong loads with them, whether a probe would show it."""
    return _Cover(drawn, probes).coverage()


class _Cover:
    """Counts what one plan finds."""

    def __init__(self, drawn: Drawn, probes: Sequence[Probe]) -> None:
        self.drawn = drawn
        self.finder = Finder(drawn, probes)
        self.classes = Classes(drawn, self.finder.through)
        self.parting = Parting(drawn, self.finder.through)
        self.speaking = Speaking(drawn, probes, self.finder.silences)
        self.modelled: Counter[MistakeKind] = Counter()
        self.found: Counter[MistakeKind] = Counter()
        self.hidden: list[Mistake] = []
        self.hidden_touches: dict[int, int] = {}  # for each net the higher ones, a bit each
        self.unheard: list[Unheard] = []
        self._far: dict[tuple[int, int, str], bool] = {}  # by two nets and what is expected

    def coverage(self) -> Coverage:
        """The counts, kind by kind in the order in which they are made."""
        counted = {swaps: self._swaps, touches: self._touches, every_move: self._moves}
        for modelled in ALL:
            if modelled.make in counted:
                counted[modelled.make]()
            else:
                self._make(modelled.make(self.drawn))
        return Coverage(
            counts={kind: (n, self.found[kind]) for kind, n in self.modelled.items() if n},
            hidden=tuple(self.hidden),
            hidden_touches=NetPairs(self.hidden_touches),
            unheard=tuple(self.unheard),
        )

    def _make(self, mistakes: Iterator[Mistake]) -> None:
        for mistake in mistakes:
            self.modelled[mistake.kind] += 1
            self.found[mistake.kind] += not self._is_hidden(mistake)

    def _count_found(self, kind: MistakeKind, count: int) -> None:
        self.modelled[kind] += count
        self.found[kind] += count

    # -- by classes -------------------------------------------------------------------------------

    def _swaps(self) -> None:
        for seats in self.classes.seats():
            for kind, count in self.classes.exchanged(seats).items():
                self._count_found(kind, count)
            sets = self.finder.silences
            left = sets.of(seats.others)
            for one in seats.others:
                left &= ~sets.bits[one]
                self._exchange(one, left)
            free = sets.of((*seats.joined, *seats.alone))
            for one in seats.others:
                self._exchange(one, free)

    def _exchange(self, one: str, others: int) -> None:
        """Count a contact exchanged with each of these, where that changes the metal."""
        by_kind = self._exchanges_by_kind(one, others)
        hidden = self._hidden_exchanges(one, joined(by_kind.values()))
        for kind, points in by_kind.items():
            self.modelled[kind] += points.bit_count()
            self.found[kind] += (points & ~hidden).bit_count()

    def _exchanges_by_kind(self, one: str, others: int) -> Mapping[MistakeKind, int]:
        """Those of these points whose exchange with this one changes the metal.

        Where one of the two is joined with no other point, only one wire is misplaced.
        """
        sets = self.finder.silences
        others &= ~sets.members[self.drawn.net_of[one]]
        alone = self._alone & others
        if sets.bits[one] & self._alone:
            alone = others = others & ~alone
        crossed = sets.of(self.classes.halves_of(one)) & others & ~alone
        return {MISPLACED: alone, PAIR_CROSSED: crossed, EXCHANGE: others & ~alone & ~crossed}

    def _hidden_exchanges(self, one: str, others: int) -> int:
        """Those of these points whose exchange with this one no reading shows."""
        sets, quiet = self.finder.silences, self._quiet
        silent = others & quiet if sets.bits[one] & quiet else EMPTY
        hidden = silent & ~sets.beeping(one) if silent else EMPTY
        for alike in (self.speaking.mute, self.speaking.single):
            if sets.bits[one] & alike:
                silent |= others & alike
                hidden |= others & alike
        if hidden:
            self.unheard.append(Unheard(one, seats=hidden))
        for place in ones_of(others & ~silent & ~self._surely_parted(one)):
            hidden |= self._is_hidden_swap(one, self.drawn.points[place]) << place
        return hidden

    @cached_property
    def _plain(self) -> int:
        """The points at which no part ends."""
        poles = self.classes.poles
        return self.finder.silences.of(a for a in self.drawn.points if a not in poles)

    @cached_property
    def _quiet(self) -> int:
        """The plain points at which nothing but silence is read."""
        sets = self.finder.silences
        return self._plain & sets.of(filter(self.finder.is_quiet, self.drawn.points))

    @cached_property
    def _rung(self) -> int:
        """The plain points that a through-probe has."""
        return self._plain & self.finder.silences.of(self.finder.through)

    @cached_property
    def _alone(self) -> int:
        """The points that are joined with no other."""
        members = self.drawn.members.values()
        return self.finder.silences.of(points[0] for points in members if len(points) == 1)

    def _surely_parted(self, one: str) -> int:
        """The points whose exchange with this one surely parts one of them from its own net.

        What no tie ends at comes into a net that no tie connects with its own, or the ohms tell.
        """
        sets, drawn = self.finder.silences, self.drawn
        sure = self.parting.exchanged(one)
        if not sets.bits[one] & self._plain:
            return sure
        kin = joined(sets.members[n] for n in drawn.tied.get(drawn.net_of[one], ()))
        return sure | ((self._plain if sets.bits[one] & self._rung else self._rung) & ~kin)

    def _is_hidden_swap(self, one: str, two: str) -> bool:
        """Whether the exchange of two contacts, which is made, stays hidden."""
        net_of, poles = self.drawn.net_of, self.classes.poles
        plain = one not in poles and two not in poles
        if plain and (self._leaves(one, net_of[two]) or self._leaves(two, net_of[one])):
            return False
        one, two = sorted((one, two), key=self.drawn.rank.__getitem__)
        return self._is_hidden(swap(self.drawn, one, two))

    def _is_hidden(self, mistake: Mistake) -> bool:
        """Whether no reading shows a mistake; notes it if so."""
        is_hidden = not self.finder.finds(mistake)
        if is_hidden:
            self.hidden.append(mistake)
        return is_hidden

    def _moves(self) -> None:
        for wire, nets in wires_to_lay(self.drawn):
            hidden = 0 if wire in self.classes.free else self._hidden_strays(wire, nets)
            self.modelled[MISPLACED] += nets.bit_count()
            self.found[MISPLACED] += nets.bit_count() - hidden

    def _hidden_strays(self, wire: str, nets: int) -> int:
        """Of the nets into which this wire may be laid, how many show nothing."""
        sets, drawn = self.finder.silences, self.drawn
        sure = unheard = EMPTY
        if sets.bits[wire] & self._quiet:
            sure = ~joined(1 << net for net in drawn.tied)
            unheard = nets & sure & ~sets.facing_nets(wire)
        elif sets.bits[wire] & self._rung:
            sure = ~joined(1 << net for net in drawn.tied.get(drawn.net_of[wire], ()))
        sure |= self.parting.laid(wire)
        if sets.bits[wire] & self.speaking.mute:
            sure, unheard = nets, nets
        elif sets.bits[wire] & self.speaking.single:  # as if the two nets touched
            sure, unheard = nets, self.finder.hidden_touches(drawn.net_of[wire], nets)
        if unheard:
            self.unheard.append(Unheard(wire, nets=unheard))
        plain = wire not in self.classes.poles
        made = ones_of(nets & ~sure)
        left = (move(drawn, wire, net) for net in made if not plain or not self._leaves(wire, net))
        return unheard.bit_count() + sum(map(self._is_hidden, left))

    def _leaves(self, point: str, net: int) -> bool:
        """Whether a contact that comes into another net surely leaves its own, as its beep shows.

        No tie may end at the contact, so that what joins the two nets is as drawn.
        """
        probe = self.finder.through.get(point)
        if probe is None:
            return False
        own = self.drawn.net_of[point]
        if net not in self.drawn.tied.get(own, ()):
            return True
        key = (min(own, net), max(own, net), probe.expect)
        if key not in self._far:
            between = self.drawn.sound.between({own}, {net})
            self._far[key] = misses(probe.expectation, between, self.drawn.beeper)
        return self._far[key]

    def _touches(self) -> None:
        """For each net its touch with each higher one, and which of them do not show."""
        left = joined(1 << net for net in self.drawn.members)
        for net in self.drawn.members:
            left &= ~(1 << net)
            hidden = self.finder.hidden_touches(net, left)
            self.modelled[BRIDGE] += left.bit_count()
            self.found[BRIDGE] += left.bit_count() - hidden.bit_count()
            if hidden:
                self.hidden_touches[net] = hidden
