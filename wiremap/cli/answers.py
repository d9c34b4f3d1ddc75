"""The answers that `wiremap next` is given: typed or a batch, refused with reasons, saved."""

from __future__ import annotations

import argparse
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from wiremap.base import Finding, Place, fault
from wiremap.cli.common import note
from wiremap.cli.open_job import bare_names
from wiremap.cli.saving import entry_date, save, shown_name, typed_lines
from wiremap.evidence import SURE, answers, refusal, unfounded
from wiremap.evidence.one_reason import tells_of_one
from wiremap.evidence.opened import OpenJob, full_address
from wiremap.model import WHICH_LICENCE, Entry, EntryKind, named_licence
from wiremap.ringout.bench import open_questions
from wiremap.survey.together import EACH, EACH_HOW, each_how, spread, together

BETWEEN_ADDRESSES = ", "
MOST_TOLD = 8  # answers of a batch that are told one by one
HOW_MARK = re.compile(r";\s*how:")  # in a line of a batch, before how the answer was found


@dataclass(frozen=True, slots=True)
class TypedAnswer:
    """One answer: where it was written (None: in the call), what it speaks of, what it says, how it
    was found.
    """

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
    typed = _typed_answers(args, opened)
    if isinstance(typed, Finding):
        return [typed]
    refused = [
        *_answered_twice(opened, typed),
        *_not_allowed(opened, typed),
        *_unfounded(opened, typed),
        *_of_one_alone(opened, typed),
    ]
    if not refused and not args.by.strip():
        words = "an answer counts with a name under it; nothing was saved"
        refused = [fault("no-name", words, fix="add --by NAME")]
    if not refused and args.licensed.strip() and not named_licence(args.licensed):
        words = "that tells no licence; nothing was saved"
        refused = [fault("no-licence", words, fix=f"add --licensed with {WHICH_LICENCE}")]
    if refused:
        return refused
    kept = [_entry(args, opened, each) for each in typed]
    before = answers(opened.job)
    wrong = save(opened, kept)
    if wrong is not None:
        return [wrong]
    _tell_kept(opened, kept, before)
    return []


def _typed_answers(args: argparse.Namespace, opened: OpenJob) -> list[TypedAnswer] | Finding:
    if args.answer is None:
        return _batch_answers(args.batch, args.how)
    abouts: Sequence[str] = several(args.about or "")
    if not abouts:
        asked = together(open_questions(opened.job))
        if not asked:
            fix = "say what the answer speaks of with --about ADDRESS"
            return fault("no-question", "no question stands", fix=fix)
        abouts = asked[0].all_about
    spread_answers = spread(abouts, args.answer)
    if isinstance(spread_answers, str):
        return fault("answer-refused", f"{spread_answers}; nothing was saved", fix=EACH)
    return _with_how(None, spread_answers, args.how)


def _with_how(place: Place | None, said: Sequence[tuple[str, str]], how: str) -> list[TypedAnswer]:
    """The answers of one line, each with how it was found."""
    hows = each_how([about for about, _ in said], how)
    return [
        TypedAnswer(place, about, text, found)
        for (about, text), found in zip(said, hows, strict=True)
    ]


def several(about: str) -> list[str]:
    """The addresses that a call speaks of, parted by commas."""
    return [each.strip() for each in about.split(BETWEEN_ADDRESSES) if each.strip()]


def _batch_answers(path: str, how: str) -> list[TypedAnswer] | Finding:
    """The lines `ADDRESS: answer; how: words` of a batch file or of standard input (`-`).

    `#` is a remark; a line without a how of its own has the one of the call.
    """
    lines = typed_lines(path)
    if isinstance(lines, Finding):
        return lines
    answers_found: list[TypedAnswer] = []
    for place, line in lines:
        about, colon, answer = line.partition(" #")[0].partition(":")
        if not colon or not about.strip():
            return fault(
                "answer-unread",
                f"this is no answer: {line.strip()!r}; nothing was saved",
                place,
                fix="write it as: supply.volts: 24",
            )
        text, *told = HOW_MARK.split(answer, maxsplit=1)
        spread_answers = spread(several(about), text)
        if isinstance(spread_answers, str):
            return fault("answer-unread", f"{spread_answers}; nothing was saved", place, fix=EACH)
        found_how = told[0].strip() if told else how
        answers_found += _with_how(place, spread_answers, found_how)
    if not answers_found:
        words = "there is no answer in it"
        fix = "write lines such as: supply.volts: 24"
        return fault("answer-unread", words, Place(shown_name(path)), fix=fix)
    return answers_found


