"""The four stops at which two people put their names before the work goes on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType

from wiremap.content.cards import Blank, Card, CardQuestion, Choice, mark_for
from wiremap.model import Entry, Stop

SECOND = Blank(name="second", words="the second name: who has looked at it with you")
LICENCE = Blank(
    name="licensed", words="which licence one of the two holds, unless the notebook knows it"
)
UNREAD = Blank(name="unread", words="why they are cut unread, for the verdict to show")
ALONE = Choice(value="alone", words="I work alone, and have looked at it a second time")
YOURS = "The first name is yours, as this device has it."
NEVER_ALONE = "A circuit of this job takes a licensed person: nobody passes this stop alone."
HEADINGS: Mapping[Stop, str] = MappingProxyType(
    {
        Stop.CUT: "Stop before the first cut",
        Stop.SLEEVES: "Stop before closing up",
        Stop.BATTERY: "Stop before the battery is joined",
        Stop.MATING: "Stop before the first unit is mated",
    }
)
LOOKED_AT: Mapping[Stop, tuple[str, ...]] = MappingProxyType(
    {
        Stop.CUT: (
            "Both read the moulded numbers of each connector aloud against its drawing.",
            "Both have read every caution. A wire that is cut cannot be measured as it was.",
        ),
        Stop.SLEEVES: (
            "The ring-out is right to its last reading.",
            "Both have tugged at every joint and contact: what is closed hides it.",
        ),
        Stop.BATTERY: (
            "Nothing is mated, the fuses are out, lamps stand in their place.",
            "Whatever can move is blocked, and nobody is near it.",
        ),
        Stop.MATING: (
            "Every reading at the open connectors is as it should be.",
            "The battery is off. What is mated wrongly now is the unit that breaks.",
        ),
    }
)


def stop_card(
    stop: Stop,
    entries: Iterable[Entry],
    lead: tuple[str, ...] = (),
    *,
    licensed: bool,
    unread: bool = False,
) -> Card:
    """One stop: what two people look at, and their names.

    With a circuit that takes a `licensed` person nobody passes it alone; with something `unread`
    nobody does without a reason.
    """
    before = sum(entry.stop == stop for entry in entries)
    ask = CardQuestion(
        mark=mark_for("stop", stop, str(before)),
        heading="Two names",
        lead=(YOURS, NEVER_ALONE) if licensed else (YOURS,),
        choices=() if licensed else (ALONE,),
        blanks=(SECOND, *((LICENCE,) if licensed else ()), *((UNREAD,) if unread else ())),
        of=stop,
    )
    return Card(heading=HEADINGS[stop], lead=(*LOOKED_AT[stop], *lead), asks=(ask,))


def is_passed(stop: Stop, entries: Iterable[Entry]) -> bool:
    """Whether a stop was passed in these entries."""
    return any(entry.passes == stop for entry in entries)
