"""The plan of the continuity test, as text or JSON."""

from __future__ import annotations

import argparse

from wiremap.cli.common import OK, emit_json, say
from wiremap.cli.progress import working
from wiremap.diagnose.judge import expected
from wiremap.evidence.opened import OpenJob
from wiremap.ringout.before_start import before_start
from wiremap.ringout.fuses import fuses_out
from wiremap.ringout.plan import Plan, plan
from wiremap.ringout.probe import Probe
from wiremap.sizing.job import size_job


def show_plan(args: argparse.Namespace, opened: OpenJob) -> int:
    """Print what to read, in which order, and what it proves."""
    with working("planning the readings"):
        made = plan(opened.harness, args.method or "near", args.kind)
    sizes = size_job(opened.harness)
    before = before_start(opened.harness, made.kind, sizes)
    if args.json:
        out = [fuse.as_dict() for fuse in fuses_out(opened.harness, sizes)]
        emit_json("ringout", made.as_dict() | {"before": list(before), "fuses_out": out})
        return OK
    for line in before:
        say(f"before: {line}")
    _tell(made)
    return OK


def _tell(made: Plan) -> None:
    say(
        f"{made.kind}, {made.points} points, {made.nets} nets, {len(made.probes)} readings, "
        f"{made.moves} settings of a probe (no order needs fewer than {made.moves_bound})"
    )
    say(made.beeper.told)
    for probe in made.probes:
        say(_line(probe))
    counts = made.coverage.counts.items()
    found = ", ".join(f"{kind} {found} of {made}" for kind, (made, found) in counts)
    say(f"mistakes made on paper and found: {found}")
    for gap in made.not_proven:
        subject = ", ".join(gap.subject)
        lead = f"{subject}: " if subject else ""
        say(f"not proven: {lead}{gap.why}")


def _line(probe: Probe) -> str:
    notes = [*probe.proves]
    notes += [words for words in (probe.why, probe.setting) if words]
    between = f"{'+'.join(probe.red)} to {'+'.join(probe.black)}"
    if probe.state:
        between += f", {probe.state}"
    return f"{probe.n}. {probe.kind}: {between}: {expected(probe)}  ({'; '.join(notes)})"
