"""A trial: mistakes made in copper, the plan answered, the diagnosis asked until it has no more questions."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import dataclass, field

from ringout_simulator import Copper, wrongs

from wiremap.graph import Harness
from wiremap.model import Accepts, Cavity, Circuit, Connector, End, Entry, Face, Job, Pinout, Wire, frozen
from wiremap.naming import Reading
from wiremap.ringout.diagnose import Explanation
from wiremap.ringout.expect import Bench
from wiremap.ringout.judge import judge
from wiremap.ringout.plan import plan

PARTS = ("lose", "double", "turn")


@dataclass
class Tally:
    """How often what happened, and what was not named first."""

    counts: Counter[str] = field(default_factory=Counter)
    missed: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class Bare:
    """A probe that is in no plan."""

    red: tuple[str, ...]
    black: tuple[str, ...]
    expect: str = "beep"
    fuse: str = ""
    why: str = ""


def metal(copper: Copper, points: set[str]) -> frozenset[frozenset[str]]:
    """As-built metal, of the points that count."""
    return frozenset(frozenset(g & points) for g in copper.metal() if g & points)


def same(e: Explanation, truth: frozenset[frozenset[str]], points: set[str], what: str) -> bool:
    """Whether an explanation means the metal that was built (of a part: that it names the part)."""
    if what.split()[0] in PARTS:
        return len(e.faults) == 1 and e.faults[0].kind.startswith("extra") and what.split()[1] in e.faults[0].subject
    groups: dict[int, set[str]] = {}
    for a in points:
        groups.setdefault(e.build.net(a), set()).add(a)
    return frozenset(frozenset(g) for g in groups.values()) == truth


def trial(
    job: Job, method: str, limit: int, budget: int = 24, double: bool = False, seed: int = 0, kind: str = "adapter"
) -> Tally:
    """Make up to `limit` mistakes (or pairs of them), one after another, and follow the diagnosis to its end."""
    harness = Harness(job)
    made = plan(harness, method, kind)
    points = set(Bench(harness, kind).points)
    drawn = metal(Copper(job), points)
    every = list(wrongs(job, random.Random(seed)))
    tally = Tally()
    for n in range(min(limit, len(every))):
        copper = Copper(job, machine=kind != "adapter")
        what, do = every[n]
        do(copper)  # type: ignore[operator]
        if double:
            other, do_other = every[-1 - n]
            if what.split()[0] in PARTS or other.split()[0] in PARTS or n >= len(every) // 2:
                continue
            do_other(copper)  # type: ignore[operator]
            what += f" and {other}"
        truth = metal(copper, points)
        if truth == drawn and what.split()[0] not in PARTS:
            tally.counts["same metal"] += 1
            continue
        entries = [copper.answer(p) for p in made.probes]
        judged = judge(harness, entries, planned=made)
        if not judged.disagree:
            tally.counts["hidden"] += 1
            tally.counts[f"hidden {what.split()[0]}"] += 1
            continue
        asked = 0
        while judged.next is not None and asked < budget:
            known = next((p for p in made.probes if (p.red, p.black) == (judged.next.red, judged.next.black)), None)
            entries.append(copper.answer(known or Bare(judged.next.red, judged.next.black, judged.next.expect)))
            asked += 1
            judged = judge(harness, entries, planned=made)
        rank = next((r for r, e in enumerate(judged.explanations) if same(e, truth, points, what)), None)
        tally.counts["asked"] += asked
        tally.counts[f"verdict {judged.verdict}"] += 1
        tally.counts["named first" if rank == 0 else "among three" if rank in (1, 2) else "missed"] += 1
        if rank != 0:
            tally.missed.append(
                f"{what}: rank {rank} after {asked}: "
                + "; ".join(
                    f"{e.cost:.2f} {[(f.kind, *f.subject) for f in e.faults]} leaves {len(e.unexplained)}"
                    for e in judged.explanations[:3]
                )
            )
    return tally


def wide_job(nets: int) -> Job:
    """Two equal faces joined straight through, `nets` circuits, rows of 20."""
    names = [str(i) for i in range(1, nets + 1)]
    rows = tuple(tuple(names[i : i + 20]) for i in range(0, nets, 20))
    kinds = ("permanent-supply", "power-ground", "analogue-input", "digital-input", "high-side-drive", *["unknown"] * 15)
    cavities = {n: Cavity(n, Reading(kinds[int(n) % 20]), accepts=Accepts(), wire=Wire("0.5 RD", 0.5)) for n in names}
    ends = {
        name: End(name, Pinout(name, f"{name}.yaml", frozen(cavities), Connector(face=Face("mating", rows))), "pigtail", side)
        for name, side in (("old", "machine"), ("new", "unit"))
    }
    return Job("wide", "wide.yaml", frozen(ends), tuple(Circuit(f"c{n}", (f"old.{n}", f"new.{n}")) for n in names))


def entry(red: str, black: str, seen: str) -> Entry:
    """A plain reading."""
    return Entry("probe", by="T", date="2026-03-02", red=(red,), black=(black,), seen=seen)
