"""Where the work stands, for the head of every card."""

from __future__ import annotations

from dataclasses import dataclass

from wiremap.base import Severity
from wiremap.check import Checked, PaperVerdict

MOST_NAMED = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkState:
    """Where the work stands, in one sentence; `held` while an unsigned stop holds it."""

    words: str
    held: bool


def work_state(checked: Checked) -> WorkState:
    """The paper, what is surveyed, what is rung out, what nobody judged."""
    parts = [_paper(checked), _of("surveyed", checked.surveyed), _of("rung out", checked.rung_out)]
    if checked.not_judged:
        named = ", ".join(each.subject[0] for each in checked.not_judged[:MOST_NAMED])
        parts.append(f"not judged: {len(checked.not_judged)} ({named})")
    return WorkState(words="; ".join(parts) + ".", held=checked.verdict == PaperVerdict.HOLD)


def _of(what: str, counted: tuple[int, int]) -> str:
    done, every = counted
    return f"{what} {done} of {every}"


def _paper(checked: Checked) -> str:
    stops = [finding for finding in checked.findings if finding.holds]
    if checked.verdict == PaperVerdict.HOLD:
        more = f" and {len(stops) - 1} more" if len(stops) > 1 else ""
        return f"HOLD: {stops[0].message.rstrip('.')}{more}"
    unsigned = sum(
        finding.severity is Severity.CAUTION and finding.accepted is None
        for finding in checked.findings
    )
    if not unsigned:
        return "Paper in order"
    cautions = "caution" if unsigned == 1 else "cautions"
    return f"Paper in order, {unsigned} {cautions} unsigned"
