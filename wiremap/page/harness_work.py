"""What is worked out of the harness alone and takes long: the ring-out's plan, harmful slips."""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property

from wiremap.check import Checked
from wiremap.content.gather import harmed
from wiremap.diagnose.judge import Judge
from wiremap.evidence.opened import OpenJob
from wiremap.evidence.progress import MayTouch, may_touch
from wiremap.model import EntryKind
from wiremap.ringout.plan import Plan, plan

PLANNED_FROM = frozenset({EntryKind.ANSWER, EntryKind.ACCEPT, EntryKind.BUILT})


class HarnessWork:
    """What is worked out of the harness; it holds while a survey only confirms the papers.

    `key` tells whether it still does: the job, the stops, the entries that a plan is made from.
    """

    def __init__(self, opened: OpenJob, method: str | None, checked: Checked) -> None:
        self._harness = opened.harness
        self._method = method
        stops = tuple((each.rule, each.subject) for each in checked.findings if each.holds)
        entries = list(opened.job.entries)
        marks = tuple(entry.own_mark for entry in entries if entry.kind in PLANNED_FROM)
        self.key = (replace(opened.job, notebooks=(), digest=""), stops, marks)

    @cached_property
    def may_touch(self) -> MayTouch:
        """The pairs of circuits that the ring-out must find apart."""
        return may_touch(self._harness)

    @cached_property
    def harm(self) -> frozenset[str]:
        """The circuits whose joints can be exchanged with harm."""
        return harmed(self._harness)

    @cached_property
    def plan(self) -> Plan:
        """The ring-out; raises TooLarge."""
        return plan(self._harness, self._method)

    @cached_property
    def judge(self) -> Judge:
        """Who judges its readings, and remembers what a repair was found to touch."""
        return Judge(self._harness, self.plan)
