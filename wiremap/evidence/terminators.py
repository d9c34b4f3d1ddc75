"""What stands between the legs of a CAN pair inside a unit or behind a loom, as somebody tells it.

An answer about `donor.12.terminator`, the high half, says ohms or that there is none.
"""

from __future__ import annotations

from dataclasses import replace

from wiremap.base import only
from wiremap.entries.numbers import figures
from wiremap.evidence.answer_figures import FIGURES
from wiremap.model import OPEN, Cavity, End, Link, Span

TERMINATOR = "terminator"
NONE = "none"
WORDS = f"the ohms between the two wires (120 is one terminator), or {NONE}"


def low_half(end: End, high: Cavity) -> str | None:
    """The other half of a CAN pair by its high half; None where the paper does not tell which."""
    segment = end.pinout.segment_of(high.name)
    if high.function != "can-high":
        return None
    return only(
        low.name
        for low in end.pinout.cavities.values()
        if low.function == "can-low"
        and low.pair == high.pair
        and end.pinout.segment_of(low.name) == segment
    )


def is_told_between(end: End, high: Cavity) -> bool:
    """Whether papers, readings or answers tell what stands between the halves of a pair."""
    legs = {high.name, low_half(end, high)}
    pinout = end.pinout
    links = (*pinout.inside, *pinout.behind, *pinout.found)
    if any({link.a, link.b} == legs for link in links):
        return True
    return any({switch.a, switch.b} == legs for switch in pinout.switches.values())


def is_open_to_answer(end: End, high: Cavity) -> bool:
    """Whether an answer may tell what stands between the halves of a pair: no paper does."""
    legs = {high.name, low_half(end, high)}
    if None in legs:
        return False
    papers = (*end.pinout.inside, *end.pinout.behind)
    return not any({link.a, link.b} == legs and not link.answered for link in papers)


def told_ohms(text: str) -> Span | None:
    """The ohms that an answer tells; open where it says that there is none; None if it says
    nothing.
    """
    if text.strip().casefold() in (NONE, "no"):
        return OPEN
    return figures(text, FIGURES[TERMINATOR])


def with_terminator(end: End, high: Cavity, text: str) -> End:
    """The end with what an answer tells between the halves of a pair."""
    ohms, low = told_ohms(text), low_half(end, high)
    if ohms is None or low is None or not is_open_to_answer(end, high):
        return end
    told = Link(a=high.name, b=low, ohms=ohms, answered=True)
    if end.is_machine:
        return replace(end, pinout=replace(end.pinout, behind=_with(end.pinout.behind, told)))
    return replace(end, pinout=replace(end.pinout, inside=_with(end.pinout.inside, told)))


def _with(links: tuple[Link, ...], told: Link) -> tuple[Link, ...]:
    """The links with what was told last in the place of what was told before."""
    return (*(link for link in links if {link.a, link.b} != {told.a, told.b}), told)
