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
from wiremap.ringout.probe import Probe, ProbeKind
from wiremap.ringout.readings import History
from wiremap.ringout.taken import NEVER, Taken

Reading = tuple[tuple[str, ...], tuple[str, ...], State, bool]  # the last: in diode range
NetPair = frozenset[int]


class Proof:
    """Which probes of a plan the readings of a history have proven.

    `alone` are points that the plan asks no beep of, as their joint is on hold.
    """

    def __init__(self, drawn: Drawn, history: History, alone: frozenset[str]) -> None:
        self.drawn, self.history, self.alone = drawn, history, alone
        good = [t for t in history.readings if t.agrees and self._is_of_now(t)]
        self._beeped: Joined[str] = Joined()
        self._beeped_at: dict[str, int] = {}  # when a point first beeped with its own net
        for taken in sorted(good, key=lambda taken: taken.at):
            if self._is_through(taken):
                self._note_beep(taken)
        self._good = [t for t in good if not _rests_on_silence(t) or self._silences_count(t)]
        plain = [t for t in self._good if not t.state and not self._on_one_metal(t)]
        self._apart = {pair for t in plain for pair in self._pairs(t.red, t.black)}
        self._exact = {r for t in self._good for r in _as_read(t)}
        self._in_comb: dict[str, int] = {}  # when a point last hung in a comb that was read
        for taken in plain:
            if not taken.is_alone:
                for point in taken.points:
                    self._in_comb[point] = max(taken.at, self._in_comb.get(point, taken.at))

    def _is_of_now(self, taken: Taken) -> bool:
        return all(taken.at > self.history.since(self.drawn.net_of[a]) for a in taken.points)

    def _is_through(self, taken: Taken) -> bool:
        """Whether a beep joins two points: of one net, or through a fuse that is in."""
        if not taken.is_alone or not is_short(taken.entry):
            return False
        nets = {self.drawn.net_of[a] for a in taken.points}
        return bool(taken.state.fuse) if taken.state else len(nets) == 1

    def _note_beep(self, taken: Taken) -> None:
        if not taken.state:
            self._beeped.join(taken.red[0], taken.black[0])
        for point in taken.points:
            self._beeped_at.setdefault(point, taken.at)

    def _silences_count(self, taken: Taken) -> bool:
        return all(self.silence_counts(a, taken.at) for a in taken.points)

    def silence_counts_now(self, point: str) -> bool:
        """Whether a silence at a point would count if it was read now."""
        return self.silence_counts(point, self.history.end)

    def silence_counts(self, point: str, at: int) -> bool:
        """Whether a silence at a point counts if it was read there at that place of the history.

        The point must have beeped before; one that stands alone never can, and needs not.
        """
        net = self.drawn.net_of[point]
        alone = point in self.alone or len(self.drawn.reached.get(net, ())) < 2
        return alone or self._beeped_at.get(point, at) < at

    def _on_one_metal(self, taken: Taken) -> bool:
        net_of = self.drawn.net_of
        return not {net_of[a] for a in taken.red}.isdisjoint(net_of[a] for a in taken.black)

    def _pairs(self, red: Iterable[str], black: Iterable[str]) -> set[NetPair]:
        net_of = self.drawn.net_of
        reds, blacks = {net_of[a] for a in red}, {net_of[a] for a in black}
        return {frozenset((i, j)) for i, j in product(reds, blacks) if i != j}

    def open_pairs(self, probe: Probe) -> set[NetPair]:
        """The pairs of nets of an apart-probe that are not proven apart yet."""
        left = self._pairs(probe.red, probe.black) - self._apart
        if probe.expect != Shows.OHMS:
            return left
        return {pair for pair in left if not self._are_tied(pair)}

    def _are_tied(self, pair: NetPair) -> bool:
        return any(pair <= self.drawn.tied.get(net, frozenset()) for net in pair)

    def is_proven(self, probe: Probe) -> bool:
        """Whether the readings prove what this probe asks."""
        if probe.kind == ProbeKind.CLIP:
            return self._still_bites(probe)
        if probe.comb and probe.expect == Shows.OHMS:
            return self._has_value(probe) and not self.open_pairs(probe)
        if probe.state or probe.diode_range or probe.expect in (Shows.OHMS, Shows.DIODE):
            return (probe.red, probe.black, probe.state, probe.diode_range) in self._exact
        if probe.is_through:
            return self._beeped.root(probe.red[0]) == self._beeped.root(probe.black[0])
        return not self.open_pairs(probe)

    def _still_bites(self, probe: Probe) -> bool:
        """Whether the clip of a net has beeped after the last reading of a comb that it hung in."""
        net_of = self.drawn.net_of
        clips = [a for a in probe.black if net_of[a] == net_of[probe.red[0]]]
        hung = max((self._in_comb.get(a, NEVER) for a in clips), default=NEVER)
        held = frozenset(probe.black)  # in whatever order they were typed
        beeps = [t for t in self._good if t.red == probe.red and frozenset(t.black) == held]
        return any(t.at > hung for t in beeps)

    def _has_value(self, probe: Probe) -> bool:
        """Whether ohms were read from a net to the comb, or to what a repair has left of it."""
        net_of = self.drawn.net_of
        tied = self.drawn.tied.get(net_of[probe.red[0]], frozenset())
        needed = {a for a in probe.black if net_of[a] in tied}
        for taken in self._good:
            in_ohms = taken.entry.ohms is not None and not taken.state
            if (
                in_ohms
                and taken.red == probe.red
                and needed <= set(taken.black) <= set(probe.black)
            ):
                return True
        return False


def _rests_on_silence(taken: Taken) -> bool:
    """Whether a wire off its crimp could have read so too, at one of its points."""
    return taken.is_quiet or not (taken.is_alone or is_short(taken.entry))


def _as_read(taken: Taken) -> list[Reading]:
    """A reading either way round; a diode's has a direction."""
    if taken.diode_range:
        return [(taken.red, taken.black, taken.state, True)]
    return [
        (taken.red, taken.black, taken.state, False),
        (taken.black, taken.red, taken.state, False),
    ]
