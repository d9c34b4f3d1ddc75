"""What the notebook holds, laid into a sheet: each reading at its step, each deed, each stop.

A reading counts as it does for the verdict: what was struck out, is stale or was read before a
repair leaves its step empty.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from wiremap.content.filled_later import later_work
from wiremap.content.given import Given
from wiremap.content.joint_work import joint_numbers, said_step
from wiremap.content.pieces import Block, Sheet
from wiremap.content.power_cards import open_steps
from wiremap.content.probe_steps import AGAIN, FIRST
from wiremap.content.steps import Slot, Step, Steps, TwoNames
from wiremap.content.stops_passed import READ_ALOUD
from wiremap.content.survey_cards import COUNTED
from wiremap.content.words import listed, spaced
from wiremap.content.written import Written, plain, written
from wiremap.entries.courses import since_mended
from wiremap.entries.deeds import belongs, deed_alone, kept_deed
from wiremap.evidence.judged_reading import ReadingVerdict
from wiremap.evidence.probe_points import kind_of
from wiremap.evidence.reading_spot import Spot, probes_at, spot_of
from wiremap.evidence.survey_readings import judge_survey
from wiremap.firstpower.answering import answering
from wiremap.firstpower.deeds import NOT_SO, OF, step_words
from wiremap.firstpower.judge import power_judge
from wiremap.mistakes.drawn import Drawn, drawn_of
from wiremap.mistakes.expectation import Shows
from wiremap.model import EntryKind, Seen, Stop
from wiremap.ringout.probe import Probe
from wiremap.ringout.readings import History
from wiremap.ringout.taken import Taken

DONE = "done"
NOT_SO_WORDS = "not so: wrong"


def filled(sheet: Sheet, given: Given) -> Sheet:
    """The sheet with what the notebook holds."""
    kept = _Kept(given)
    sections = []
    for section in sheet.sections:
        blocks = tuple(kept.laid_into(block) for block in section.blocks)
        sections.append(replace(section, blocks=blocks))
    return replace(sheet, sections=tuple(sections))


class _Kept:
    """What the notebook holds, by the names that it has on the sheet."""

    def __init__(self, given: Given) -> None:
        self.readings = dict(_readings(given))
        self.deeds = {**dict(_deeds(given)), **dict(later_work(given))}
        self.signed = dict(_signed(given))
        self.joints = {f"J{n}": joint for joint, n in joint_numbers(given).items()}

    def laid_into(self, block: Block) -> Block:
        """A block with its steps filled in."""
        if not isinstance(block, (Steps, TwoNames)):
            return block
        steps = []
        joint = ""
        for step in block.steps:
            if not step.with_last:
                joint = self.joints.get(step.n, "")
            steps.append(self._step(step, joint))
        if isinstance(block, TwoNames):
            return replace(block, steps=tuple(steps), signed=self.signed.get(block.stop, ()))
        return replace(block, steps=tuple(steps))

    def _step(self, step: Step, joint: str) -> Step:
        """A step as it was read or done; `joint` is the one whose boxes it belongs to."""
        written = self.readings.get(step.n) or self._deed(step, joint)
        if written is None or step.slot is Slot.NONE:
            return step
        return replace(step, seen=written.text, by=written.by, wrong=written.wrong)

    def _deed(self, step: Step, joint: str) -> Written | None:
        """What was kept under the step's number, its words, or as a box of its joint."""
        names = [step.n, said_step(step)]
        if joint:
            names = [step.n, kept_deed(f"joint {joint}", step.want)]
        for name in names:
            if name and plain(name) in self.deeds:
                return self.deeds[plain(name)]
        return None


# -- readings -------------------------------------------------------------------------------------


def _readings(given: Given) -> Iterator[tuple[str, Written]]:
    """What was read, by the numbers that survey, ring-out and first power print."""
    yield from _survey_readings(given)
    yield from _ringout_readings(given)
    yield from _power_readings(given)


def _survey_readings(given: Given) -> Iterator[tuple[str, Written]]:
    if given.survey is None:
        return
    read: dict[Spot, Written] = {}
    for reading in judge_survey(given.job):
        wrong = reading.verdict is ReadingVerdict.CONTRADICTS
        if reading.verdict in COUNTED:
            read[spot_of(reading.entry)] = written(reading.entry, wrong=wrong)
    for row in given.survey.rows:
        spot = (probes_at((row.red, row.black)), row.block, row.key, row.state)
        if spot in read:
            yield f"S{row.n}", read[spot]


