"""A check as a person takes it in: the verdict first, like things as one line, more on demand."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from wiremap.base import Severity, only, plural, visible
from wiremap.check import PaperVerdict, Report
from wiremap.content.grouped import Group, told
from wiremap.content.next_step import after_check, asked_contact
from wiremap.reports.screen import CALL, cut, filled, fitted, width, wrapped
from wiremap.reports.text import (
    mend_of,
    not_ours_line,
    others_line,
    paint,
    summary_line,
    unjudged_words,
    verdict_line,
    wordings,
)

MOST_NAMED = 6
WHOLE = 20  # lines: more than any sentence needs
MOST_LINES = 2  # of one group's sentence, of its cure, where there is no room for more
MOST_STOPS = 11
SCREEN = 38  # lines before what comes next, which takes two
ROOM_FOR_A_FACE = 30  # lines before it, at most
MOST_CAUTIONS = 6
MOST_UNJUDGED = 4
MOST_WORDINGS = 60
INDENT = " " * 8


@dataclass(frozen=True, slots=True)
class Room:
    """How much of a check is told: lines of one sentence, how many stops and cautions."""

    lines: int
    stops: int = MOST_STOPS
    cautions: int = MOST_CAUTIONS


# tried in this order until all fits a screen
ROOMS = (Room(WHOLE), Room(WHOLE, 8, 4), Room(4, 8, 4), Room(3, 8, 4))
TIGHT = Room(MOST_LINES)
TIGHTEST = Room(MOST_LINES, 8, 4)


def brief(report: Report, *, colour: bool = False) -> str:
    """The verdicts, then what holds, what is to be signed, and what comes next.

    Sentences are told whole where they fit a screen; else fewer of them, and at last their
    beginnings.
    """
    for room in (*ROOMS, TIGHT, TIGHTEST):
        blocks = _blocks(report, room, colour=colour)
        if _lines(blocks) <= SCREEN:
            break
    step = after_check(report)
    drawn = asked_contact(report)
    if drawn and _lines(blocks) <= ROOM_FOR_A_FACE:
        blocks.append("in brackets the contact that is asked about next:")
        blocks += [f"{INDENT}{visible(line)}" for line in drawn]
    if step:
        blocks += fitted(f"next: {visible(step)}")
    return "\n".join(block for block in blocks if block)


def _lines(blocks: Iterable[str]) -> int:
    return sum(block.count("\n") + 1 for block in blocks)


def _blocks(report: Report, room: Room, *, colour: bool) -> list[str]:
    """All that a check tells but for what comes next."""
    blocks = ["\n".join(line for told in _verdicts(report) for line in fitted(told))]
    found = told(report.findings)
    most = room.lines
    held = bool(found.stops)  # then cautions matter less: one of a kind is told, its likes counted
    beginning = 1 if held and room in (TIGHT, TIGHTEST) else most

    def named(group: Group) -> Iterator[str]:
        return _named(group, report, most, colour=colour)

    def counted(group: Group) -> Iterator[str]:
        return _counted(group, beginning, colour=colour)

    blocks += _groups(found.stops, room.stops, named)
    blocks += _groups(found.cautions, room.cautions, counted if held else named)
    rest = [*_unjudged(report), *_signed(found.signed), *_notes(found.notes)]
    if rest:
        blocks.append("\n".join(rest))
    blocks += [wordings(paper, most=MOST_WORDINGS) for paper in report.papers]
    return blocks


def _verdicts(report: Report) -> Iterator[str]:
    """What is said of each job; of many, those that hold, and the sum."""
    if len(report.jobs) > 1:
        yield summary_line(report)
        for job in report.jobs:
            if job.verdict != PaperVerdict.IN_ORDER or job.wrong_at_power:
                yield verdict_line(job)
    else:
        for job in report.jobs:
            yield verdict_line(job)
    if report.others and (report.jobs or len(report.others) > 1):
        yield others_line(len(report.others))
    if report.not_ours:
        yield not_ours_line(len(report.not_ours))


def _groups(
    groups: Sequence[Group], most: int, tell: Callable[[Group], Iterator[str]]
) -> Iterator[str]:
    for group in groups[:most]:
        yield "\n".join(tell(group))
    left = sum(len(group.findings) for group in groups[most:])
    if left:
        word = groups[most].severity.value
        yield f"and {left} more {word}{'' if left == 1 else 's'} of other kinds: --full tells them"


def _counted(group: Group, most: int, *, colour: bool) -> Iterator[str]:
    """One sentence for all of a kind, and how many like it there are."""
    _, *like = group.findings
    behind = f" (and {len(like)} like it)" if like else ""
    return _sentence(group, most, behind, colour=colour)


def _sentence(group: Group, most: int, behind: str, *, colour: bool) -> Iterator[str]:
    """The sentence of a kind in so many lines, with a few words behind it."""
    word = group.severity.value.upper()
    room = width() - max(len(word) + 1, len(INDENT)) - len(behind)
    *before, last = cut(filled(visible(group.first.message), room), most, room)
    first, *others = (*before, f"{last}{behind}")
    yield f"{paint(word, group.severity, colour=colour)} {first}"
    yield from (INDENT + line for line in others)


def _named(group: Group, report: Report, most: int, *, colour: bool) -> Iterator[str]:
    """One sentence for all of a kind, whom else it concerns, and how to mend a stop."""
    room = width() - len(INDENT)
    *before, last = _sentence(group, most, "", colour=colour)
    others = _likewise(group)
    with_others = f"{last}; {others}"
    if others and len(with_others) <= width():
        yield from (*before, with_others)
    else:
        yield from (*before, last)
        told = cut(filled(others, room), MOST_LINES, room) if others else []
        yield from (INDENT + line for line in told)
    place = group.first.place
    if group.first.fault and place is not None:
        yield f"{INDENT}{visible(str(place))}"
    if group.severity is Severity.STOP and group.first.fix:
        yield from (INDENT + line for line in _mend(mend_of(group.first, report), most, room))


def _mend(fix: str, most: int, room: int) -> list[str]:
    """How to mend a finding in so many lines; a command in it is not cut off."""
    lines = cut(filled(f"mend: {fix}", room), most, room)
    call = CALL.search(fix)
    if call is None or most < 2 or any(map(CALL.search, lines)):
        return lines
    return [*cut(filled(f"mend: {fix}", room), most - 1, room), call.group().strip()]


def _likewise(group: Group) -> str:
    """The subjects of the findings behind the first."""
    _, *more = group.findings
    if not more:
        return ""
    named = [visible(name) for name in group.others]
    if not named:
        return f"and {len(more)} more like it (--full)"
    shown = ", ".join(named[:MOST_NAMED])
    left = named[MOST_NAMED:]
    if left:
        return f"likewise {shown} and {len(left)} more (--full)"
    return f"likewise {shown}"


def _unjudged(report: Report) -> Iterator[str]:
    """What one job in order leaves unjudged, and what to do; before that its stops say more."""
    job = only(report.jobs)
    if job is not None and job.verdict == PaperVerdict.IN_ORDER:
        words = unjudged_words(job)
        for each in words[:MOST_UNJUDGED]:
            yield from wrapped(each, lead="not judged: ", most=MOST_LINES)
        if len(words) > MOST_UNJUDGED:
            yield f"and {len(words) - MOST_UNJUDGED} more not judged: --full tells them"


def _signed(groups: Iterable[Group]) -> Iterator[str]:
    """What was signed, by whom, in one line."""
    findings = [finding for group in groups for finding in group.findings]
    if not findings:
        return
    names = sorted({found.accepted.by for found in findings if found.accepted is not None})
    stops = sum(found.severity is Severity.STOP for found in findings)
    cautions = len(findings) - stops
    parts = [plural(n, word) for n, word in ((stops, "stop"), (cautions, "caution")) if n]
    yield f"signed: {' and '.join(parts)}, by {', '.join(map(visible, names))}"


def _notes(count: int) -> Iterator[str]:
    if count:
        yield f"{plural(count, 'note')} to read: --full tells everything"
