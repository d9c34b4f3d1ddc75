"""The answers that `wiremap next` is given: typed or a batch, refused with reasons, saved."""

from __future__ import annotations

import argparse
import re
from dataclasses import dataclass

from wiremap.base import Finding, Place, fault
from wiremap.cli.common import note
from wiremap.cli.open_job import shown
from wiremap.cli.saving import day, save, shown_name, typed_lines
from wiremap.evidence import SURE, answers, refusal, unfounded
from wiremap.evidence.opened import OpenJob, full_address
from wiremap.model import Entry, EntryKind
from wiremap.ringout.bench import open_questions

HOW = re.compile(r";\s*how:")  # in a line of a batch: what comes behind tells how it was found


@dataclass(frozen=True, slots=True)
class Said:
    """One answer: where it was written (None if typed), what it speaks of, what it says, how."""

    place: Place | None
    about: str
    text: str
    how: str

    @property
    def line(self) -> int:
        """Its line in the batch."""
        return self.place.line if self.place else 0


def take_answers(args: argparse.Namespace, opened: OpenJob) -> list[Finding]:
    """Save what was typed or stands in a batch; every reason why it cannot be kept, or none."""
    said = _said(args, opened)
    if isinstance(said, Finding):
        return [said]
    refused = [*_twice(opened, said), *_refused(opened, said), *_unfounded(opened, said)]
    if not refused and not args.by.strip():
        words = "an answer counts with a name under it; nothing was saved"
        refused = [fault("no-name", words, fix="add --by NAME")]
    if refused:
        return refused
    kept = [_entry(args, opened, each) for each in said]
    before = answers(opened.job)
    wrong = save(opened, kept)
    if wrong is not None:
        return [wrong]
    for entry in kept:
        _tell_kept(opened, entry, before.get(entry.about))
    return []


def _said(args: argparse.Namespace, opened: OpenJob) -> list[Said] | Finding:
    if args.answer is None:
        return _lines(args.batch, args.how)
    about = args.about
    if not about:
        asked = open_questions(opened.job)
        if not asked:
            fix = "say what the answer speaks of with --about ADDRESS"
            return fault("no-question", "no question stands", fix=fix)
        about = asked[0].about
    return [Said(None, about, args.answer, args.how)]


def _lines(path: str, how: str) -> list[Said] | Finding:
    """The lines `ADDRESS: answer; how: words` of a batch file or of standard input (`-`).

    `#` is a remark; a line without a how of its own has the one of the call.
    """
    lines = typed_lines(path)
    if isinstance(lines, Finding):
        return lines
    found = []
    for place, line in lines:
        about, colon, answer = line.partition(" #")[0].partition(":")
        if not colon or not about.strip():
            return fault(
                "answer-unread",
                f"this is no answer: {line.strip()!r}; nothing was saved",
                place,
                fix="write it as: supply.volts: 24",
            )
        text, *told = HOW.split(answer, maxsplit=1)
        found.append(Said(place, about.strip(), text.strip(), told[0].strip() if told else how))
    if not found:
        words = "there is no answer in it"
        fix = "write lines such as: supply.volts: 24"
        return fault("answer-unread", words, Place(shown_name(path)), fix=fix)
    return found


def _twice(opened: OpenJob, said: list[Said]) -> list[Finding]:
    """A fault for every address that two lines answer: nobody can say which of them was meant."""
    first: dict[str, Said] = {}
    faults = []
    for each in said:
        address = full_address(opened, each.about)
        before = first.setdefault(address, each)
        if before is each:
            continue
        lines = f"line {before.line} (`{before.text}`) and line {each.line} (`{each.text}`)"
        words = f"{lines} both answer {each.about}; nothing was saved"
        fix = "keep one line for each address"
        faults.append(fault("answered-twice", words, each.place, fix=fix))
    return faults


def _refused(opened: OpenJob, said: list[Said]) -> list[Finding]:
    """A fault for every answer that its question does not allow."""
    faults = []
    for each in said:
        refused = refusal(opened.job, full_address(opened, each.about), each.text)
        if refused is not None:
            why, example = refused
            words = shown(opened, f"{why}; nothing was saved")
            faults.append(fault("answer-refused", words, each.place, fix=shown(opened, example)))
    return faults


def _unfounded(opened: OpenJob, said: list[Said]) -> list[Finding]:
    """A fault for every answer that would settle nothing without how it was found."""
    faults = []
    for each in said:
        lacking = unfounded(opened.job, full_address(opened, each.about), each.text, each.how)
        if lacking is not None:
            words = f"{shown(opened, each.about)}: {lacking.why}; nothing was saved"
            begun = f"{SURE} " if SURE in lacking.fix else ""
            written = f"write behind the answer: ; how: {begun}..."
            fix = lacking.fix if each.place is None else written
            faults.append(fault("no-how", words, each.place, fix=fix))
    return faults


def _entry(args: argparse.Namespace, opened: OpenJob, said: Said) -> Entry:
    return Entry(
        kind=EntryKind.ANSWER,
        by=args.by,
        date=day(args),
        how=said.how,
        about=full_address(opened, said.about),
        answer=said.text,
    )


def _tell_kept(opened: OpenJob, entry: Entry, before: Entry | None) -> None:
    words = f"kept in {opened.notebook.as_posix()}: {entry.about}: {entry.answer}"
    if before is not None and before.answer != entry.answer:
        words += f" (instead of {before.answer}, {before.by or 'nobody named'})"
    note(shown(opened, words))
