"""What hangs on the harness alone and is dear to work out: the ring-out's plan, harmful slips."""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property

from wiremap.check import Checked
from wiremap.content.done import entries_of
from wiremap.content.gather import harmed
from wiremap.diagnose.judge import Judge
from wiremap.evidence.opened import OpenJob
from wiremap.evidence.progress import MayTouch, may_touch
from wiremap.model import EntryKind
from wiremap.ringout.plan import Plan, plan

PLANNED_FROM = frozenset({EntryKind.ANSWER, EntryKind.ACCEPT, EntryKind.BUILT})


class Wired:
    """What hangs on the harness and what holds it, and stays while a survey only confirms it."""

    def __init__(self, opened: OpenJob, method: str | None, checked: Checked) -> None:
        self._harness = opened.harness
        self._method = method
        stops = tuple((f.rule, f.subject) for f in checked.findings if f.holds)
        told = tuple(e.own_mark for e in entries_of(opened.job) if e.kind in PLANNED_FROM)
        self.key = (replace(opened.job, notebooks=(), digest=""), stops, told)

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
