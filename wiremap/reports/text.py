"""A report as text for a screen: every finding with its place, then a verdict line for each job."""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from wiremap.base import Accepted, Finding, Place, Severity, counted, only, visible
from wiremap.check import Checked, PaperVerdict, Report
from wiremap.content.next_papers import shown_path
from wiremap.content.read_as import read_as
from wiremap.content.stops_passed import passed
from wiremap.files.source import LINE_BREAK
from wiremap.model import Pinout
from wiremap.reports import screen
from wiremap.reports.screen import named_up_to
from wiremap.rules import NotJudged

MARGIN = 10  # columns beside a line of a file that is shown
EXCERPT = 90  # columns that are shown of it at most
BEFORE = 60  # columns shown before the spot, in a line too long to be shown whole
MOST_UNJUDGED = 3  # told in the verdict line
INK = {Severity.STOP: "31;1", Severity.CAUTION: "33;1", Severity.NOTE: "36;1"}
VERDICTS = {
    PaperVerdict.UNREAD: "could not be read",
    PaperVerdict.HOLD: "HOLD",
    PaperVerdict.IN_ORDER: "paper in order",
}
JOB_IN_CALL = re.compile(r"(wiremap \w+(?: --[\w-]+)*) JOB\b")  # as the rule book writes a command


def text(report: Report, *, colour: bool = False, quiet: bool = False) -> str:
    """The findings, heaviest first, each with its place and the spot marked; then the verdicts."""
    blocks = []
    for finding in report.findings:
        if finding.fault or not quiet:  # what could not be read is never kept quiet
            blocks.append("\n".join(_finding(finding, report, colour=colour)))
    if not quiet:
        blocks += [wordings(paper) for paper in report.papers]
    verdicts = ["\n".join((*_unjudged(job), verdict_line(job))) for job in report.jobs]
    if len(report.jobs) > 1:
        verdicts.append(summary_line(report))
    if report.others and not quiet:
        verdicts.append(others_line(len(report.others)))
    if report.not_ours and not quiet:
        verdicts.append(not_ours_line(len(report.not_ours)))
    if verdicts:
        lines = (line for told in verdicts for line in told.split("\n"))
        blocks.append("\n".join(row for line in lines for row in screen.fitted(line)))
    return "\n\n".join(blocks)


def said_of(verdict: object) -> str:
    """A verdict that stands in a file, in words; one that we do not know as it stands there."""
    known = {str(each): words for each, words in VERDICTS.items()}
    return known.get(str(verdict), str(verdict))


def wordings(paper: Pinout, *, most: int | None = None) -> str:
    """What each wording of a paper was read as; guesses are marked as what they are."""
    rows = read_as(paper)
    lines = screen.fitted(f"{visible(paper.title or paper.path)}: how each wording is read")
    for row in rows[:most]:
        lines += screen.wrapped(visible(row.told), lead=f"  {row.cavity}  ")
    if most is not None and len(rows) > most:
        lines.append(f"  and {len(rows) - most} more: --full tells them")
    return "\n".join(lines)


def verdict_line(job: Checked) -> str:
    """One job: its verdict, what was found, how much is read and rung out."""
    stops = sum(finding.severity is Severity.STOP for finding in job.findings)
    parts = [VERDICTS[job.verdict], f"{counted(stops, 'stop')}, {_cautions(job)}"]
    if job.not_judged:
        parts.append(_not_judged(job.not_judged))
    parts.append(f"surveyed {job.surveyed}, rung out {job.rung_out}")
    parts += _stops_passed(job)
    if job.first_power is not None and job.first_power.halt:
        parts.insert(0, job.first_power.stamp("STEP "))
    if job.digest:
        parts.append(f"hash {job.digest}")
    return f"{visible(job.path)}: {'; '.join(parts)}"


def _not_judged(unjudged: Sequence[NotJudged]) -> str:
    """How many things the papers leave unjudged, and the first whom it concerns, each once."""
    named = list(dict.fromkeys(visible(each.subject[0]) for each in unjudged))
    return f"{len(unjudged)} not judged: {named_up_to(named, MOST_UNJUDGED)}"


def _unjudged(job: Checked) -> Iterator[str]:
    """Everything that the papers leave unjudged, and why."""
    for words in unjudged_words(job):
        yield from _wrapped(words, "not judged: ", 12)


