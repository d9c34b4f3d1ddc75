"""What was kept last, so that it can be taken back in one touch."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import NamedTuple

from wiremap.content.kept import entry_words
from wiremap.model import Entry, EntryKind, Notebook, Stop, same_person

BEFORE: Mapping[Stop | None, str] = MappingProxyType(
    {
        Stop.CUT: "the first cut",
        Stop.SLEEVES: "closing up",
        Stop.BATTERY: "the battery is joined",
        Stop.MATING: "the first unit is mated",
    }
)
SIGNED_TOGETHER = ("kind", "by", "date", "rule", "why", "how")  # alike in entries of one signature


@dataclass(frozen=True, slots=True, kw_only=True)
class LastKept:
    """The entries of the last answer, and how they read."""

    entries: tuple[Entry, ...]
    words: str

    @property
    def marks(self) -> str:
        """What names exactly these entries."""
        return "+".join(entry.own_mark for entry in self.entries)

    @property
    def kept_by(self) -> str:
        """Whose hand kept them: one answer is one person's."""
        *_, last = self.entries
        return last.by


class TakenBack(NamedTuple):
    """An entry that was struck out, and a sentence of what it said and who struck it out."""

    entry: Entry
    words: str


def last_kept(entries: Sequence[Entry]) -> LastKept | None:
    """The last answer among some entries; a signature under several findings is one."""
    if not entries:
        return None
    *before, last = entries
    group = [last]
    if last.kind == EntryKind.ACCEPT:
        for entry in reversed(before):
            if any(getattr(entry, name) != getattr(last, name) for name in SIGNED_TOGETHER):
                break
            group.append(entry)
    words = f"{_told(last)} ({last.by})"
    _, *like = group
    if like:
        words += f", and {len(like)} more"
    return LastKept(entries=tuple(reversed(group)), words=words)


def _told(entry: Entry) -> str:
    """An entry in the words of the card that it came from."""
    points = ", ".join(entry.points)
    if entry.kind == EntryKind.DONE:
        return f"ticked: {entry.what} {points}".strip()
    if entry.kind == EntryKind.STOP_PASSED:
        return f"the stop before {BEFORE[entry.stop]}, with {entry.second or 'nobody'}"
    return entry_words(entry)


def may_take_back(kept: LastKept, *, by: str, named: str) -> bool:
    """Whether somebody may take an answer back: his own, or another's who is there and `named`."""
    return any(same_person(name, kept.kept_by) for name in (by, named))


def taken_back(kept: LastKept, *, by: str, date: str) -> list[Entry]:
    """The entries that strike an answer out; nothing is deleted."""
    own = same_person(by, kept.kept_by)
    why = "taken back" if own else f"taken back together with {kept.kept_by}"
    return [
        Entry(kind=EntryKind.STRUCK_OUT, by=by, date=date, mark=entry.own_mark, why=why)
        for entry in kept.entries
    ]


def last_taken_back(notebook: Notebook) -> TakenBack | None:
    """The entry that was struck out last; None where something was kept since."""
    struck = next(reversed(notebook.entries), None)
    if struck is None or struck.kind != EntryKind.STRUCK_OUT:
        return None
    back = reversed(notebook.struck)
    found = next((entry for entry in back if entry.own_mark == struck.mark), None)
    if found is None:
        return None
    return TakenBack(found, f"{_told(found)}: taken back by {struck.by}")
