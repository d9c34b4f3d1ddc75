"""What the readings prove: points that beep together, nets that are apart.
A net's readings count from its last wrong reading or repair on.  A silence between two nets counts
if each of its points had beeped before it in that time, as a wire off its crimp is silent too.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import product

from wiremap.evidence import is_short
from wiremap.graph.walks import Joined
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.expectation import Shows
from wiremap.model import State
from wiremap.ringout.probe import Probe
from wiremap.ringout.readings import History, Taken

Reading = tuple[tuple[str, ...], tuple[str, ...], State, bool]  # the last: in diode range
NetPair = frozenset[int]


class Proof:
    """Which probes of a plan the readings of a history have proven."""

    def __init__(self, drawn: Drawn, history: History) -> None:
        self.drawn, self.history = drawn, history
        good = [t for t in history.readings if t.agrees and self._is_of_now(t)]
        self._beeped: Joined[str] = Joined()
        self._beeped_at: dict[str, int] = {}  # when a point first beeped with its own net
        for t in sorted(good, key=lambda t: t.at):
            if self._is_through(t):
                self._beeped.join(t.red[0], t.black[0])
                for a in t.points:
                    self._beeped_at.setdefault(a, t.at)
        good = [t for t in good if not t.is_quiet or self._is_sure(t)]
        self._apart = {pair for t in good if not t.state for pair in self._pairs(t.red, t.black)}
        self._exact = {r for t in good for r in _as_read(t)}

    def _is_of_now(self, t: Taken) -> bool:
        return all(t.at > self.history.since(self.drawn.net_of[a]) for a in t.points)

    def _is_through(self, t: Taken) -> bool:
        nets = {self.drawn.net_of[a] for a in t.points}
        return t.is_alone and not t.state and len(nets) == 1 and is_short(t.entry)

    def _is_sure(self, t: Taken) -> bool:
        return all(self.is_sure(a, t.at) for a in t.points)

    def is_sure(self, point: str, at: int) -> bool:
        """Whether a silence at a point counts: it had beeped; one that stands alone never can."""
        alone = len(self.drawn.reached.get(self.drawn.net_of[point], ())) < 2
        return alone or self._beeped_at.get(point, at) < at

    def _pairs(self, red: Iterable[str], black: Iterable[str]) -> set[NetPair]:
        net_of = self.drawn.net_of
        reds, blacks = {net_of[a] for a in red}, {net_of[a] for a in black}
        return {frozenset((i, j)) for i, j in product(reds, blacks) if i != j}

    def open_pairs(self, probe: Probe) -> set[NetPair]:
        """The pairs of nets of an apart-probe that are not proven apart yet."""
        return self._pairs(probe.red, probe.black) - self._apart

    def is_proven(self, probe: Probe) -> bool:
        """Whether the readings prove what this probe asks."""
        if probe.state or probe.diode_range or probe.expect in (Shows.OHMS, Shows.DIODE):
            return (probe.red, probe.black, probe.state, probe.diode_range) in self._exact
        if probe.is_through:
            return self._beeped.root(probe.red[0]) == self._beeped.root(probe.black[0])
        return not self.open_pairs(probe)


def _as_read(t: Taken) -> list[Reading]:
    """A reading either way round; a diode's has a direction."""
    if t.diode_range:
        return [(t.red, t.black, t.state, True)]
    return [(t.red, t.black, t.state, False), (t.black, t.red, t.state, False)]
