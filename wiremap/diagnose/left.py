"""What is still to read of a plan, and which reading of it comes next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from wiremap.diagnose.explain import Ask
from wiremap.diagnose.proof import Proof
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.expectation import Shows
from wiremap.ringout.probe import Probe, ProbeKind
from wiremap.ringout.readings import History
from wiremap.ringout.taken import NEVER


def ask_of(probe: Probe) -> Ask:
    """A planned reading as a question."""
    unit = Shows.BEEP if probe.expect == Shows.SILENT else probe.expect
    why = f"expected: {probe.wanted}"
    return Ask(
        red=probe.red,
        black=probe.black,
        why=why,
        expect=unit,
        state=probe.state,
    )


def in_turn(probes: Sequence[Probe], history: History, proof: Proof) -> tuple[Probe, ...]:
    """Probes of a plan in the order in which they are read.

    First the beeps of what was mended, then what else a repair made stale and can be read again
    already, then the rest.
    """

    def place(probe: Probe) -> int:
        if not history.is_undone(probe):
            return 2
        if probe.is_through:
            return 0 if history.drawn.net_of[probe.red[0]] in history.mended else 1
        return 1 if all(proof.silence_counts_now(a) for a in probe.points) else 2

    return tuple(sorted(probes, key=place))


class Left:
    """The probes that a history has not proven, at least one.

    `grips` tells where a net hangs in the plan's comb; empty if the plan is made without clips.
    """

    def __init__(
        self, drawn: Drawn, history: History, probes: Sequence[Probe], grips: Mapping[int, str]
    ) -> None:
        self.drawn, self.history = drawn, history
        self.probes, self.grips = probes, grips

    def next(self, proof: Proof) -> Ask:
        """The first probe that is left; before a comb what a net needs that a repair reopened.

        Of that net first its beeps, then one reading of it against all the others.
        """
        first = self.probes[0]
        if len(first.points) > 2 and first.kind == ProbeKind.APART:
            beep = self._reopened()
            if beep is not None:
                return ask_of(beep)
            comb = self._against_the_rest(proof)
            if comb is not None:
                return comb
        return ask_of(first)

    def _reopened(self) -> Probe | None:
        """The first beep left of a net that was read before and must be again."""
        for probe in self.probes:
            if probe.is_through and self._is_reopened(self.drawn.net_of[probe.red[0]]):
                return probe
        return None

    def _is_reopened(self, net: int) -> bool:
        return self.history.since(net) != NEVER

    def _against_the_rest(self, proof: Proof) -> Ask | None:
        """A net that was read before and must be again, against all others clipped together."""
        owed = self._owed(proof)
        again = [net for net in owed if self._is_reopened(net) and len(owed[net]) > 1]
        if self.grips:  # the others have their value read against the comb
            again = [net for net in again if net in self.grips]
        if not again:
            return None
        net = max(again, key=lambda n: (len(owed[n]), -n))
        tied = self.drawn.tied.get(net, frozenset())
        others = tuple(self._held_at(n) for n in sorted(owed[net]) if n not in tied)
        if len(others) < 2:
            return None
        why = f"{self.drawn.names[net]} again, the others clipped together: all must stay silent"
        return Ask(red=self.drawn.reached[net][:1], black=others, why=why)

    def _owed(self, proof: Proof) -> dict[int, list[int]]:
        """For each net those that it is not proven apart from, of nets whose silence counts."""
        owed: dict[int, list[int]] = {}
        pairs = set()
        for probe in self.probes:
            if probe.kind == ProbeKind.APART and not probe.state:
                pairs |= proof.open_pairs(probe)
        for one, two in sorted(map(sorted, pairs)):
            if all(proof.silence_counts_now(self._held_at(net)) for net in (one, two)):
                owed.setdefault(one, []).append(two)
                owed.setdefault(two, []).append(one)
        return owed

    def _held_at(self, net: int) -> str:
        """The point at which a net hangs in the plan's comb, else its first."""
        return self.grips.get(net) or self.drawn.reached[net][0]
