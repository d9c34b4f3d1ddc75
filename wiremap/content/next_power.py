"""What a person does next when first power has been judged."""

from __future__ import annotations

from wiremap.check import Checked
from wiremap.content.next_step import KEEP, after_job
from wiremap.firstpower.judge import PowerVerdict


def after_power(checked: Checked, judged: PowerVerdict, *, saved: bool) -> str:
    """What comes next when readings of first power have been judged."""
    if not saved and not judged.halt:
        return KEEP
    return after_job(checked, judged)
