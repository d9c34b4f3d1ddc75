"""The order of the work once the papers are in order: where a job stands, and what comes next."""

from __future__ import annotations

from enum import IntEnum, auto
from typing import TYPE_CHECKING

from wiremap.base import numbers_told
from wiremap.check import Checked
from wiremap.content.next_papers import shown_path
from wiremap.content.stops_passed import owed_before, passed, unread_at_cut
from wiremap.evidence import entries
from wiremap.evidence.probe_points import ADAPTER, kind_of
from wiremap.model import EndKind, Stop
from wiremap.ringout.bench import ASKED_OF, bench_questions
from wiremap.survey.size_questions import of_fuses_back

if TYPE_CHECKING:
    from wiremap.firstpower.judge import PowerVerdict
    from wiremap.firstpower.step import PowerStep
    from wiremap.graph import Harness


class Due(IntEnum):
    """What comes next in the work; the members stand in the order in which it is done."""

    SURVEY = auto()
    BENCH = auto()  # what is at the bench is asked: the sheet goes by it
    CUT = auto()  # the two-name stop
    BUILD = auto()
    RING_OUT = auto()
    SLEEVES = auto()  # the two-name stop
    SECOND = auto()  # the ring-out after the sleeves
    FUSES = auto()  # which of them go back is asked
    POWER = auto()  # with its stops before the battery and before mating


DONE = "nothing is left: every reading is in order, every stop is passed"


def due_of(checked: Checked) -> Due:
    """How far the work on a job has come; its papers are in order."""
    rung_out = checked.rung_out
    if not rung_out.done:
        before = _before_the_build(checked)
        if before is not None:
            return before
    if Stop.CUT in _owed(checked):
        return Due.CUT
    if rung_out.done < rung_out.of:
        return Due.RING_OUT if rung_out.done else Due.BUILD
    if Stop.SLEEVES in _owed(checked):
        return Due.SLEEVES
    if lacks_second(checked):
        return Due.SECOND
    job = checked.job
    return Due.FUSES if job is not None and any(of_fuses_back(job)) else Due.POWER


def _before_the_build(checked: Checked) -> Due | None:
    """What is read and asked before anything is built; None if nothing is left of it."""
    surveyed = checked.surveyed
    if surveyed.done < surveyed.of and not (_is_cut(checked) and not unread_at_cut(checked)):
        return Due.SURVEY
    if checked.rung_out.of and _bench_is_open(checked):
        return Due.BENCH
    return None


def _is_cut(checked: Checked) -> bool:
    """Whether the stop before the cut is passed: what is cut is read no more as it was."""
    return checked.job is not None and any(each.stop is Stop.CUT for each in passed(checked.job))


def _bench_is_open(checked: Checked) -> bool:
    """Whether nobody has said what holds circuits together, or what the beeper does."""
    job = checked.job
    return job is not None and bool(bench_questions(job, entries(job, *ASKED_OF)))


def _owed(checked: Checked) -> tuple[Stop, ...]:
    """The stops before the battery that nobody has passed."""
    return () if checked.job is None else owed_before(checked.job, Stop.BATTERY)


def lacks_second(checked: Checked) -> bool:
    """Whether the ring-out after the sleeves is not read to its end, each reading in order."""
    from wiremap.diagnose.judge import judge  # half of a cold start, needed late in the work
    from wiremap.diagnose.verdict import Verdict  # as above
    from wiremap.ringout.plan import TooLarge  # as above

    if checked.harness is None:
        return False
    try:
        second = judge(checked.harness, list(checked.harness.job.entries)).second
    except TooLarge:
        return False
    return second.verdict != Verdict.PASS


def before_stop(checked: Checked, stop: Stop) -> str:
    """What is read before a two-name stop and is not yet; empty where the stop may be passed.

    What is to be read before the cut is told at that stop itself.
    """
    if stop is Stop.CUT:
        return ""
    wrong = halted(checked)
    if wrong:
        return wrong
    due = due_of(checked)
    if due is Due.CUT:
        return ""
    if due < (Due.SLEEVES if stop is Stop.SLEEVES else Due.POWER):
        return in_work(checked, due)
    judged = _judged(checked.harness) if stop in (Stop.BATTERY, Stop.MATING) else None
    if judged is None or judged.due is None or stop not in judged.seen.stops:
        return ""
    if isinstance(judged.due, Stop) and not judged.seen.before_battery:
        return ""
    return at_power(checked, judged)


