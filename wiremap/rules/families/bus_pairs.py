"""Family `bus`: pairs that must stay pairs, at one bit rate."""

from __future__ import annotations

from wiremap.graph import Point
from wiremap.model import Address
from wiremap.rules.clash_kinds import ClashKind
from wiremap.rules.cure import SIGN, TAKE_APART, said_anew, typed
from wiremap.rules.families.metal_pairs import clash_hit, clashing
from wiremap.rules.pairs import Pair, bus_of, halves
from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.signals import Signal
from wiremap.rules.view import View
from wiremap.trade.functions import PAIR_HALVES

BUS = Family("bus", Matter.WORKING)
CAN = "ISO 11898-2"


def _landings(view: View, leg: Point) -> list[Signal]:
    """Halves of pairs that a leg of a pair meets on other connectors."""
    return [signal for signal in view.beside(leg.address) if signal.row.slug in PAIR_HALVES]


def _pair_at(view: View, signal: Signal) -> tuple[str, str | None]:
    """The connector and the pair that a half belongs to."""
    pinout = view.job.ends[signal.owner].pinout
    return signal.owner, signal.pair or pinout.segment_of(Address.read(signal.address).cavity)


@BUS.stop(
    "pair-parted",
    source=CAN,
    what="{pair} is parted: {a} goes to {one}, {b} goes to {other}",
    why="A bus works between the two wires of one pair; with its halves on two pairs both are "
    "dead.",
    fix="Bring both halves to the same pair." + TAKE_APART,
)
def pair_parted(view: View) -> Hits:
    """A pair whose halves land on two different pairs, or on two different connectors."""
    for pair in view.fixed(halves).pairs:
        high, low = (_landings(view, leg) for leg in pair.legs)
        of_high = {_pair_at(view, signal) for signal in high}
        if not high or not low or of_high == {_pair_at(view, signal) for signal in low}:
            continue
        astray = [signal for signal in low if _pair_at(view, signal) not in of_high] or low
        yield view.hit(
            pair.high.address,
            pair.low.address,
            place=view.place_of(astray[0].address),
            pair=pair.called,
            one=view.name(high[0].address),
            other=view.name(astray[0].address),
        )


@BUS.stop(
    "legs-crossed",
    source=CAN,
    what="{a} and {b} are joined: the wires of the pair are crossed{more}",
    why="High on low is no bus: nothing talks, and a colour that looks right does not help.",
    fix="Exchange the two wires; the half (high, low) counts, not the colour or the number."
    + TAKE_APART,
)
def legs_crossed(view: View) -> Hits:
    """The high half of a pair connected with a low half."""
    return (clash_hit(view, clash) for clash in clashing(view, ClashKind.LEGS_CROSSED))


@BUS.stop(
    "partner-missing",
    source=CAN,
    what="{a} is joined but {partner}",
    why="One wire of a pair carries nothing by itself.",
    fix="Join both halves of the pair or neither; what the other goes with"
    + said_anew("partner", of="bt"),
)
def partner_missing(view: View) -> Hits:
    """One half of a pair joined while the other is not, or is nowhere on the paper."""
    offered = view.fixed(halves)
    for pair in offered.pairs:
        open_legs = [leg.address for leg in pair.legs if not _is_on_a_circuit(view, leg)]
        if len(open_legs) != 1:
            continue
        other = open_legs[0]
        joined = next(leg.address for leg in pair.legs if leg.address != other)
        partner = f"its partner {view.name(other)} is not"
        yield view.hit(joined, other, also=view.described(other), partner=partner)
    for point in offered.single:
        if _is_on_a_circuit(view, point):
            yield view.hit(point.address, partner=f"{point.owner} describes no partner for it")


def _is_on_a_circuit(view: View, point: Point) -> bool:
    """Whether a half is joined, or meets a half on another connector."""
    return bool(view.net_of(point.address).circuits or _landings(view, point))


@BUS.stop(
    "bit-rates-unlike",
    source="ISO 11898-1",
    what="{a} talks at {one} kbit/s and {b} at {other} kbit/s, and they are connected",
    why="Two rates on one bus stop it for everybody on it.",
    fix="Put a gateway between them, or set both to one rate if their leaflets "
    "allow, and say it" + said_anew("kbit_s"),
)
def bit_rates_unlike(view: View) -> Hits:
    """Bus contacts of unlike bit rate that are connected; a half without one has its partner's."""
    rates = view.fixed(_rates)
    for net in view.nets:
        rated = [address for address in net.points if address in rates]
        first = rated[0] if rated else ""
        unlike = [address for address in rated if rates[address] != rates[first]]
        if unlike:
            other = unlike[0]
            yield view.hit(
                first,
                other,
                place=view.place_of(other),
                also=view.described(first, other),
                one=f"{rates[first]:g}",
                other=f"{rates[other]:g}",
            )


def _rates(view: View) -> dict[str, float]:
    """The bit rate of each bus contact by its address, its own or its partner's [kbit/s]."""
    rates: dict[str, float] = {}
    for pair in view.fixed(halves).pairs:
        stated = _stated_rates(pair)
        if stated:
            rates |= dict.fromkeys((leg.address for leg in pair.legs), stated[0])
    for point in view.points.values():
        if point.cavity is not None and point.cavity.kbit_s is not None:
            rates[point.address] = point.cavity.kbit_s
    return rates


@BUS.stop(
    "bit-rate-missing",
    source="ISO 11898-1",
    what="{pair}: nobody has stated the bit rate of {contacts}",
    why="Two rates on one bus stop it for everybody on it, and a wrong one shows only under power.",
    fix="Find it out and answer it" + typed(": wiremap next JOB --about {about}"),
)
def bit_rate_missing(view: View) -> Hits:
    """A joined CAN pair of which a side does not state its bit rate."""
    for pair in view.fixed(halves).pairs:
        if bus_of(pair.high) != "can" or _stated_rates(pair):
            continue
        if any(_landings(view, leg) for leg in pair.legs):
            legs = [leg.address for leg in pair.legs]
            contacts = " and ".join(map(view.name, legs))
            about = f"{legs[0]}.kbit_s"
            yield view.hit(*legs, pair=pair.called, contacts=contacts, about=about)


def _stated_rates(pair: Pair) -> list[float]:
    """The bit rates that the legs of a pair state [kbit/s], that of the high one first."""
    rates = [leg.cavity.kbit_s for leg in pair.legs if leg.cavity is not None]
    return [rate for rate in rates if rate is not None]


@BUS.caution(
    "bus-pair-open",
    source=CAN,
    what="{pair} is left open: neither {a} nor {b} is joined",
    why="A unit that hears nothing on its bus may stay dead, or fall into a set-up for "
    "emergencies.",
    fix="Join the pair, or sign why the unit does not need it" + SIGN,
)
def bus_pair_open(view: View) -> Hits:
    """Both wires of a unit's or module's bus pair left out by decision."""
    for pair in view.fixed(halves).pairs:
        end = view.job.ends[pair.end]
        legs = [leg.address for leg in pair.legs]
        left = all(leg in view.job.not_joined and not view.is_joined(leg) for leg in legs)
        if left and not end.is_machine:
            yield view.hit(*legs, pair=pair.called)
