"""The answers that `wiremap next` is given: typed or a batch, refused with reasons, saved."""

from __future__ import annotations

import argparse
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from wiremap.base import Finding, Place, fault
from wiremap.cli.common import note
from wiremap.cli.open_job import shown
from wiremap.cli.saving import day, save, shown_name, typed_lines
from wiremap.evidence import SURE, answers, refusal, unfounded
from wiremap.evidence.opened import OpenJob, full_address
from wiremap.model import WHICH_LICENCE, Entry, EntryKind, named_licence
from wiremap.ringout.bench import open_questions
from wiremap.survey.together import EACH, spread, together

BETWEEN_ADDRESSES = ", "
MOST_TOLD = 8  # answers of a batch that are told one by one
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
    if not refused and args.licensed.strip() and not named_licence(args.licensed):
        words = "that tells no licence; nothing was saved"
        refused = [fault("no-licence", words, fix=f"add --licensed with {WHICH_LICENCE}")]
    if refused:
        return refused
    kept = [_entry(args, opened, each) for each in said]
    before = answers(opened.job)
    wrong = save(opened, kept)
    if wrong is not None:
        return [wrong]
    _tell_kept(opened, kept, before)
    return []


def _said(args: argparse.Namespace, opened: OpenJob) -> list[Said] | Finding:
    if args.answer is None:
        return _lines(args.batch, args.how)
    abouts: Sequence[str] = several(args.about or "")
    if not abouts:
        asked = together(open_questions(opened.job))
        if not asked:
            fix = "say what the answer speaks of with --about ADDRESS"
            return fault("no-question", "no question stands", fix=fix)
        abouts = asked[0].all_about
    said = spread(abouts, args.answer)
    if isinstance(said, str):
        return fault("answer-refused", f"{said}; nothing was saved", fix=EACH)
    return [Said(None, about, text, args.how) for about, text in said]


def several(about: str) -> list[str]:
    """The addresses that a call speaks of, parted by commas."""
    return [each.strip() for each in about.split(BETWEEN_ADDRESSES) if each.strip()]


def _lines(path: str, how: str) -> list[Said] | Finding:
    """The lines `ADDRESS: answer; how: words` of a batch file or of standard input (`-`).

    `#` is a remark; a line without a how of its own has the one of the call.
    """
    lines = typed_lines(path)
    if isinstance(lines, Finding):
        return lines
    found: list[Said] = []
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
        said = spread(several(about), text)
        if isinstance(said, str):
            return fault("answer-unread", f"{said}; nothing was saved", place, fix=EACH)
        found_how = told[0].strip() if told else how
        found += [Said(place, each, answered, found_how) for each, answered in said]
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
        licensed=args.licensed.strip(),
    )


def _tell_kept(opened: OpenJob, kept: Sequence[Entry], before: Mapping[str, Entry]) -> None:
    """What was kept, like answers together, of many only how many; and which ones they replace."""
    where = f"kept in {opened.notebook.as_posix()}"
    alike: dict[tuple[str, str], list[str]] = {}
    for entry in kept:
        alike.setdefault((entry.answer, _instead(entry, before)), []).append(entry.about)
    if len(alike) > MOST_TOLD:
        note(f"{where}: {len(kept)} answers")
        alike = {said: abouts for said, abouts in alike.items() if said[1]}
    for said, abouts in list(alike.items())[:MOST_TOLD]:
        note(shown(opened, f"{where}: {', '.join(abouts)}: {''.join(said)}"))


def _instead(entry: Entry, before: Mapping[str, Entry]) -> str:
    """Which answer this one takes the place of; empty if none."""
    old = before.get(entry.about)
    if old is None or old.answer == entry.answer:
        return ""
    return f" (instead of {old.answer}, {old.by or 'nobody named'})"
