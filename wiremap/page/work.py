"""One job as the page sees it: read anew when its files changed, written to as the commands
write.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from wiremap.base import Finding
from wiremap.check import check_job
from wiremap.content.cards import ReadingCard, RingoutCard, ringout_card
from wiremap.diagnose.walk import Walk
from wiremap.evidence.opened import OpenJob, open_job, save
from wiremap.model import Entry
from wiremap.reports.text import verdict_line
from wiremap.ringout.plan import Plan, plan

ANSWERED_ELSEWHERE = (
    "this reading was answered meanwhile, here or on another screen: what follows is what is asked"
    " now, and nothing was kept twice"
)
BOTH = "touch one answer or type the ohms, not both"


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """What came of an answer: what there is to say of it; nothing, if all was kept."""

    said: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Snapshot:
    """A job as its files stood at one moment."""

    seen: tuple[tuple[str, int, int, int], ...]
    opened: OpenJob
    plan: Plan


class Unread(Exception):
    """The job cannot be read; the findings say where and how to mend it."""

    def __init__(self, findings: tuple[Finding, ...]) -> None:
        super().__init__("; ".join(found.message for found in findings))
        self.findings = findings


class Work:
    """A job and its notebook, one answer at a time; raises Unread if the job cannot be read."""

    def __init__(self, path: str, method: str = "near") -> None:
        self._path = path
        self._method = method
        self._lock = threading.Lock()
        self._snapshot = self._read()

    @property
    def title(self) -> str:
        """The job's title, or its file's name."""
        return self._now().opened.job.title or Path(self._path).name

    def standing(self) -> str:
        """Where the ring-out stands, in one sentence."""
        counts = self._walk().judged().counts
        return f"{self.title}: {counts['pass']} of {counts['nets']} circuits rung out"

    def standing_lines(self) -> tuple[str, ...]:
        """The verdict of the paper and what the ring-out says, a sentence each."""
        checked = check_job(self._now().opened.filed)
        return (verdict_line(checked), *self._walk().judged().told())

    def ringout_card(self) -> RingoutCard:
        """The readings to take next."""
        return ringout_card(self._walk())

    def keep_ringout(self, form: Mapping[str, str], marks: tuple[str, ...], by: str) -> Kept:
        """Keep the answers of a form, each as an entry in the notebook, all in one write."""
        with self._lock:
            walk = self._walk()
            asked = {card.mark: card for card in ringout_card(walk).readings}
            said: list[str] = []
            entries: list[Entry] = []
            for mark in marks:
                typed = form.get(f"ohms-{mark}", "").strip()
                touched = form.get(f"seen-{mark}", "")
                if not typed and not touched:
                    continue
                if mark not in asked:
                    said.append(ANSWERED_ELSEWHERE)
                    continue
                if typed and touched:
                    said.append(f"{asked[mark].heading}: {BOTH}")
                    continue
                answer = answered(walk, asked[mark], typed or touched, by)
                if isinstance(answer, str):
                    said.append(f"{asked[mark].heading}: {answer}")
                else:
                    entries += answer
            said += self._saved(entries)
            return Kept(said=tuple(dict.fromkeys(said)))

    def undo_ringout(self, by: str) -> Kept:
        """Take the last answer back; nothing is deleted."""
        with self._lock:
            taken_back = self._walk().undo()
            if not taken_back:
                return Kept(said=("there is nothing to take back",))
            return Kept(said=self._saved(list(taken_back)))

    def _saved(self, entries: list[Entry]) -> tuple[str, ...]:
        """What went wrong while entries were written; nothing if they are on disk."""
        if not entries:
            return ()
        fault = save(self._now().opened, entries)
        if fault is None:
            return ()
        return (f"not kept: {fault.message}", *([fault.fix] if fault.fix else []))

    def _walk(self) -> Walk:
        now = self._now()
        entries = [e for notebook in now.opened.job.notebooks for e in notebook.entries]
        return Walk(now.opened.harness, now.plan, entries)

    def _now(self) -> Snapshot:
        """The job as its files stand, read anew if one of them changed."""
        if self._snapshot.seen != tuple(stamps(self._snapshot.opened)):
            self._snapshot = self._read()
        return self._snapshot

    def _read(self) -> Snapshot:
        opened, findings = open_job(self._path)
        if opened is None:
            raise Unread(findings)
        planned = plan(opened.harness, self._method)
        return Snapshot(seen=tuple(stamps(opened)), opened=opened, plan=planned)


def answered(walk: Walk, card: ReadingCard, text: str, by: str) -> tuple[Entry, ...] | str:
    """The entries that an answer comes to, or why it is none."""
    entries = walk.answer(card.turn, text, by, date.today().isoformat())
    if not entries:
        return walk.refused(card.turn, text)
    return entries


def stamps(opened: OpenJob) -> Iterator[tuple[str, int, int, int]]:
    """What tells that a file of the job was changed: its name, node, length and time."""
    pinouts = [end.pinout.path for end in opened.job.ends.values()]
    notebooks = [notebook.path for notebook in opened.job.notebooks]
    for path in dict.fromkeys((opened.job.path, *pinouts, *notebooks, str(opened.notebook))):
        try:
            found = os.stat(path)
        except OSError:
            yield path, 0, 0, 0
        else:
            yield path, found.st_ino, found.st_size, found.st_mtime_ns
