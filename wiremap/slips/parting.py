"""What a slip does by parting what lay together.

`base` is the job as drawn, `view` the job with the changed metals in it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from wiremap.model import CHASSIS, Address
from wiremap.rules import View
from wiremap.rules.signals import Signal
from wiremap.slips.effect import Effect, Gravity, named, spot
from wiremap.slips.grounds import ground_points

TWO_WAY = frozenset({"bus", "loop"})  # whose two wires, crossed, still end on their like
OF_THE_MACHINE = frozenset({"bus", "loop", "drive"})  # what a machine's own contact can lose


def parting(base: View, view: View, touched: Iterable[str]) -> Iterator[Effect]:
    """What comes of each touched contact on whose metal nothing is left of what lay there."""
    for address in sorted(touched):
        signal = view.signal(Address.read(address))
        if signal is None or not _may_lose(signal):
            continue
        if _is_lost(base, view, signal):
            effect = _without_partner(base, signal)
            if effect is not None:
                yield effect


def _may_lose(signal: Signal) -> bool:
    """Whether anything is lost at a contact that is open: the machine's supply misses nothing."""
    if signal.address == CHASSIS:
        return False
    return not signal.is_machine or signal.row.electrical in OF_THE_MACHINE


def _is_lost(base: View, view: View, signal: Signal) -> bool:
    """Whether no signal of another end that lay on a contact's metal still does."""
    before = _strangers(base, signal)
    if not before:
        return False
    now = _strangers(view, signal)
    kind = signal.row.electrical
    if kind in TWO_WAY and any(other.row.electrical == kind for other in now):
        return False  # crossed, not open: told by what meets
    left = {other.address for other in now} & {other.address for other in before}
    return not left and not _reaches_stud(view, signal)


def _strangers(view: View, signal: Signal) -> list[Signal]:
    """The signals of other ends on a contact's metal."""
    net = view.net_of(signal.address)
    return [other for other in view.signals(net) if other.owner != signal.owner]


def _reaches_stud(view: View, signal: Signal) -> bool:
    points = view.net_of(signal.address).points
    return any(view.points[Address.read(point)].kind == "stud" for point in points)


def _without_partner(base: View, signal: Signal) -> Effect | None:
    """What comes of a contact that hangs loose; None where it is told otherwise."""
    point = (signal.address,)
    word = named(signal)
    kind = signal.row.electrical
    if kind == "coding":
        return None  # told by what it now selects
    if signal.address in base.fixed(ground_points):
        return None  # told of all grounds of its unit together
    if signal.row.slug == "wake" and kind == "input":
        words = f"{signal.owner} does not wake ({spot(signal.address)})"
        return Effect(Gravity.DEAD, "no wake", words, point)
    effects = {
        "supply": Effect(Gravity.DEAD, "no supply", f"{word} gets no supply", point),
        "bus": Effect(Gravity.DEAD, "dead bus", f"{word} is open: no bus there", point),
        "loop": Effect(
            Gravity.DEAD, "guard lost", f"{word} is open: the unit sees the guard lifted", point
        ),
        "drive": Effect(Gravity.DEAD, "no load", f"{word} does not work", point),
        "shield": Effect(
            Gravity.QUIET, "no shield", f"{word} hangs loose: the pair is not shielded", point
        ),
        "input": Effect(
            Gravity.QUIET, "wrong reading", f"{word} is open: readings are wrong", point
        ),
        "reference": Effect(
            Gravity.QUIET, "wrong reading", f"{word} is open: readings are wrong", point
        ),
    }
    return effects.get(kind) or Effect(Gravity.DEAD, "dead signal", f"{word} is open", point)
