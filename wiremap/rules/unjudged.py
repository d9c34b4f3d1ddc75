"""What the papers of a job leave unjudged, each subject with its reason."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from wiremap.model import Cavity, End, EndKind, Need
from wiremap.rules.across import load_amps, parts_across
from wiremap.rules.asleep import asleep_unstated
from wiremap.rules.claims import measured, unread_claims
from wiremap.rules.diodes import diode_amps
from wiremap.rules.limits import limit
from wiremap.rules.ohmic import held_by_pulse
from wiremap.rules.outputs import outputs
from wiremap.rules.segments import segments
from wiremap.rules.signals import Signal
from wiremap.rules.sized import sizes
from wiremap.rules.terminator_places import unplaced
from wiremap.rules.unsaid import unsaid
from wiremap.rules.view import View
from wiremap.sizing.load import electrical_class
from wiremap.sizing.unjudged import About, NotJudged
from wiremap.trade.functions import FUNCTIONS

FUSE = "nobody states what fuse lies before it"
OUTPUT_FUSE = "nobody states what protects the wires behind the unit that feeds it"
LOAD = "nobody states what its load draws"
ONE_LOAD = "nobody states what one of its loads draws"
PEAK = "nobody states what its load draws at the first moment (`peak_amps`)"
BUNDLE = "nobody states how many loaded wires lie together"
AMBIENT = "nobody states how hot it gets where the wires lie"
RATING = "nobody states what it can give"
NEITHER = "nobody states what it can give, nor what its load draws"
CARRYING = ("supply", "ground")
DRAWS = "nobody states what it draws"


def not_judged(view: View) -> tuple[NotJudged, ...]:
    """Everything that the papers leave unjudged."""
    lacks = [*sizes(view).not_judged, *unjudged_protection(view), *unjudged_loads(view)]
    for lack in sizes(view).missing:
        if lack.subject in view.points or lack.subject in view.circuit_ids:
            lacks.append(_other(lack.subject, f"{lack.reason}; not sized: {lack.blocks}"))
    lacks += _live_lines(view, "drive", "input")
    lacks += [*_fed_by_units(view), *_contacts(view)]
    lacks += [*_outputs(view), *held_by_pulse(view), *_pairs(view), *unplaced(view)]
    lacks += [*_shields(view), *_by_hearsay(view), *unread_claims(view), *_left_by_need(view)]
    lacks += [*_through_resistors(view), *asleep_unstated(view), *unsaid(view)]
    return tuple(dict.fromkeys(lacks))


def unjudged_protection(view: View) -> list[NotJudged]:
    """The fed contacts and fuses whose protection of the wires behind them stays open."""
    return view.once(_unjudged_protection)


def _unjudged_protection(view: View) -> list[NotJudged]:
    open_yet = [each for each in sizes(view).not_judged if each.about == About.PROTECTION]
    return [
        *open_yet,
        *_live_lines(view, "lamp"),
        *_unknown_feeds(view),
        *_unknown_surroundings(view),
    ]


def _machine_signals(view: View) -> list[Signal]:
    """What the joined contacts of the machine carry."""
    signals = (view.signal(point.address) for point in view.joined())
    return [signal for signal in signals if signal is not None and signal.is_machine]


def _unknown_feeds(view: View) -> Iterator[NotJudged]:
    """Contacts of the machine that nobody knows, laid to what a unit is supplied by."""
    for signal in view.fixed(_machine_signals):
        if signal.row.slug != "unknown":
            continue
        beside = view.beside(signal.address)
        if any(s.listens and _takes_supply(view, s) for s in beside):
            yield NotJudged(subject=(signal.address,), why=FUSE, about=About.PROTECTION)


def _fed_by_units(view: View) -> Iterator[NotJudged]:
    """Supplies that a unit gives the machine: what protects their wires lies in the unit."""
    for signal in view.fixed(_machine_signals):
        if signal.row.electrical == "supply" and signal.listens:
            yield _other(signal.address, OUTPUT_FUSE)


def _takes_supply(view: View, signal: Signal) -> bool:
    """Whether a contact is a supply's, or may be: only words tell what draws so much there."""
    if signal.row.electrical == "supply":
        return True
    cavity = view.points[signal.address].cavity
    if cavity is None or cavity.amps is None or cavity.reading.how in ("stated", "mark"):
        return False
    return cavity.amps >= limit("loaded-amps")


def _unknown_surroundings(view: View) -> Iterator[NotJudged]:
    """Circuits that carry a load, while nobody states how hot and how crowded they lie."""
    around = view.job.surroundings
    least = limit("loaded-amps")
    loaded: dict[str, None] = {}
    for size in sizes(view).conductors.values():
        if size.amps is not None and size.amps >= least:
            loaded[size.circuit] = None
    if loaded and around.bundle is None:
        yield NotJudged(subject=tuple(loaded), why=BUNDLE, about=About.PROTECTION, of_bundle=True)
    if loaded and around.ambient_C is None:
        why = f"{AMBIENT}: {sizes(view).ambient_C:g} C was taken"
        yield NotJudged(subject=tuple(loaded), why=why, about=About.PROTECTION)


def unjudged_loads(view: View) -> list[NotJudged]:
    """Feeds, outputs and diodes of which one figure is stated and the other is not."""
    lacks = list(_unjudged_feeds(view))
    for output in outputs(view):
        drawn, rating = output.steady_amps(), output.cavity.amps
        if rating is not None and drawn is None and output.loads:
            lacks.append(_other(output.signal.address, LOAD))
        elif rating is None and drawn is not None:
            lacks.append(_other(output.signal.address, RATING))
        elif rating is not None and output.has_unknown_load:
            lacks.append(_other(output.signal.address, ONE_LOAD))
        elif output.cavity.peak_amps is not None and output.peak_amps() is None and output.loads:
            lacks.append(_other(output.signal.address, PEAK))
    for part in parts_across(view, "diode"):
        if diode_amps(view, part) is None:
            lacks.append(_other(part.extra.name, "nobody states what flows through it"))
    return lacks


