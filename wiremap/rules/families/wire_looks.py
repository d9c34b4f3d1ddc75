"""Family `wire`: wires that look alike."""

from __future__ import annotations

from wiremap.rules.lookalikes import PLAIN_GROUNDS, Group, lookalikes, may_be_exchanged
from wiremap.rules.registry import Family, Hit, Hits, Matter
from wiremap.rules.view import View

WIRE = Family("wire", Matter.BENCH)
RETURNS = frozenset({"sensor-return", "signal-ground", "bus-ground"})
DRIVES = frozenset({"high-side-drive", "low-side-drive", "lamp-feed"})


@WIRE.caution(
    "colours-confused",
    what="{end}: wires that can be taken for one another: {wires}",
    why="Two wires that look alike are exchanged sooner or later, and colour is then no help in "
    "finding it.",
    fix="Flag them with their cavity first; tell them apart by {how}.",
)
def colours_confused(view: View) -> Hits:
    """Joined wires of one connector that look alike and must not be exchanged, one line a face."""
    for groups in view.once(lookalikes).values():
        risky = [group for group in groups if not may_be_exchanged(view, group)]
        if risky:
            how = "; ".join(dict.fromkeys(_apart(group) for group in risky))
            yield _colour_hit(view, risky, how=how)


@WIRE.note(
    "colour-repeated",
    matter=Matter.HOUSE,
    what="{end}: {wires} look alike; exchanging them changes nothing",
    why="One and the same circuit, or a loop that reads alike both ways, bears an exchange.",
    fix="Nothing need be done.",
)
def colour_repeated(view: View) -> Hits:
    """Joined wires of one connector that look alike but may be exchanged without harm."""
    for groups in view.once(lookalikes).values():
        harmless = [group for group in groups if may_be_exchanged(view, group)]
        if harmless:
            yield _colour_hit(view, harmless)


def _colour_hit(view: View, groups: list[Group], **facts: object) -> Hit:
    groups_told = []
    for group in groups:
        groups_told.append(" and ".join(f"{wire.cavity} ({wire.colour.word})" for wire in group))
    wires = [wire for group in groups for wire in group]
    addresses = dict.fromkeys(wire.point.address for wire in wires)
    end = wires[0].point.owner
    return view.described_hit(*addresses, end=end, wires="; ".join(groups_told), **facts)


def _apart(group: Group) -> str:
    """What a meter shows differently on wires of one colour."""
    functions = {wire.point.function for wire in group}
    if functions & PLAIN_GROUNDS and functions & RETURNS:
        return "ohms to chassis, battery off: the ground under 0.5 ohm, the return open"
    if any("supply" in function or function == "wake" for function in functions):
        return "volts to battery minus, ignition off and on"
    if functions <= DRIVES:
        return "unplugging one load and seeing which goes open"
    return "a beep from the contact itself, not by colour"