# -- in words -------------------------------------------------------------------------------------


def in_work(checked: Checked, due: Due, *, printed: bool = False) -> str:
    """What comes next in one sentence with its command; `printed`: the sheet is there."""
    if due is Due.POWER:
        return at_power(checked)
    path = shown_path(checked.path)
    adapter = checked.harness is not None and kind_of(checked.harness) == ADAPTER
    joint = "contact" if adapter else "joint"
    closed = "it is closed up" if adapter else "the sleeves are shrunk"
    close = "close it up" if adapter else "shrink the sleeves"
    sheet = "" if printed else f"print the sheet (wiremap sheet {path} -o sheet.pdf), then "
    said = {
        Due.SURVEY: f"read what the survey still lacks, {_when_surveyed(checked)}: "
        f"wiremap survey {path}",
        Due.BENCH: f"say what is at the bench, the sheet goes by it: wiremap next {path} --by NAME",
        Due.CUT: f"{sheet}two people pass the stop before the cut: {_pass(path, Stop.CUT)}",
        Due.BUILD: f"{sheet}build by it, then {ring_out(path)}",
        Due.RING_OUT: ring_out(path),
        Due.SLEEVES: f"two people look at every {joint} before {closed}: "
        f"{_pass(path, Stop.SLEEVES)}",
        Due.SECOND: f"{close}, then read again while you move each wire by hand: "
        f"wiremap ringout {path} --walk --by NAME",
        Due.FUSES: "say which fuses go back, first power goes by it: "
        f"wiremap next {path} --by NAME",
    }
    return said[due]


def ring_out(path: str) -> str:
    """How a ring-out is done."""
    return f"ring out one probe at a time: wiremap ringout {path} --walk --by NAME"


def halted(checked: Checked, judged: PowerVerdict | None = None) -> str:
    """What comes before all else as something at first power was wrong; empty where nothing was.

    `judged` is the verdict over first power, that of the check if not given.
    """
    judged = judged or checked.first_power
    if judged is None or not judged.halt:
        return ""
    path = shown_path(checked.path)
    mended = f"wiremap next {path} --mended POINT --by NAME"
    return f"{judged.halt}; when it is mended: {mended} (if only misread: --strike MARK instead)"


def at_power(checked: Checked, judged: PowerVerdict | None = None) -> str:
    """What comes next in first power; `judged` is its verdict, worked out if not given."""
    if judged is None:
        judged = _judged(checked.harness)
    path = shown_path(checked.path)
    due = None if judged is None else judged.due
    if due is None:
        return DONE
    steps = f"wiremap ringout {path} --power"
    hands = numbers_told(step.n for step in judged.seen.before_battery) if judged else ""
    if hands:
        begin = f"first power: do its steps before the battery ({steps})"
        return f"{begin}, then type `{hands} done`: {steps} --readings - --save --by NAME"
    if isinstance(due, Stop):
        return f"two people pass the stop before {due}: {_pass(path, due)}"
    return _step_words(due, f"{steps} --readings FILE --save --by NAME")


def _step_words(step: PowerStep, save: str) -> str:
    n = step.n
    if step.quantity:
        return f"first power, read step {n}, {step.label.partition('. ')[2]}: {save}"
    return f"first power, {step.do}: look, then write `{n} done` or `{n} not so`: {save}"


def _pass(path: str, stop: Stop) -> str:
    return f"wiremap sign {path} --stop {stop} --by NAME --second NAME"


def _judged(harness: Harness | None) -> PowerVerdict | None:
    """The verdict over first power as the notebooks tell it."""
    from wiremap.firstpower.judge import power_judge  # sizes the job, needed late in the work

    return None if harness is None else power_judge(harness, harness.job.entries)


def _when_surveyed(checked: Checked) -> str:
    ends = checked.job.ends.values() if checked.job is not None else ()
    if _is_cut(checked):
        return "while nothing is cut (its stop was passed without it, and without a reason)"
    is_cut = any(end.kind is EndKind.CUT_TAIL for end in ends)
    return "before the cut" if is_cut else "on the machine"