def _unjudged_feeds(view: View) -> Iterator[NotJudged]:
    """Fed contacts whose load nobody states, or only a part of it."""
    for feed in sizes(view).feeds:
        supply = electrical_class(view.points[feed.address].function) == "supply"
        if not supply or feed.fuse_amps is None:
            continue
        if feed.load_amps is None:
            yield _other(feed.address, DRAWS)
        elif feed.undrawn:
            yield _other(feed.address, f"nobody states what is drawn at {', '.join(feed.undrawn)}")


def _live_lines(view: View, *kinds: str) -> Iterator[NotJudged]:
    """Lines of the machine of these kinds that are live and whose fuse nobody has stated."""
    judged = {feed.address for feed in sizes(view).feeds}
    for signal in view.fixed(_machine_signals):
        if signal.row.electrical not in kinds or signal.address in judged:
            continue
        if signal.is_positive and signal.drives:
            yield _other(signal.address, FUSE)


def _contacts(view: View) -> Iterator[NotJudged]:
    """Contacts of which nobody states the rating, the volts or the section, by end and lack."""
    lacking: dict[tuple[str, str], list[str]] = defaultdict(list)
    for point in view.joined():
        end, cavity = point.end, point.cavity
        if end is not None and cavity is not None and not end.is_machine:
            for lack in _contact_lacks(end, cavity):
                lacking[end.name, lack].append(point.address)
    for (_, lack), addresses in lacking.items():
        yield NotJudged(subject=tuple(addresses), why=lack, about=About.OTHER)


def _contact_lacks(end: End, cavity: Cavity) -> Iterator[str]:
    row = FUNCTIONS[cavity.function]
    if cavity.amps is not None and cavity.accepts.amps is None:
        yield "how many amps its contact takes is not stated"
    if cavity.amps is None and cavity.accepts.amps is not None and row.electrical in CARRYING:
        yield "what it carries is not stated: its contact is not judged"
    if cavity.volts is None and row.electrical in ("supply", "reference"):
        yield "its volts are not stated"
    if end.kind == EndKind.MATE and cavity.accepts.csa_mm2 is None:
        yield "which wires its contact takes is not stated"
    unsealed = end.kind != EndKind.MATE or end.pinout.connector.sealed is False
    if not unsealed and cavity.accepts.insulation_mm is None:
        yield "what its seal takes is not stated"
    size = cavity.wire.csa_mm2 if cavity.wire else None
    if size is None and end.has_tail and cavity.function == "power-ground":
        yield "the size of its wire is not stated: its return is not judged"


def _outputs(view: View) -> Iterator[NotJudged]:
    """Joined drives of which nobody states what they can give nor what their load draws."""
    for output in outputs(view):
        stated = (output.cavity.amps, output.steady_amps())
        if output.signal.row.electrical == "drive" and output.loads and stated == (None, None):
            yield _other(output.signal.address, NEITHER)


def _pairs(view: View) -> Iterator[NotJudged]:
    """Joined CAN pairs between whose own legs nobody states what lies."""
    known = {frozenset((bond.a, bond.b)) for bond in view.harness.bonds}
    for segment in view.once(segments):
        for pair in segment.pairs:
            legs = (pair.high.address, pair.low.address)
            if frozenset(legs) not in known:
                why = "the ohms between its two wires are not stated"
                yield NotJudged(subject=legs, why=why, about=About.OTHER)


def _shields(view: View) -> Iterator[NotJudged]:
    """Joined shields of which nobody states whether they are grounded at their own end."""
    known = {leg for bond in view.harness.bonds for leg in (bond.a, bond.b)}
    for point in view.joined():
        if FUNCTIONS[point.function].electrical == "shield" and point.address not in known:
            yield _other(point.address, "whether it is grounded at its own end is not stated")


def _by_hearsay(view: View) -> Iterator[NotJudged]:
    """Contacts nobody knows in circuits that somebody confirmed without measuring there."""
    known = view.fixed(measured)
    for point in view.joined():
        hearsay = point.function == "unknown" and view.is_confirmed(point.address)
        if hearsay and point.cavity is not None and point.address not in known:
            yield _other(point.address, "what it carries is confirmed, but nobody measured it")


def _left_by_need(view: View) -> Iterator[NotJudged]:
    """Supplies and grounds of units that are left open because their paper allows it."""
    for point in view.points.values():
        cavity, end = point.cavity, point.end
        if cavity is None or end is None or end.is_machine:
            continue
        if cavity.need is not Need.MAY:
            continue  # that of a unit stops, whether its paper says so or is silent
        carries = FUNCTIONS[cavity.function].electrical == "supply"
        left = not view.is_joined(point.address) and not view.idle_tap(point)
        if left and (carries or cavity.function == "power-ground"):
            yield _other(
                point.address, "it is left open: its paper says that the unit can do without"
            )


def _through_resistors(view: View) -> Iterator[NotJudged]:
    """Contacts that only a resistor brings their signal to: whether that is enough."""
    for part in parts_across(view, "resistor"):
        for one, other in part.sides():
            held = other.drivers or other.grounds
            if one.drivers and other.listeners and not held and load_amps(view, other) is None:
                why = f"whether enough reaches it through {part.extra.name} is not known"
                yield _other(other.listeners[0].address, why)


def _other(subject: str, why: str) -> NotJudged:
    return NotJudged(subject=(subject,), why=why, about=About.OTHER)
