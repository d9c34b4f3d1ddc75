"""What comes off the machine's plugs before they are read, and what goes out of them again."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.content.given import Given
from wiremap.content.steps import Slot, Step
from wiremap.content.words import ALL_OFF, ALL_ON, listed, sentence_case
from wiremap.model import EndKind
from wiremap.survey.lock_out import AT_BATTERY

UNPLUGGED = {  # what comes off before a breakout lead goes on
    EndKind.CUT_TAIL: "old unit unplugged; breakout lead into this plug",
    EndKind.TAP: "nothing plugged in; breakout lead into its face",
    EndKind.MATE: "the machine's own plug: pulled off what it feeds; breakout lead into it",
}
SOURCES_ON = f"{sentence_case(ALL_ON)}; ignition, lights and every switch off."
RUN_ON = f"Ignition off; waited as long as the units run on; {ALL_OFF}"


def unplugged(given: Given) -> Iterator[Step]:
    """What comes off each plug of the machine that is read: never while it is live."""
    yield Step(text=RUN_ON, slot=Slot.BLANK, unit="min", note=AT_BATTERY)
    for end in given.surveyed_ends:
        if end.kind in UNPLUGGED:
            yield Step(at=end.name, text=UNPLUGGED[end.kind])
    yield Step(text=SOURCES_ON)


def leads_out(given: Given) -> Iterator[Step]:
    """The breakout leads come out of plugs that stay the machine's; a cut one goes with its own."""
    stay = [end.name for end in given.surveyed_ends if end.kind == EndKind.MATE]
    if stay:
        yield Step(text=f"Breakout lead out of {listed(*stay)}, the plug kept clean.")
