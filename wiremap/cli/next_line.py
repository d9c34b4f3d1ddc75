"""The last line that a command says to a person: what comes next."""

from __future__ import annotations

from wiremap.base import plural
from wiremap.check import Checked, check_harness
from wiremap.cli.common import say
from wiremap.evidence.opened import OpenJob


def tell_next(sentence: str) -> None:
    """Print what comes next, if there is anything to say."""
    if sentence:
        say(f"next: {sentence}")


def checked_of(opened: OpenJob) -> Checked:
    """The rule book's word on an opened job, with every notebook that counts here."""
    return check_harness(opened.harness)


def held_line(checked: Checked, meanwhile: str) -> str:
    """That a job is on hold and what that means for what is begun; empty if it is not."""
    stops = sum(finding.holds for finding in checked.findings)
    return f"HOLD, {plural(stops, 'stop')}: {meanwhile}" if stops else ""
