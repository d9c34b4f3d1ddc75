"""One job as its files stand at one moment, and what is worked out from it when it is asked for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from functools import cached_property

from wiremap.base import Finding
from wiremap.check import Checked, check_harness
from wiremap.content.given import Given
from wiremap.content.joint_cards import Task, tasks
from wiremap.content.mated_bus import read_when_mated
from wiremap.content.proving import Proving, clips_taken_off, proving
from wiremap.content.ringout_start import ringout_start
from wiremap.content.second_cards import not_in_second
from wiremap.content.steps import Step
from wiremap.content.survey_cards import owed_contacts
from wiremap.diagnose.verdict import Verdict
from wiremap.diagnose.walk import Walk
from wiremap.evidence import judge_survey
from wiremap.evidence.judged_reading import SurveyReading
from wiremap.evidence.opened import OpenJob
from wiremap.evidence.progress import NONE_YET, Count, progress_of, surveyed_cavities
from wiremap.firstpower.judge import power_kept
from wiremap.firstpower.plan import power_plan
from wiremap.firstpower.step import PowerStep
from wiremap.model import Entry, EntryKind, Seen
from wiremap.page.harness_work import PLANNED_FROM, HarnessWork
from wiremap.ringout.plan import Method, Plan, TooLarge
from wiremap.ringout.probe import Probe
from wiremap.sizing.job import size_job
from wiremap.sizing.job_sizes import JobSizes
from wiremap.survey.later import LaterReading, as_before_ohms, is_later
from wiremap.survey.not_known import not_known
from wiremap.survey.question import Question
from wiremap.survey.questions import questions
from wiremap.survey.rows import Survey, survey

WORKED_FROM = PLANNED_FROM | {EntryKind.SURVEY}


class WorkedOut:
    """What is worked out of the papers and the answers, and holds while readings come in.

    `method` is that of the ring-out, None for the usual one; `read` are findings from reading the
    files; `before` is what the moment before had worked out of the harness, kept if it still holds.
    """

    def __init__(
        self,
        opened: OpenJob,
        method: str | None,
        read: tuple[Finding, ...] = (),
        before: HarnessWork | None = None,
    ) -> None:
        self._opened = opened
        self._method = method
        self._read = read
        self._before = before

    @cached_property
    def harness_work(self) -> HarnessWork:
        """What is worked out of the harness alone."""
        harness_work = HarnessWork(self._opened, self._method, self.checked)
        before, self._before = self._before, None
        return before if before is not None and before.key == harness_work.key else harness_work

    @property
    def last_harness_work(self) -> HarnessWork | None:
        """What is worked out of the harness, if anything asked for it by now; else None."""
        return self.__dict__.get("harness_work", self._before)

    @cached_property
    def checked(self) -> Checked:
        """What was found on reading the files, and the rule book over the job.

        What is rung out changes with every reading: `Moment` counts it, here it is left at 0 of 0.
        """
        return check_harness(self._opened.harness, read=self._read, rung_out=NONE_YET)

    @cached_property
    def sizes(self) -> JobSizes:
        """Everything sized."""
        return size_job(self._opened.harness)

    @cached_property
    def given(self) -> Given:
        """What the work at the bench is told from."""
        checked = self.checked
        return Given(
            harness=self._opened.harness,
            findings=checked.findings,
            not_judged=checked.not_judged,
            surveyed=checked.surveyed,
            rung_out=checked.rung_out,
            sizes=self.sizes,
            harm=self.harness_work.harm,
            survey=self.survey,
        )

    @cached_property
    def tasks(self) -> list[Task]:
        """The work at the joints."""
        return tasks(self.given)

    @cached_property
    def proving(self) -> list[Proving]:
        """The work between ring-out and sleeves."""
        probes = () if self.too_large else self.plan.probes
        return [*clips_taken_off(probes), *proving(self.given)]

    @cached_property
    def start(self) -> list[Step]:
        """What is done before the first probe."""
        return list(ringout_start(self.given))

    @cached_property
    def mated(self) -> dict[int, list[LaterReading]]:
        """By the step of first power that mates a unit, what is read of its bus then."""
        return {step.n: list(read_when_mated(self.given, step.mates)) for step in self.steps}

    @cached_property
    def again(self) -> list[LaterReading]:
        """What the machine must show at the new faces as before the cut."""
        return not_in_second(list(as_before_ohms(self.survey)), self.plan.second)

    @property
    def plan(self) -> Plan:
        """The ring-out; raises TooLarge."""
        return self.harness_work.plan

    @cached_property
    def too_large(self) -> str:
        """Why no ring-out is planned for the job; empty if one is."""
        try:
            self.plan  # noqa: B018  (planned here for the first time)
        except TooLarge as large:
            return f"{large}: {large.fix}"
        return ""

    @cached_property
    def survey(self) -> Survey:
        """What is read before the cut."""
        return survey(self._opened.job)

    @cached_property
    def judged_survey(self) -> tuple[SurveyReading, ...]:
        """What the readings before the cut say."""
        return judge_survey(self._opened.job)

    @cached_property
    def owed_contacts(self) -> frozenset[str]:
        """What must be measured before it is cut."""
        return owed_contacts(self.survey, self.judged_survey, self.given.not_surveyed)

    @cached_property
    def questions(self) -> tuple[Question, ...]:
        """What is still to be asked; at the end what was asked before and nobody knew."""
        return (*questions(self._opened.job), *not_known(self._opened.job))

    @cached_property
    def steps(self) -> tuple[PowerStep, ...]:
        """First power."""
        return power_plan(self._opened.harness, self.sizes)


class Moment:
    """A job at one moment; `worked` is shared with the moments before while it still holds."""

    def __init__(self, opened: OpenJob, worked: WorkedOut) -> None:
        self.opened = opened
        self.worked = worked
        self.today = date.today().isoformat()

    @cached_property
    def entries(self) -> list[Entry]:
        """Every entry that counts, in the order of the files."""
        return list(self.opened.job.entries)

    @cached_property
    def own_entries(self) -> list[Entry]:
        """Those of the notebook that is written to."""
        own = self.opened.notebook.as_posix()
        books = [book for book in self.opened.job.notebooks if book.path == own]
        return [entry for book in books for entry in book.entries]

    @cached_property
    def checked(self) -> Checked:
        """The rule book, with what has been surveyed and rung out by now."""
        harness = self.opened.harness
        counted = progress_of(harness, lambda _: self.worked.harness_work.may_touch)
        return replace(
            self.worked.checked,
            surveyed=counted.surveyed,
            rung_out=self._passed_by_verdict or counted.rung_out,
            first_power=power_kept(harness, self.entries, lambda: self.worked.steps),
            job=self.opened.job,
            harness=harness,
        )

    @property
    def _passed_by_verdict(self) -> Count | None:
        """With clips the nets that the verdict passes, and all: it knows what combs prove."""
        probed = any(entry.kind == EntryKind.PROBE for entry in self.entries)
        if not probed or self.worked.plan.method != Method.CLIPS:
            return None
        counts = self.walk.judged().counts
        return Count(counts["pass"], counts["nets"])

    @cached_property
    def not_surveyed(self) -> list[str]:
        """The machine's wires that ought to be measured before the cut and were not."""
        measured, countable = surveyed_cavities(self.opened.harness)
        return [address for address in countable if address not in measured]

    @cached_property
    def walk(self) -> Walk:
        """The ring-out as it stands; what nobody was sure of comes after all else."""
        harness_work = self.worked.harness_work
        walk = Walk(self.opened.harness, harness_work.plan, self.entries, judge=harness_work.judge)
        judged = walk.judged()
        walk.skipped |= self._unsure(judged.left)
        walk.skipped_second |= self._unsure(judged.second.left)
        return walk

    def _unsure(self, left: Sequence[Probe]) -> set[int]:
        """The probes of which nobody was sure, unless no other is left."""
        unsure = {
            (entry.red, entry.black)
            for entry in self.entries
            if entry.kind == EntryKind.PROBE and entry.seen == Seen.UNSURE
        }
        skipped = {probe.n for probe in left if (probe.red, probe.black) in unsure}
        return skipped if len(skipped) < len(left) else set()

    @property
    def is_rung_out(self) -> bool:
        """Whether every reading of the ring-out is right."""
        return not self.worked.too_large and self.walk.judged().verdict == Verdict.PASS


def worked_key(opened: OpenJob) -> tuple[str, ...]:
    """The marks of every entry that changes what `WorkedOut` works out."""
    entries = list(opened.job.entries)
    return tuple(e.own_mark for e in entries if e.kind in WORKED_FROM and not is_later(e))
