"""Where the work stands, for the head of every card."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wiremap.check import Checked, PaperVerdict
from wiremap.content.finding_cards import open_groups, open_words
from wiremap.content.grouped import Group

MOST_NAMED = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkState:
    """Where the work stands, in one sentence; `brief` above a card with its own work."""

    words: str
    brief: str
    held: bool  # by an unsigned stop, or by what was wrong at first power


def work_state(checked: Checked) -> WorkState:
    """The paper, what is surveyed, what is rung out, what nobody judged.

    What is open is counted as the card of the findings counts it.
    """
    at_power = checked.first_power.stamp("STEP ") if checked.first_power is not None else ""
    parts = [at_power] if at_power else []
    groups = open_groups(checked)
    is_held = checked.verdict == PaperVerdict.HOLD
    paper = f"HOLD: {open_words(len(groups))}" if is_held else _paper(checked, groups)
    brief = "; ".join((*parts, paper))
    parts.append(_paper(checked, groups))
    parts.append(f"wires surveyed {checked.surveyed}")
    parts.append(f"circuits rung out {checked.rung_out}")
    if checked.not_judged:
        named = ", ".join(next(iter(each.subject)) for each in checked.not_judged[:MOST_NAMED])
        parts.append(f"not judged: {len(checked.not_judged)} ({named})")
    held = bool(at_power) or is_held
    return WorkState(words="; ".join(parts) + ".", brief=f"{brief}.", held=held)


def _paper(checked: Checked, groups: Sequence[Group]) -> str:
    """Whether the paper is in order, else the gravest that holds it."""
    if checked.verdict == PaperVerdict.HOLD:
        stop = next(each.first for each in groups if each.first.holds)
        more = f"; {open_words(len(groups))}" if len(groups) > 1 else ""
        return f"HOLD: {stop.message.rstrip('.')}{more}"
    return f"Paper in order, {open_words(len(groups))}" if groups else "Paper in order"