def rows_rung_out(given: Given) -> set[str]:
    """The numbers of the ring-out's rows, `RO1` and on, that the notebook has read as wanted."""
    return {
        name for name, each in _ringout_readings(given) if name.startswith(FIRST) and not each.wrong
    }


def _ringout_readings(given: Given) -> Iterator[tuple[str, Written]]:
    if given.plan is None:
        return
    drawn = drawn_of(given.harness, kind_of(given.harness))
    readings = History(drawn, given.plan, given.job.entries).readings
    read = {(_sides(r.red, r.black), r.state): r for r in readings}
    for probe in given.plan.probes:
        reading = read.get((_sides(probe.red, probe.black), probe.state))
        reading = reading or _covering(drawn, probe, readings)
        if reading is not None:
            yield f"{FIRST}{probe.n}", written(reading.entry, wrong=reading.agrees is False)
    for probe in given.plan.second:
        again = read.get((_sides(probe.red, probe.black), probe.state))
        if again is not None:
            yield f"{AGAIN}{probe.n}", written(again.entry, wrong=again.agrees is False)


def _power_readings(given: Given) -> Iterator[tuple[str, Written]]:
    """Figures read, and steps ticked that were not found wrong since."""
    current = since_mended(given.job.entries)
    found = answering(given.harness, current, given.power).read
    judged = power_judge(given.harness, current, given.power)
    wrong = {each.step.n for each in judged.wrong}
    for n, entry in found.items():
        yield f"P{n}", written(entry, wrong=n in wrong)
    by = {plain(e.what): e.by for e in current if e.kind == EntryKind.DONE}
    for step in judged.seen.not_so:
        eyes = by.get(plain(kept_deed(NOT_SO, step_words(step))), "")
        yield f"P{step.n}", Written(NOT_SO_WORDS, eyes, wrong=True)
    left = open_steps(given.power, current, judged)
    for step in given.power:
        hand = by.get(plain(kept_deed(OF, step_words(step))))
        if hand is not None and step not in left:
            yield f"P{step.n}", Written(DONE, hand)


def _covering(drawn: Drawn, probe: Probe, readings: Sequence[Taken]) -> Taken | None:
    """A silence between two combs that holds a probe's circuits apart as well."""
    if probe.expect is not Shows.SILENT:
        return None
    red, black = _nets(drawn, probe.red), _nets(drawn, probe.black)
    if not red or not black:
        return None
    for reading in readings:
        if not reading.agrees or reading.entry.seen != Seen.SILENT or reading.state != probe.state:
            continue
        one, other = _nets(drawn, reading.red), _nets(drawn, reading.black)
        if (red <= one and black <= other) or (red <= other and black <= one):
            return reading
    return None


def _nets(drawn: Drawn, points: Iterable[str]) -> set[int]:
    return {drawn.net_of[point] for point in points if point in drawn.net_of}


def _sides(red: tuple[str, ...], black: tuple[str, ...]) -> frozenset[frozenset[str]]:
    """Two combs, whichever probe is on which."""
    return frozenset({frozenset(red), frozenset(black)})


# -- deeds and stops ------------------------------------------------------------------------------


def _deeds(given: Given) -> Iterator[tuple[str, Written]]:
    """What was kept as done, by its words, and without what it was kept under."""
    for entry in given.job.entries:
        if entry.kind != EntryKind.DONE:
            continue
        written = Written(DONE, entry.by)
        yield plain(entry.what), written
        deed = deed_alone(entry)
        if deed and not belongs(entry, OF, NOT_SO):  # steps of first power share words: by number
            yield plain(deed), written


def _signed(given: Given) -> Iterator[tuple[Stop, tuple[str, ...]]]:
    """Who passed which two-name stop."""
    for entry in given.job.entries:
        if entry.kind == EntryKind.STOP_PASSED and entry.stop is not None:
            when = spaced(entry.date, entry.time)
            second = entry.second or (READ_ALOUD if entry.alone else "")
            yield entry.stop, (listed(entry.by, when), second)
