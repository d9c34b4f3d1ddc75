"""What a person does next when first power has been judged."""

from __future__ import annotations

from wiremap.check import Checked
from wiremap.content.next_step import KEEP, after_job
from wiremap.firstpower.judge import PowerVerdict


def after_power(checked: Checked, judged: PowerVerdict, *, saved: bool) -> str:
    """What comes next when readings of first power have been judged."""
    if judged.wrong:
        return f"battery off, then find why this is wrong: step {judged.wrong[0].step.label}"
    if judged.seen.not_so:
        return f"battery off, then find why this is not so: {judged.seen.not_so[0].do}"
    if not saved:
        return KEEP
    return after_job(checked, judged)
