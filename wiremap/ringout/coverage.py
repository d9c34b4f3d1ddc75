"""What a plan finds, counted by making every modelled mistake once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from wiremap.mistakes.build import Bench, contradicts
from wiremap.mistakes.faults import Fault, every

if TYPE_CHECKING:
    from wiremap.ringout.plan import Probe


@dataclass(frozen=True, slots=True)
class Coverage:
    """Mistakes made and found, by kind, and those that stay hidden."""

    counts: Mapping[str, tuple[int, int]]  # kind -> (modelled, found)
    hidden: tuple[Fault, ...]

    def as_dict(self) -> dict[str, Any]:
        """Counts by kind as plain data."""
        return {kind: {"modelled": m, "found": f} for kind, (m, f) in self.counts.items()}


def cover(bench: Bench, probes: Sequence[Probe]) -> Coverage:
    """Make every modelled mistake and see whether a probe of the plan would show it."""
    finder = Finder(bench, probes)
    counts: dict[str, list[int]] = {}
    hidden = []
    for fault in every(bench):
        tally = counts.setdefault(fault.kind, [0, 0])
        tally[0] += 1
        if finder.finds(fault):
            tally[1] += 1
        else:
            hidden.append(fault)
    return Coverage({k: (m, f) for k, (m, f) in counts.items()}, tuple(hidden))


class Finder:
    """Tells quickly whether a plan shows a mistake: only probes that the mistake can change are looked at."""

    def __init__(self, bench: Bench, probes: Sequence[Probe]) -> None:
        self.bench = bench
        self.by_point: dict[str, list[Probe]] = {}
        self.by_net: dict[int, list[Probe]] = {}
        self.red: dict[int, int] = {}
        self.black: dict[int, int] = {}
        self.odd: set[int] = set()  # nets on a comb that expects ohms
        for k, p in enumerate(
            sorted(probes, key=lambda p: (p.kind not in ("sentinel", "through"), p.n))
        ):
            for a in (*p.red, *p.black):
                self.by_point.setdefault(a, []).append(p)
                if not self.by_net.get(n := bench.group[a]) or self.by_net[n][-1] is not p:
                    self.by_net.setdefault(n, []).append(p)
            if p.expect != "silent":
                self.odd |= (
                    {bench.group[a] for a in (*p.red, *p.black)}
                    if len(p.red) + len(p.black) > 2
                    else set()
                )
            else:
                for side, at in ((self.red, p.red), (self.black, p.black)):
                    for a in at:
                        side[bench.group[a]] = side.get(bench.group[a], 0) | 1 << k

    def finds(self, fault: Fault) -> bool:
        """Whether at least one probe would surely show something else than expected."""
        if fault.act[0] == "touch":
            i, j = int(str(fault.act[1])), int(str(fault.act[2]))
            if self.red.get(i, 0) & self.black.get(j, 0) or self.red.get(j, 0) & self.black.get(
                i, 0
            ):
                return True
            if not {i, j} & (self.bench.tied.keys() | self.odd):
                return False
        build = fault.on(self.bench.drawn)
        return any(
            contradicts(p.expectation, build, p.red, p.black, p.state) for p in self.affected(fault)
        )

    def affected(self, fault: Fault) -> Iterable[Probe]:
        """The probes whose reading the mistake can change, through-probes first."""
        touched, nets = fault.touches(self.bench), fault.nets(self.bench)
        kin = sorted({m for n in nets for m in self.bench.tied.get(n, ())})
        seen: set[int] = set()
        for source in (self.by_point.get(a, ()) for a in touched):
            for p in source:
                if p.n not in seen:
                    seen.add(p.n)
                    yield p
        for n in sorted(nets) if fault.act[0] == "move" else ():
            yield from (p for p in self.by_net.get(n, ()) if p.n not in seen)
        for n in kin:
            for p in self.by_net.get(n, ()):
                if p.n not in seen:
                    seen.add(p.n)
                    yield p
