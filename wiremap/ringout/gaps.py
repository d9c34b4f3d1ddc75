"""What a ring-out does not prove, said outright."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING, Any

from wiremap.mistakes.build import Bench
from wiremap.ringout.coverage import Coverage

if TYPE_CHECKING:
    from wiremap.ringout.plan import Probe


@dataclass(frozen=True, slots=True)
class Gap:
    """One thing that stays unproven, whom it concerns and why; `pairs` lists untested pairs of nets."""

    kind: str  # one-contact, unreached, untested-pairs, twist, hidden, crimp
    subject: tuple[str, ...]
    why: str
    pairs: tuple[tuple[str, str], ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """The gap as plain data."""
        out: dict[str, Any] = {"kind": self.kind, "subject": list(self.subject), "why": self.why}
        return out | ({"pairs": [list(p) for p in self.pairs]} if self.pairs else {})


def gaps(bench: Bench, probes: Sequence[Probe], coverage: Coverage) -> Iterator[Gap]:
    """Single contacts, points out of reach, untested pairs, twists, hidden mistakes; a beep proves no crimp."""
    for points in bench.members.values():
        if len(points) == 1:
            yield Gap(
                "one-contact",
                points,
                "a net of one contact cannot beep: its silence may be a probe that did not touch",
            )
    lost = tuple(a for a in bench.points if a not in bench.reach)
    if lost:
        yield Gap(
            "unreached",
            lost,
            "no probe gets there, nor shows what it touches: only what was read there before the cut speaks of it",
        )
    untested = _untested(bench, probes)
    if untested:
        yield Gap(
            "untested-pairs",
            (),
            f"{len(untested)} pairs of nets were not probed against each other by this method",
            untested,
        )
    for twist in bench.harness.job.twists.values():
        yield Gap(
            "twist",
            twist.circuits,
            "one wire from each of two pairs beeps perfectly: look that these share one twist",
        )
    apart = {frozenset(p) for p in untested}
    unreached = {bench.names[n] for a in lost if (n := bench.group[a]) not in bench.members}
    for fault in coverage.hidden:
        if not (
            fault.kind == "bridge"
            and (frozenset(fault.subject) in apart or unreached.intersection(fault.subject))
        ):
            yield Gap(
                "hidden", (fault.kind, *fault.subject), f"this plan would not show it: {fault.kind}"
            )
    if probes:
        yield Gap(
            "crimp",
            (),
            "a beep proves no crimp: load supply and ground and read the drop in millivolts",
        )


def summed(gaps: Iterable[Gap]) -> list[str]:
    """Gaps in as few lines as can be: those with one reason together, each subject once."""
    kinds: dict[str, list[str]] = {}
    for gap in gaps:
        kinds.setdefault(gap.why, []).extend([" and ".join(gap.subject)] if gap.subject else [])
    return [
        f"{', '.join(dict.fromkeys(subjects))}: {why}" if subjects else why
        for why, subjects in kinds.items()
    ]


def _untested(bench: Bench, probes: Sequence[Probe]) -> tuple[tuple[str, str], ...]:
    tested = {
        (min(p), max(p)) for group in bench.meeting for p in combinations(group, 2)
    }  # each read while one is parted outside
    for p in probes:
        if p.kind in ("apart", "band"):
            tested |= {
                (min(i, j), max(i, j))
                for a in p.red
                for b in p.black
                if (i := bench.group[a]) != (j := bench.group[b])
            }
    return tuple(
        (bench.names[i], bench.names[j])
        for i, j in combinations(bench.members, 2)
        if (i, j) not in tested
    )
