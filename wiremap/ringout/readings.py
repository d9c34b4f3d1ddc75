"""Which ring-out readings count now.

Time counts, in the order of the file: what is mended makes stale what was read there before, a
reading that was wrong voids what was read at its nets before it, and a reading that goes right,
wrong, right without a repair counts for nothing.  Begin at `History`.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import replace

from wiremap.mistakes.drawn import Drawn
from wiremap.model import Entry, EntryKind, State
from wiremap.ringout.judging import Judging
from wiremap.ringout.plan import Plan
from wiremap.ringout.probe import Probe
from wiremap.ringout.repeats import after
from wiremap.ringout.taken import NEVER, Cure, Repair, Stale, Taken

Explained = Callable[[Sequence[Taken]], Collection[int]]
Key = tuple[object, State, bool]  # points under the probes, state, whether in diode range


class History:
    """All entries of a ring-out in their order: what counts of them now.

    `repaired` and `wrong` hold for each net the place of the last repair that touched it and of the
    last wrong reading at it, `mended` the nets of the contacts that were named as mended.
    `explained` gives the nets that the mistakes which fit some readings concern: a repair touches
    them too.
    """

    def __init__(
        self,
        drawn: Drawn,
        plan: Plan | None,
        entries: Iterable[Entry],
        explained: Explained | None = None,
    ) -> None:
        self.drawn = drawn
        self._judging = Judging(drawn, plan)
        self._last: dict[Key, Taken] = {}
        self._combs: list[Taken] = []  # wrong readings of combs: which net is at fault is not known
        self.stale: list[Stale] = []
        self.repairs: list[Repair] = []
        self.cures: list[Cure] = []
        self._not_cured: dict[Key, Entry] = {}
        self.mended: set[int] = set()
        self._undone: set[Key] = set()  # what was read before a repair that touched it
        self.repaired: dict[int, int] = {}
        self.wrong: dict[int, int] = {}
        self.end = 0  # the place after the last entry
        for at, entry in enumerate(entries):
            self.end = at + 1
            if entry.kind == EntryKind.PROBE and entry.red and entry.black:
                self._read(entry, at)
            elif entry.kind == EntryKind.MENDED:
                self._mend(entry, at, explained)
        for comb in self._combs:
            self._void(comb)

    @property
    def readings(self) -> tuple[Taken, ...]:
        """The readings that count, in the order they were first taken."""
        return tuple(self._last.values())

    def since(self, net: int) -> int:
        """The place after which readings of a net prove something."""
        return max(self.repaired.get(net, NEVER), self.wrong.get(net, NEVER))

    def rests_on(self, red: Iterable[str], black: Iterable[str]) -> set[int]:
        """The nets that a reading speaks of: those under its probes, and those that ties connect
        with them.
        """
        net_of, tied = self.drawn.net_of, self.drawn.tied
        reds, blacks = {net_of[a] for a in red}, {net_of[a] for a in black}
        nets = reds | blacks
        both_tied = not tied.keys().isdisjoint(reds) and not tied.keys().isdisjoint(blacks)
        if both_tied and len(nets) > 1:
            nets.update(m for n in tuple(nets) for m in tied.get(n, ()))
        return nets

    def is_undone(self, probe: Probe) -> bool:
        """Whether a probe was read before, and a repair has made that stale."""
        return _key(probe) in self._undone

    # -- one more entry ---------------------------------------------------------------------------

    def _read(self, entry: Entry, at: int) -> None:
        why = self._judging.stale(entry)
        if why:
            self.stale.append(Stale(entry, why))
            return
        now = self._judging.judged(entry, at)
        key = _key(now)
        last = after(self._last.get(key), now)
        self._last[key] = last
        if last.agrees is False:
            self._not_cured[key] = last.entry
        elif last.agrees and key in self._not_cured:
            self.cures.append(Cure(self._not_cured.pop(key), last))
        if last.at == at and last.agrees is False:
            if now.is_alone or self._on_one_metal(now):
                self._void(now)
            else:
                self._combs.append(now)

    def _on_one_metal(self, taken: Taken) -> bool:
        """Whether a reading asks for a beep: a net has a point under each probe."""
        reds = {self.drawn.net_of[a] for a in taken.red}
        return any(self.drawn.net_of[a] in reds for a in taken.black)

    def _void(self, wrong: Taken) -> None:
        """A wrong reading voids what was read before it at its nets.

        That of a comb only at pairs of its nets that wrong single readings name, if any do.
        """
        reds = {self.drawn.net_of[a] for a in wrong.red}
        blacks = {self.drawn.net_of[a] for a in wrong.black}
        nets = reds | blacks
        if reds & blacks:  # a clip that does not bite: its net alone was not in the comb
            nets = reds
        elif not wrong.is_alone:
            single = [t for t in self.readings if t.is_alone and t.agrees is False]
            pairs = [{self.drawn.net_of[a] for a in t.points} for t in single]
            met = [pair for pair in pairs if pair & reds and pair & blacks and pair <= nets]
            nets = set().union(*met) or nets
        for net in nets:
            self.wrong[net] = max(self.wrong.get(net, NEVER), wrong.at)

    def _mend(self, entry: Entry, at: int, explained: Explained | None) -> None:
        self.mended.update(
            net for a in entry.points if (net := self.drawn.net_of.get(a)) is not None
        )
        nets = set(touched_by(self.drawn, entry.points))
        if explained is not None and any(taken.agrees is False for taken in self._last.values()):
            nets.update(explained(self.readings))
        self.repairs.append(Repair(entry, at, frozenset(nets)))
        self.repaired.update(dict.fromkeys(nets, at))
        self._combs = [
            taken for taken in self._combs if self.rests_on(taken.red, taken.black).isdisjoint(nets)
        ]
        left: dict[Key, Taken] = {}
        for taken in self._last.values():
            kept = self._untouched(taken, nets)
            if kept is not taken:
                self._undone.add(_key(taken))
            if kept is not None:
                key = _key(kept)
                left[key] = max(kept, left.get(key, kept), key=lambda taken: taken.at)
        self._last = left

    def _untouched(self, taken: Taken, nets: set[int]) -> Taken | None:
        """What a repair of these nets leaves of a reading; of a silent comb its other points."""
        if self.rests_on(taken.red, taken.black).isdisjoint(nets):
            return taken
        if taken.is_alone or taken.agrees is not True or self._on_one_metal(taken):
            return None
        net_of = self.drawn.net_of
        red = tuple(a for a in taken.entry.red if net_of[a] not in nets)
        black = tuple(a for a in taken.entry.black if net_of[a] not in nets)
        if not red or not black:
            return None
        rest = replace(taken, entry=replace(taken.entry, red=red, black=black))
        return rest if self.rests_on(red, black).isdisjoint(nets) else None


def touched_by(drawn: Drawn, points: Iterable[str]) -> Iterator[int]:
    """The nets that a repair at these points touches: theirs, and those beside them in joints and
    on faces.
    """
    here = [point for point in points if point in drawn.net_of]
    yield from (drawn.net_of[point] for point in here)
    for point in here:
        yield from (drawn.net_of[b] for b in drawn.neighbours.get(point, ()) if b in drawn.net_of)


def _key(taken: Taken | Probe) -> Key:
    """What is equal for readings of one kind at the same points."""
    sides = (frozenset(taken.red), frozenset(taken.black))
    way = sides if taken.diode_range else frozenset(sides)  # a diode's reading has a direction
    return way, taken.state, taken.diode_range
