"""Whatever settles something is missed when it is gone: leaving out never improves a verdict."""

from __future__ import annotations

from dataclasses import replace

import pytest
from demo_jobs import filed_demo

from wiremap.base import Severity
from wiremap.evidence import settle
from wiremap.graph import Harness
from wiremap.model import Basis, Entry, EntryKind, Job, Notebook, frozen
from wiremap.rules import run
from wiremap.survey.lines import typed_survey

LINES = """
loom.1 12.6 V ignition off
loom.4 0.0 V ignition off
loom.4 12.5 V ignition on
loom.2 to chassis 12 ohm
loom.2 to chassis 0.2 ohm
loom.3 to chassis 7.4 ohm
loom.6 to loom.7 120 ohm
loom.9 to loom.10 0.4 ohm
loom.12 to loom.8 1800 ohm
"""
ANSWERS = {
    "gateway.TA": "on",
    "gateway.TB": "on",
    "donor.18": "carrier",
    "supply": "yes",
}


@pytest.fixture(scope="module")
def bench_day() -> tuple[Job, tuple[Entry, ...]]:
    """The demo as its files say it, and what a day at the bench adds to its own notebook."""
    job = filed_demo()
    read, faults, _ = typed_survey(job, LINES, "survey.txt", "RK", "2026-03-02")
    assert faults == ()
    said = [
        Entry(kind=EntryKind.ANSWER, about=about, answer=text, by="RK", date="2026-03-02")
        for about, text in ANSWERS.items()
    ]
    return replace(on_hearsay(job), notebooks=()), (*said, *read)


def on_hearsay(job: Job) -> Job:
    """The job whose loom nobody has measured yet."""
    loom = job.ends["loom"]
    cavities = {n: replace(c, basis=Basis.TOLD) for n, c in loom.pinout.cavities.items()}
    loom = replace(loom, pinout=replace(loom.pinout, cavities=frozen(cavities)))
    return replace(job, ends=frozen({**job.ends, "loom": loom}))


def held(job: Job, entries: tuple[Entry, ...]) -> set[tuple[str, tuple[str, ...]]]:
    """What is left to do: every stop and caution that nobody signed."""
    settled = settle(replace(job, notebooks=(Notebook("n.yaml", entries),)))
    return {
        (finding.rule, finding.subject)
        for finding in run(Harness(settled))
        if finding.severity is not Severity.NOTE and finding.accepted is None
    }


def test_nothing_left_out_improves_the_verdict(
    bench_day: tuple[Job, tuple[Entry, ...]],
) -> None:
    """Answers and readings that settle: without any one of them no finding is gone.

    The reading that a better one replaced settles nothing; to leave it out changes nothing either.
    """
    job, entries = bench_day
    whole = held(job, entries)
    assert whole
    missed = 0
    for i, entry in enumerate(entries):
        left = held(job, (*entries[:i], *entries[i + 1 :]))
        assert whole <= left, (entry, whole - left)
        missed += whole < left
    assert missed >= 3
