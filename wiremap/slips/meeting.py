"""What a slip does by bringing together what was apart.

`base` is the job as drawn, `view` the job with the changed metals in it.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from wiremap.graph import Net
from wiremap.rules import View
from wiremap.rules.clash import POWER_GROUNDS, Clash, clashes_on
from wiremap.rules.clash_kinds import ClashKind
from wiremap.rules.signals import Signal
from wiremap.slips.effect import Effect, Gravity, named, spot, voltage

COMMON_METAL = frozenset({"ground", "supply", "shield", "coding", "loop", "nothing", "unknown"})
MOVING = frozenset({"high-side-drive", "low-side-drive", "brake", "steering", "start-supply"})
DELICATE = frozenset({"reference", "data", "bus"})  # classes of volts that the system's destroy
TOO_STRONG = frozenset({"sources-joined", "over-voltage", "supply-on-signal"})
MOST_SIGNALS = 40  # of one metal that are held against each other


def meeting(base: View, view: View, net: Net) -> Iterator[Effect]:
    """Everything on a changed metal that did not lie together as drawn."""
    yield from _clashes(base, view, net)
    drawn = base.harness.metals
    signals = view.signals(net)[:MOST_SIGNALS]
    for one, two in combinations(signals, 2):
        apart = drawn.of(one.address).points != drawn.of(two.address).points
        if one.row is two.row and apart:
            effect = _alike(one, two)
            if effect is not None:
                yield effect


def _clashes(base: View, view: View, net: Net) -> Iterator[Effect]:
    drawn = base.harness.metals
    for clash in clashes_on(view, net):
        own = drawn.of(clash.a.address).points
        if any(drawn.of(each).points != own for each in (clash.b.address, *clash.members)):
            yield _clash(clash)


def _clash(clash: Clash) -> Effect:
    """What two signals that must not meet do to each other."""
    hot, other = _hotter(clash.a, clash.b)
    pair = (clash.a.address, clash.b.address)
    one, two = named(hot), named(other)
    kind = clash.kind
    if kind == ClashKind.SUPPLY_TO_GROUND:
        return _to_ground(hot, other, pair)
    if kind in TOO_STRONG:
        return _too_strong(clash, pair)
    back = two if hot.row.slug in POWER_GROUNDS else one
    high_and_low = f"{spot(hot.address)}, {spot(other.address)}"
    effects = {
        ClashKind.RETURN_OFF_STAR: Effect(
            Gravity.QUIET, kind.value, f"load current runs through {back}: readings wander", pair
        ),
        ClashKind.MACHINE_PAIRS_JOINED: Effect(
            Gravity.HARM, kind.value, f"two buses of the machine touch: {one} and {two}", pair
        ),
        ClashKind.LEGS_CROSSED: Effect(
            Gravity.DEAD,
            "dead bus",
            f"high meets low ({high_and_low}): {_bus_of(hot, other)} is dead",
            pair,
        ),
        ClashKind.SENDERS_JOINED: Effect(
            Gravity.HARM, kind.value, f"{one} and {two} push against each other", pair
        ),
        ClashKind.FLOW_AGAINST_FLOW: Effect(
            Gravity.DEAD,
            "dead signal",
            f"{one} and {two} wait for each other: the signal is dead",
            pair,
        ),
    }
    return effects.get(kind) or _unlike(hot, other)


def _to_ground(hot: Signal, other: Signal, pair: tuple[str, str]) -> Effect:
    """What a supply and a ground that meet do: a short, or a load that gets nothing."""
    one, two = named(hot), named(other)
    if hot.drives:
        words = f"{one} is shorted to ground at {two}"
        return Effect(Gravity.HARM, "supply-to-ground", words, pair)
    lost = one if hot.is_positive else two
    words = f"{lost} is tied to ground and gets nothing"
    return Effect(Gravity.DEAD, "tied to ground", words, pair)


def _too_strong(clash: Clash, pair: tuple[str, str]) -> Effect:
    """What a signal does to one that stands less."""
    strong, weak = _stronger(*_hotter(clash.a, clash.b))
    if clash.kind == ClashKind.SUPPLY_ON_SIGNAL and not strong.drives:
        words = f"{named(strong)} hangs on {named(weak)} and gets no supply"
        return Effect(Gravity.DEAD, "no supply", words, pair)
    words = f"{voltage(strong)} reaches {named(weak)}"
    return Effect(Gravity.HARM, clash.kind.value, words, pair)


def _hotter(one: Signal, two: Signal) -> tuple[Signal, Signal]:
    """Two signals, first the one that is a source or drives."""
    if (one.is_source, one.drives) >= (two.is_source, two.drives):
        return one, two
    return two, one


def _stronger(one: Signal, two: Signal) -> tuple[Signal, Signal]:
    """Two signals, first the one that has more to give."""
    return (one, two) if _might(one) >= _might(two) else (two, one)


def _might(signal: Signal) -> tuple[bool, bool, float]:
    """What a signal has to give, to be compared: whether it drives, is a supply, and its volts."""
    volts = signal.volts.high if signal.volts else 0.0
    return signal.drives, signal.row.electrical == "supply", volts


def _unlike(one: Signal, two: Signal) -> Effect:
    """What two signals of unlike functions do to each other."""
    if one.row is two.row:
        same = _alike(one, two)
        if same is not None:
            return same
    pair = (one.address, two.address)
    strong, weak = _stronger(one, two)
    giver, taker = named(strong), named(weak)
    kinds = (strong.row.electrical, weak.row.electrical)
    if strong.drives and strong.row.volts == "system" and weak.row.volts in DELICATE:
        words = f"{voltage(strong)} reaches {taker}"
        return Effect(Gravity.HARM, "too many volts", words, pair)
    if "drive" in kinds and strong.drives:
        return Effect(Gravity.HARM, "wrong load", f"{taker} is driven by {giver}", pair)
    if "bus" in kinds:
        words = f"{giver} meets {taker}: {_bus_of(one, two)} is dead"
        return Effect(Gravity.DEAD, "dead bus", words, pair)
    if "loop" in kinds:
        stranger = taker if strong.row.electrical == "loop" else giver
        return Effect(Gravity.DEAD, "guard lost", f"the guard loop hangs on {stranger}", pair)
    spoiled = _spoiled(one, two) or _spoiled(two, one)
    words = spoiled or f"{taker} reads what {giver} gives"
    return Effect(Gravity.QUIET, "wrong reading", words, pair)


def _spoiled(one: Signal, other: Signal) -> str:
    """How a ground or a sensor supply spoils a reading; empty if it is neither."""
    if one.is_ground:
        return f"{named(other)} is tied to {named(one)} and reads nothing"
    if one.row.slug == "sensor-supply":
        return f"{named(one)} is joined to {named(other)}: the sensors are not fed"
    return ""


def _alike(one: Signal, two: Signal) -> Effect | None:
    """What two contacts of one function that were apart do; None where they may be joined."""
    if one.row.slug == "sensor-return" or one.row.electrical in COMMON_METAL:
        return None
    if one.row.electrical == "bus":
        return _buses(one, two)
    if one.drives != two.drives:
        sends, takes = (one, two) if one.drives else (two, one)
        return _wrong_partner(sends, takes)
    if not one.drives:
        return None
    words = f"{named(one)} and {named(two)} push against each other"
    return Effect(Gravity.HARM, "senders-joined", words, (one.address, two.address))


def _buses(one: Signal, two: Signal) -> Effect:
    """What two buses that meet do to each other."""
    pair = (one.address, two.address)
    words = f"{named(one)} lies on {named(two)}"
    if one.is_machine and two.is_machine:
        return Effect(Gravity.HARM, "machine-pairs-joined", f"{words}: two buses touch", pair)
    words += f": wrong bus, {_bus_of(one, two)} is dead"
    return Effect(Gravity.DEAD, "dead bus", words, pair)


def _bus_of(*signals: Signal) -> str:
    """Whose bus is spoilt: with a machine's own its other units are cut off too."""
    ours = all(each.side != "machine" for each in signals if each.row.electrical == "bus")
    return "the unit's bus" if ours else "the machine's bus, for its other units too,"


def _wrong_partner(sends: Signal, takes: Signal) -> Effect:
    """What comes of a sender that reaches the taker of another circuit."""
    pair = (sends.address, takes.address)
    giver, taker = named(sends), named(takes)
    if sends.row.slug in MOVING:
        words = f"{taker} works when {giver} is called for"
        return Effect(Gravity.HARM, "wrong load", words, pair)
    if sends.row.electrical == "lamp":
        return Effect(Gravity.QUIET, "wrong lamp", f"{taker} lights for {giver}", pair)
    return Effect(Gravity.QUIET, "wrong reading", f"{taker} reads what {giver} gives", pair)