def unjudged_words(job: Checked) -> list[str]:
    """What a job leaves unjudged and why, its path in the commands."""
    path = shown_path(job.path)
    told = (f"{', '.join(each.subject)}: {each.told}" for each in job.not_judged)
    return [visible(JOB_IN_CALL.sub(lambda at: f"{at.group(1)} {path}", each)) for each in told]


def _cautions(job: Checked) -> str:
    words = counted(job.cautions, "caution")
    if not job.cautions:
        return words
    cautions = [found for found in job.findings if found.severity is Severity.CAUTION]
    signed = sum(found.accepted is not None for found in cautions)
    return f"{words} ({signed} signed)"


def _stops_passed(job: Checked) -> list[str]:
    """The two-name stops of the work that were passed; who was alone there is seen."""
    if job.harness is None:
        return []
    told = [visible(stop.words) for stop in passed(job.harness.job)]
    return [f"passed: {', '.join(told)}"] if told else []


def summary_line(report: Report) -> str:
    """All jobs in one line; what holds stands first."""
    tally = Counter(job.verdict for job in report.jobs)
    parts = [f"{tally[verdict]} {said}" for verdict, said in VERDICTS.items() if tally[verdict]]
    return f"{len(report.jobs)} jobs: {', '.join(parts)}"


def not_ours_line(count: int) -> str:
    """How many YAML files of the folders were passed over."""
    return f"{counted(count, 'file')} not ours"


def others_line(count: int) -> str:
    """How many files were looked at that no job names."""
    if count == 1:
        return "1 pinout or notebook that no job names, checked by itself"
    return f"{count} pinouts and notebooks that no job names, each checked by itself"


def mend_of(finding: Finding, report: Report) -> str:
    """How a finding is mended, the job's path in the commands where the report is of one job."""
    job = only(report.jobs)
    if job is None:
        return visible(finding.fix)
    path = shown_path(job.path)
    return visible(JOB_IN_CALL.sub(lambda found: f"{found.group(1)} {path}", finding.fix))


def _finding(finding: Finding, report: Report, *, colour: bool) -> Iterator[str]:
    word = finding.severity.value.upper()
    head = paint(word, finding.severity, colour=colour)
    yield from _wrapped(visible(finding.message), f"{head} ", len(word) + 1)
    rule = f"[{visible(finding.rule)}]"
    if finding.place is None:
        yield f"  {rule}"
    else:
        yield f"  {visible(str(finding.place))}  {rule}"
        yield from _excerpt(finding.place, report.texts)
    for place, said in finding.also:
        yield from screen.fitted(f"  {visible(str(place))}: {visible(said)}")
    if finding.why:
        yield from _lead("why", visible(finding.why))
    if finding.fix:
        yield from _lead("mend", mend_of(finding, report))
    if finding.accepted is not None:
        yield from _lead("signed", _signature(finding, finding.accepted))


def paint(word: str, severity: Severity, *, colour: bool) -> str:
    """A word in the colour of a weight, if colour may be used."""
    if not colour:
        return word
    return f"\x1b[{INK[severity]}m{word}\x1b[0m"


def _signature(finding: Finding, signed: Accepted) -> str:
    words = f"{visible(signed.by)}, {visible(signed.date)}: {visible(signed.why)}"
    if finding.severity is Severity.STOP and not finding.acceptable:
        words += " (does not count: nobody can sign this away)"
    return words


def _lead(word: str, words: str) -> list[str]:
    lead = f"  {word}: "
    return _wrapped(words, lead, len(lead))


def _wrapped(words: str, lead: str, indent: int) -> list[str]:
    first, *others = screen.filled(words, screen.width() - indent)
    return [lead + first, *(" " * indent + line for line in others)]


def _excerpt(place: Place, texts: Mapping[str, str]) -> Iterator[str]:
    """The line itself and a mark under the spot, cut to fit."""
    lines = LINE_BREAK.split(texts.get(place.path, ""))
    if not 1 <= place.line <= len(lines):
        return
    line = lines[place.line - 1]
    spot = place.col - 1
    room = min(screen.width() - MARGIN, EXCERPT)
    start = max(0, spot - min(BEFORE, room * 2 // 3)) if len(line) > room else 0
    shown = line[start : start + room]
    before = visible(shown[: spot - start])
    yield f"  {place.line:>5} {visible(shown)}"
    yield f"        {' ' * sum(map(_cells, before))}^"


def _cells(character: str) -> int:
    """How many places a character takes on a screen."""
    if unicodedata.combining(character):
        return 0
    return 2 if unicodedata.east_asian_width(character) in "WF" else 1
