"""One job as the page works on it: read anew when its files changed, written to as the commands
write.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from wiremap.base import Finding
from wiremap.content.cards import Card, CardLink, CardQuestion
from wiremap.content.last_kept import (
    LastKept,
    last_kept,
    last_taken_back,
    may_take_back,
    taken_back,
)
from wiremap.content.work_state import WorkState, work_state
from wiremap.entries.notebook import numbered
from wiremap.evidence.opened import OpenJob, open_job, save
from wiremap.model import Entry
from wiremap.page.moment import Moment, WorkedOut, worked_key
from wiremap.page.stages import STAGES
from wiremap.page.stages.stage import FormAnswer, Hand, PageStage

ANSWERED_ELSEWHERE = (
    "this was answered meanwhile, here or on another screen: what follows is what is asked now, "
    "and nothing was kept twice"
)
TAKEN_BACK_ELSEWHERE = (
    "something was kept or taken back meanwhile: look at what was kept last before you take it back"
)
WITH_THAT_PERSON = "it is taken back only with that person, whose name is typed once more"
NOT_OFFERED = "this answer is not offered here: nothing was kept"
# the fields of a form are called by the name of a blank or CHOICE, BETWEEN, the question's mark
CHOICE = "choice"
BETWEEN = "-"


Stamp = tuple[str, tuple[int, int, int] | None]  # a file, with node, length and time if it is there


@dataclass(frozen=True, slots=True, kw_only=True)
class Snapshot:
    """A job as its files stood at one moment."""

    stamps: tuple[Stamp, ...]  # see `stamps` below
    now: Moment


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownCard:
    """A card with what stands around it: where the work stands, what was kept last."""

    card: Card
    state: WorkState
    last: LastKept | None
    last_words: str
    taken_back: str  # what was taken back last, and by whom


class UnreadJob(Exception):
    """The job cannot be read; the findings say where and how to mend it."""

    def __init__(self, findings: tuple[Finding, ...]) -> None:
        super().__init__("; ".join(found.message for found in findings))
        self.findings = findings


class Work:
    """A job and its notebook, one answer at a time; raises UnreadJob if the job cannot be read."""

    def __init__(self, path: str, method: str | None = None) -> None:
        self._path = path
        self._method = method
        self._lock = threading.RLock()
        self._worked: tuple[object, WorkedOut | None] = (None, None)
        self._snapshot = self._read()

    @property
    def title(self) -> str:
        """The job's title, or its file's name."""
        return self.now().opened.job.title or Path(self._path).name

    @property
    def folder(self) -> Path:
        """Where the job lies."""
        return Path(self._path).parent

    @property
    def path(self) -> Path:
        """The job file."""
        return Path(self._path)

    def state(self) -> WorkState:
        """Where the work stands."""
        with self._lock:
            return work_state(self.now().checked)

    def stamp(self) -> str:
        """What changes when an answer is kept, on whatever screen."""
        with self._lock:
            entries = self.now().entries
            return f"{len(entries)}-{entries[-1].own_mark if entries else ''}"

    def next_stage(self) -> CardLink | None:
        """The first stage at which something is left, and what."""
        with self._lock:
            now = self.now()
            for stage in STAGES:
                left = stage.left(now)
                if left:
                    return CardLink(path=stage.path, words=f"{stage.words}: {left}")
        return None

    def show(self, stage: PageStage, at: str) -> ShownCard:
        """The card of a stage."""
        with self._lock:
            now = self.now()
            last = self._last(stage)
            words = ""
            if last is not None:
                *_, newest = last.entries
                words = stage.told_of(now, newest) or last.words
            return ShownCard(
                card=stage.card(now, at),
                state=work_state(now.checked),
                last=last,
                last_words=words,
                taken_back=self._taken_back(stage),
            )

    def keep(
        self, stage: PageStage, form: Mapping[str, str], marks: Sequence[str], by: str
    ) -> list[str]:
        """Keep the answers of a form, all in one write; what there is to say of the rest."""
        with self._lock:
            now = self.now()
            asked = {ask.mark: ask for ask in stage.card(now, form.get("at", "")).asks}
            refusals: list[str] = []
            answers: list[tuple[CardQuestion, FormAnswer]] = []
            for mark in dict.fromkeys(marks):
                reply = form_answer(form, mark)
                if not reply.touched and not any(reply.typed.values()):
                    continue
                if mark not in asked:
                    refusals.append(ANSWERED_ELSEWHERE)
                elif reply.touched and not asked[mark].offers(reply.touched):
                    refusals.append(NOT_OFFERED)
                else:
                    answers.append((asked[mark], reply))
            taken = stage.take(now, answers, Hand(by=by, date=now.today))
            return list(dict.fromkeys([*refusals, *taken.refusals, *self._save(taken.entries)]))

    def undo(self, stage: PageStage, marks: str, by: str, named: str = "") -> list[str]:
        """Take back the last answer of a stage if it is still the one that was shown.

        What somebody else kept is taken back only with that person, who is `named` once more.
        """
        with self._lock:
            last = self._last(stage)
            if last is None or last.marks != marks:
                return [TAKEN_BACK_ELSEWHERE]
            if not may_take_back(last, by=by, named=" ".join(named.split())):
                return [f"{last.kept_by} kept this: {WITH_THAT_PERSON}"]
            return self._save(taken_back(last, by=by, date=self.now().today))

    def now(self) -> Moment:
        """The job as its files stand, read anew if one of them changed."""
        with self._lock:
            stands = self._snapshot.stamps == tuple(stamps(self._snapshot.now.opened))
            if not stands or self._snapshot.now.today != date.today().isoformat():
                self._snapshot = self._read()
            return self._snapshot.now

    def _last(self, stage: PageStage) -> LastKept | None:
        return last_kept([entry for entry in self.now().own_entries if stage.owns(entry)])

    def _taken_back(self, stage: PageStage) -> str:
        opened = self.now().opened
        own = opened.notebook.as_posix()
        for notebook in opened.job.notebooks:
            taken_back = last_taken_back(notebook) if notebook.path == own else None
            if taken_back is not None and stage.owns(taken_back.entry):
                return taken_back.words
        return ""

    def _save(self, entries: Iterable[Entry]) -> list[str]:
        """What went wrong while entries were written; nothing if they are on disk."""
        now = self.now()
        numbered_entries: list[Entry] = []
        for entry in entries:
            numbered_entries.append(numbered(entry, [*now.entries, *numbered_entries]))
        if not numbered_entries:
            return []
        fault = save(now.opened, numbered_entries)
        if fault is None:
            return []
        self._snapshot = self._read()
        return [f"not kept: {fault.message}", *([fault.fix] if fault.fix else [])]

    def _read(self) -> Snapshot:
        opened, findings = open_job(self._path)
        if opened is None:
            raise UnreadJob(findings)
        files = tuple(stamps(opened))
        notebooks = {notebook.path for notebook in opened.job.notebooks}
        papers = [(path, stands) for path, stands in files if path not in notebooks]
        key = (papers, worked_key(opened), findings)
        known, worked = self._worked
        if worked is None or known != key:
            before = worked.last_harness_work if worked else None
            worked = WorkedOut(opened, self._method, findings, before)
            self._worked = (key, worked)
        return Snapshot(stamps=files, now=Moment(opened, worked))


def form_answer(form: Mapping[str, str], mark: str) -> FormAnswer:
    """What a form says to one question."""
    typed = {}
    for key, text in form.items():
        name, between, of = key.partition(BETWEEN)
        if between and of == mark and name != CHOICE:
            typed[name] = text.strip()
    return FormAnswer(touched=form.get(f"{CHOICE}{BETWEEN}{mark}", ""), typed=typed)


def stamps(opened: OpenJob) -> Iterator[Stamp]:
    """What tells that a file of the job was changed."""
    pinouts = [end.pinout.path for end in opened.job.ends.values()]
    notebooks = [notebook.path for notebook in opened.job.notebooks]
    for path in dict.fromkeys((opened.job.path, *pinouts, *notebooks, str(opened.notebook))):
        try:
            status = os.stat(path)
        except OSError:
            yield path, None
        else:
            yield path, (status.st_ino, status.st_size, status.st_mtime_ns)
