"""The bus pairs of a connector, and what a unit must bring between the two wires of one."""

from __future__ import annotations

import math
from collections.abc import Iterator

from wiremap.evidence.expected import TERMINATOR, Expected, Quantity, WhereRead
from wiremap.evidence.expected_ohms import inside_ohms
from wiremap.evidence.probe_points import ADAPTER, kind_of
from wiremap.graph import Harness
from wiremap.model import Address, Cavity, End, Job, Side, Span
from wiremap.rules.limits import limit

SOURCE = "ISO 11898-2: a bus is terminated by 120 ohm at each of its two ends"
TWO_TERMINATORS = Span(TERMINATOR.low / 2, TERMINATOR.high / 2)  # two of them side by side
AT_UNIT = "the unit's own plug, unmated"
BY_MACHINE_PAIR = (
    "the machine's pair about 60: over 1 kohm here; about 120: about 120 here; "
    "anything else, and any other figure there: stop, one terminator is too many or missing"
)


def bus_pairs(end: End) -> Iterator[tuple[Cavity, Cavity]]:
    """Each high with a low of its pair; where nobody names pairs, with the next low in order."""
    cavities = end.pinout.cavities.values()
    lows = [cavity for cavity in cavities if cavity.function == "can-low"]
    for high in cavities:
        if high.function != "can-high":
            continue
        low = next((low for low in lows if low.pair == high.pair), None)
        if low is not None:
            lows.remove(low)
            yield high, low


def unit_pairs(job: Job) -> Iterator[Expected]:
    """The ohms between the two wires of each bus that an adapter leads to a unit, in the unit.

    With the machine's own they decide how many terminators the bus has once all is mated.  Of a
    splice each half is read when it is cut.
    """
    harness = Harness(job)
    if kind_of(harness) != ADAPTER:
        return
    for end in job.ends.values():
        if end.side != Side.UNIT:
            continue
        stated = {frozenset((row.red, row.black)): row for row in inside_ohms(end)}
        for pair in bus_pairs(end):
            high, low = (Address(end.name, leg.name) for leg in pair)
            if harness.circuits_at(high) and harness.circuits_at(low):
                yield stated.get(frozenset((high, low))) or _wanted(harness, high, low)


def _wanted(harness: Harness, high: Address, low: Address) -> Expected:
    """What the unit must bring so that the bus has two terminators with those of the machine.

    No band where no paper tells the machine's, or where they are neither one nor two.
    """
    machine = harness.ohms(high, low, plugged=False)
    band = None
    if not math.isinf(machine.high) and machine.high < TERMINATOR.low:
        band = (
            Span(limit("no-terminator-ohms"), math.inf)
            if machine.overlaps(TWO_TERMINATORS)
            else None
        )
    elif machine.overlaps(TERMINATOR):
        band = TERMINATOR
    return Expected(
        red=high,
        black=low,
        quantity=Quantity.OHMS,
        band=band,
        source=SOURCE,
        where=WhereRead.PAIR,
    )
