"""A ring-out for a screen: the plan by what its readings are for; the verdict before its reasons.

What is brief fits a screen and counts the rest, what is full tells everything.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType

from wiremap.base import plural
from wiremap.diagnose.judge import Judgement
from wiremap.diagnose.judgement import PROVISO
from wiremap.graph import Harness
from wiremap.reports.screen import (
    INDENT,
    LAST_STEP,
    SCREEN,
    SHORT,
    block,
    lines_up_to,
    named_up_to,
    shrunk_to,
    wrapped,
)
from wiremap.ringout.before_start import before_reading, before_start, places
from wiremap.ringout.gaps import full_gap_lines, gap_lines
from wiremap.ringout.plan import Plan
from wiremap.ringout.probe import Probe, ProbeKind
from wiremap.ringout.purpose import Purpose, Stretch, stretches
from wiremap.sizing.job_sizes import JobSizes

FIRST: Mapping[Purpose, int] = MappingProxyType({Purpose.FACE: 4, Purpose.HARM: 2})
MOST_FIRST = max(FIRST.values())
FULL_LINE = 76  # characters; a longer reading is told without its reason
MOST_NAMED = 5
SECOND = "after the sleeves are shrunk, wires moved by hand"
MOST_GAPS = 3
GAP_LINES = 1  # of one
MOST_LINES = 5  # told of each part of a verdict
PURPOSES: Mapping[Purpose, str] = MappingProxyType(
    {
        Purpose.FACE: "first, was a plug read the wrong way round?",
        Purpose.HARM: "dangerous circuits, each through, then apart from others",
        Purpose.THROUGH: "every other circuit through",
        Purpose.APART: "neighbours apart",
        Purpose.VALUE: "parts and loads by their value",
        Purpose.OUTSIDE: "with something parted outside the harness",
        Purpose.CLIP: "does every clip still bite?",
    }
)
PROBE_KINDS: Mapping[ProbeKind, str] = MappingProxyType(
    {
        ProbeKind.SENTINEL: "plug the right way round",
        ProbeKind.THROUGH: "through",
        ProbeKind.APART: "apart",
        ProbeKind.BAND: "value",
        ProbeKind.CLIP: "clip",
    }
)


def plan_brief(plan: Plan, harness: Harness, sizes: JobSizes) -> list[str]:
    """What to do first, where the probes go, and the readings by what they are for; within a
    screen.
    """
    return shrunk_to(
        lambda most: _plan_brief(plan, harness, sizes, most), SCREEN - LAST_STEP, MOST_FIRST
    )


def _plan_brief(plan: Plan, harness: Harness, sizes: JobSizes, most: int) -> Iterator[str]:
    yield from wrapped(_counted(plan))
    before = [*before_reading(harness, plan.kind, sizes), *plan.assumed]
    yield from block("before the first reading", before, most=SHORT)
    yield from block("where the probes go", places(harness, plan.kind), most=SHORT)
    for stretch in stretches(plan.probes):
        first = min(most, FIRST.get(stretch.purpose, 0))
        yield from _stretch(stretch, _purpose(stretch, plan), first)
    yield from _on_hold(plan)
    if plan.second:
        yield f"{SECOND}: {plural(len(plan.second), 'reading')} more"
    lines = gap_lines(plan.not_proven)
    if lines:
        yield "not proven by these readings"
        yield from lines_up_to(lines, min(most, MOST_GAPS), each=GAP_LINES, lead=INDENT)
        if any(gap.pairs for gap in plan.not_proven):
            yield f"{INDENT}which pairs may touch: --full names them"


def plan_full(plan: Plan, harness: Harness, sizes: JobSizes) -> Iterator[str]:
    """Every reading with what it proves, which mistakes were tried, and what is not proven."""
    for line in before_start(harness, plan.kind, sizes):
        yield f"before: {line}"
    yield _counted(plan)
    yield plan.bounds
    yield from plan.assumed
    for probe in plan.probes:
        yield _line_in_full(probe)
    yield from _on_hold(plan)
    if plan.second:
        yield f"{SECOND}: {len(plan.second)} readings"
    for probe in plan.second:
        yield _line_in_full(probe)
    counts = plan.coverage.counts.items()
    tried = (f"{kind.called} {found} of {tried}" for kind, (tried, found) in counts)
    yield f"mistakes made on paper, and found: {', '.join(tried)}"
    for line in full_gap_lines(plan.not_proven):
        yield f"not proven: {line}"


def _counted(plan: Plan) -> str:
    kind = "splice-in, on the machine"
    if plan.kind == "adapter":
        kind = "adapter, on the bench"
    counted = f"{len(plan.probes)} readings, {plan.nets} circuits, {plan.points} points"
    return f"{kind}: {counted}, {plan.work.told}"


def _line_in_full(probe: Probe) -> str:
    """A reading with all that it proves and what to do for it."""
    notes = "; ".join(word for word in (*probe.proves, probe.why, probe.setting) if word)
    kind = PROBE_KINDS[probe.kind]
    between = _between(probe, len(probe.red) + len(probe.black))
    return f"{probe.n}. {kind}: {between}: {probe.wanted}  ({notes})"


def _on_hold(plan: Plan) -> Iterator[str]:
    """The wires that no beep is asked for while the check stops at them."""
    unread = plan.held.unread
    if unread:
        wires = [" to ".join(points) for points in unread]
        told = f"not read through until the hold is lifted ({len(wires)}): {', '.join(wires)}"
        yield from wrapped(told)


def _purpose(stretch: Stretch, plan: Plan) -> str:
    """What a stretch is for; on hold it does not read every circuit through."""
    if not plan.held.unread:
        return PURPOSES[stretch.purpose]
    if stretch.purpose == Purpose.THROUGH:
        return "other circuits through, those that no stop holds"
    if stretch.purpose == Purpose.HARM:
        through = any(probe.kind == ProbeKind.THROUGH for probe in stretch.probes)
        first = "those that no stop holds through, then " if through else ""
        return f"dangerous circuits: {first}apart from others"
    return PURPOSES[stretch.purpose]


def _stretch(stretch: Stretch, purpose: str, first: int) -> Iterator[str]:
    """What a stretch is for, so many of its first readings, and how many follow."""
    count = len(stretch.probes)
    yield from wrapped(f"{stretch.numbers}: {purpose}")
    for probe in stretch.probes[:first]:
        yield from wrapped(_line(probe), lead="  ", most=SHORT)
    if 0 < first < count:
        yield f"  and {count - first} more: --full tells them"


def _line(probe: Probe) -> str:
    """A reading with its reason, if that fits on the line."""
    line = f"{probe.n}. {_between(probe, MOST_NAMED)}: {probe.wanted}"
    told = f"{line}  ({probe.why})"
    if not probe.why or len(told) > FULL_LINE:
        return line
    return told


def _between(probe: Probe, most: int) -> str:
    """Where the probes of a reading stand, so many points of each named."""
    there = probe.together or named_up_to(probe.black, most)
    words = f"{named_up_to(probe.red, most)} to {there}"
    stood = replace(probe.state, shrunk=False)
    return f"{words}, {stood}" if stood else words


def verdict_brief(judged: Judgement) -> Iterator[str]:
    """The verdict, what disagrees, which mistake fits, what does not count; the next probe last."""
    yield from wrapped(judged.summary)
    for part in (judged.disagreeing(), judged.explained(), judged.not_counted()):
        yield from lines_up_to(part, MOST_LINES)
    yield from wrapped(judged.assumed)
    yield PROVISO
    if judged.next is not None:
        yield f"next: {judged.next.told}"
