"""What a person does next when first power has been judged."""

from __future__ import annotations

from wiremap.check import Checked
from wiremap.content.next_papers import shown_path
from wiremap.content.next_step import KEEP
from wiremap.firstpower.judge import PowerVerdict


def after_power(checked: Checked, judged: PowerVerdict, *, saved: bool) -> str:
    """What comes next when readings of first power have been judged."""
    path = shown_path(checked.path)
    if judged.wrong:
        return f"battery off, then find why this is wrong: step {judged.wrong[0].step.label}"
    if judged.seen.not_so:
        return f"battery off, then find why this is not so: {judged.seen.not_so[0].do}"
    if not saved:
        return KEEP
    if judged.left:
        step = judged.left[0]
        return f"read step {step.n}, {step.label.partition('. ')[2]}"
    if judged.seen.stops:
        stop = judged.seen.stops[0]
        return (
            f"two people pass that stop: wiremap sign {path} --stop {stop} --by NAME --second NAME"
        )
    if judged.seen.left:
        n = judged.seen.left[0].n
        return (
            f"look, then write `{n} done` or `{n} not so`, a line each: "
            f"wiremap ringout {path} --power --readings FILE --save --by NAME"
        )
    return (
        f"share what was built: wiremap pack {path} -o FILE.zip --author NAME "
        "--licence CC-BY-4.0 --date DAY"
    )
