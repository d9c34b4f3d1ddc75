"""One group of findings as a card: what, where, why, how to mend, and who signs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import dropwhile
from pathlib import PurePath
from urllib.parse import quote

from wiremap.base import Finding
from wiremap.check import Checked
from wiremap.content.cards import Blank, Card, CardLink, CardQuestion, mark_for
from wiremap.content.grouped import Group, told
from wiremap.content.question_cards import QUESTIONS
from wiremap.content.signing import may_be_signed, needs_licence, signed_apart
from wiremap.survey.questions import questions, questions_about

FINDINGS = "/findings"
MOST_ASKED = 3
MOST_PLACES = 6
WHY = Blank(name="why", words="why it may stay as it is (your name stands under it)", long=True)
LICENSED = Blank(
    name="licensed", words="which licence you hold for this work: what it is for, its number"
)
IN_FILE = "It is mended as told, then looked at again here; no signature waives it."


def finding_card(checked: Checked, at: str) -> Card:
    """The group that bears a mark, else the gravest that is open."""
    groups = open_groups(checked)
    if not groups:
        return Card(heading="No finding is open", through=True, lead=(_signed(checked),))
    first, *_ = groups
    group = next((each for each in groups if _mark(each) == at), first)
    _, *behind = dropwhile(lambda each: each is not group, groups)
    other = next(iter(behind), first)
    owed = tuple(_answered_at(checked, group))
    more = []
    if other is not group:
        words = f"look at another one: {other.first.message}"
        more.append(CardLink(path=f"{FINDINGS}?at={_mark(other)}", words=words))
    lead = (*_told(group), *(() if _signable(group) else (IN_FILE,)))
    heading = open_words(len(groups))
    if not _signable(group):
        heading = f"{group.severity}: {group.first.message}"
        return Card(heading=heading, lead=lead, owed=owed, more=tuple(more))
    blanks = (WHY, LICENSED) if needs_licence(group) else (WHY,)
    ask = CardQuestion(
        mark=_mark(group),
        heading=f"{group.severity}: {group.first.message}",
        lead=lead,
        blanks=blanks,
        of=group,
    )
    return Card(heading=heading, asks=(ask,), owed=owed, more=tuple(more))


def open_words(count: int) -> str:
    """How many findings are open; like ones are one."""
    return "1 finding is open" if count == 1 else f"{count} findings are open"


def open_groups(checked: Checked) -> tuple[Group, ...]:
    """The groups of findings that hold or wait for a name, the gravest first."""
    found = told(checked.findings)
    return signed_apart((*found.stops, *found.cautions), checked.harness)


def _answered_at(checked: Checked, group: Group) -> Iterator[CardLink]:
    """The open questions about what a finding speaks of: answered, it may need no signature."""
    asked = questions(checked.job) if checked.job is not None else ()
    subjects = (name for finding in group.findings for name in finding.subject)
    open_yet = [question for name in subjects for question in questions_about(asked, name)]
    for question in dict.fromkeys(open_yet[:MOST_ASKED]):
        path = f"{QUESTIONS}?at={quote(question.about)}"
        yield CardLink(path=path, words=f"first: answer it: {question.text}")


def _mark(group: Group) -> str:
    return mark_for("sign", group.rule, *(" ".join(f.subject) for f in group.findings))


def _signable(group: Group) -> bool:
    return all(may_be_signed(finding) for finding in group.findings)


def _told(group: Group) -> Sequence[str]:
    first = group.first
    lines = [f"where: {_where(each)}" for each in group.findings]
    lines = list(dict.fromkeys(lines))[:MOST_PLACES]
    if group.others:
        lines.append(f"likewise: {', '.join(group.others)}")
    if first.why:
        lines.append(f"why: {first.why}")
    if first.fix:
        lines.append(f"how to mend it: {first.on_paper}")
    return lines


def _where(finding: Finding) -> str:
    """What a finding speaks of; the file and line where it speaks of nothing by name."""
    place = finding.place
    if finding.subject or place is None:
        return ", ".join(finding.subject)
    return f"{PurePath(place.path).name}, line {place.line}"


def _signed(checked: Checked) -> str:
    count = sum(finding.accepted is not None for finding in checked.findings)
    return f"{count} were signed by name." if count else "Nothing had to be signed."