def _answered_twice(opened: OpenJob, typed: list[TypedAnswer]) -> list[Finding]:
    """A fault for every address that two lines answer: nobody can say which of them was meant."""
    first: dict[str, TypedAnswer] = {}
    faults = []
    for each in typed:
        address = full_address(opened, each.about)
        before = first.setdefault(address, each)
        if before is each:
            continue
        lines = f"line {before.line} (`{before.text}`) and line {each.line} (`{each.text}`)"
        words = f"{lines} both answer {each.about}; nothing was saved"
        fix = "keep one line for each address"
        faults.append(fault("answered-twice", words, each.place, fix=fix))
    return faults


def _not_allowed(opened: OpenJob, typed: list[TypedAnswer]) -> list[Finding]:
    """A fault for every answer that its question does not allow."""
    faults = []
    for each in typed:
        refused = refusal(opened.job, full_address(opened, each.about), each.text)
        if refused is not None:
            why, example = refused
            words = bare_names(opened, f"{why}; nothing was saved")
            faults.append(
                fault("answer-refused", words, each.place, fix=bare_names(opened, example))
            )
    return faults


def _unfounded(opened: OpenJob, typed: list[TypedAnswer]) -> list[Finding]:
    """A fault for every answer that would settle nothing without how it was found."""
    faults = []
    for each in typed:
        lacking = unfounded(opened.job, full_address(opened, each.about), each.text, each.how)
        if lacking is not None:
            words = f"{bare_names(opened, each.about)}: {lacking.why}; nothing was saved"
            begun = f"{SURE} " if SURE in lacking.fix else ""
            written = f"write behind the answer: ; how: {begun}..."
            fix = lacking.fix if each.place is None else written
            faults.append(fault("no-how", words, each.place, fix=fix))
    return faults


def _of_one_alone(opened: OpenJob, typed: Sequence[TypedAnswer]) -> list[Finding]:
    """A fault for words on how several were found out that tell of one of them alone."""
    alike: dict[str, list[TypedAnswer]] = {}
    for each in typed:
        alike.setdefault(each.how, []).append(each)
    faults = []
    for how, answered in alike.items():
        abouts = [full_address(opened, each.about) for each in answered]
        why = tells_of_one(opened.job, abouts, how)
        if why:
            words = bare_names(opened, f"{why}; nothing was saved")
            faults.append(fault("how-of-another", words, answered[0].place, fix=EACH_HOW))
    return faults


def _entry(args: argparse.Namespace, opened: OpenJob, typed: TypedAnswer) -> Entry:
    return Entry(
        kind=EntryKind.ANSWER,
        by=args.by,
        date=entry_date(args),
        how=typed.how,
        about=full_address(opened, typed.about),
        answer=typed.text,
        licensed=args.licensed.strip(),
    )


def _tell_kept(opened: OpenJob, kept: Sequence[Entry], before: Mapping[str, Entry]) -> None:
    """What was kept, like answers together, of many only how many; and which ones they replace."""
    where = f"kept in {opened.notebook.as_posix()}"
    alike: dict[tuple[str, str], list[str]] = {}  # by the answer, and what it takes the place of
    for entry in kept:
        alike.setdefault((entry.answer, _instead(entry, before)), []).append(entry.about)
    if len(alike) > MOST_TOLD:
        note(f"{where}: {len(kept)} answers")
        alike = {said: abouts for said, abouts in alike.items() if said[1]}
    for said, abouts in list(alike.items())[:MOST_TOLD]:
        note(bare_names(opened, f"{where}: {', '.join(abouts)}: {''.join(said)}"))


def _instead(entry: Entry, before: Mapping[str, Entry]) -> str:
    """Which answer this one takes the place of; empty if none."""
    old = before.get(entry.about)
    if old is None or old.answer == entry.answer:
        return ""
    return f" (instead of {old.answer}, {old.by or 'nobody named'})"
