"""Family `metal`: each metal by itself: is it fed, does it end somewhere, is its return as
strong.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from wiremap.graph import Net
from wiremap.model import Cavity, End, Extra
from wiremap.rules.cure import SIGN, said_anew, typed
from wiremap.rules.fed_units import fed_units, grounds_good_for
from wiremap.rules.limits import is_over, is_under, limit
from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.signals import Signal, direction
from wiremap.rules.sized import sizes
from wiremap.rules.view import View
from wiremap.trade.functions import FUNCTIONS

METAL = Family("metal", Matter.WORKING)


def _joined_nets(view: View) -> Iterator[tuple[Net, tuple[Signal, ...]]]:
    return (each for each in view.carried if each[0].circuits)


@METAL.caution(
    "nothing-feeds",
    what="nothing feeds {a}: no source is connected with it{more}",
    why="The supply contact is wired but stays dead.",
    fix="Say what feeds it" + said_anew("partner"),
)
def nothing_feeds(view: View) -> Hits:
    """A joined supply contact that no source is connected with."""
    for net, signals in _joined_nets(view):
        waiting = [s.address for s in signals if _waits_for_supply(s)]
        fed = _may_be_fed(signals) or _may_be_fed(view.beyond(net))
        if not waiting or fed or any(s.listens and s.is_machine for s in signals):
            continue
        rest = ", ".join(waiting[1:])
        yield view.hit(*waiting, more=f" (with it {rest})" if rest else "")


def _waits_for_supply(signal: Signal) -> bool:
    return signal.row.electrical == "supply" and signal.listens and not signal.is_machine


def _may_be_fed(signals: Iterable[Signal]) -> bool:
    return any(signal.drives or signal.row.electrical == "unknown" for signal in signals)


@METAL.stop(
    "machine-volts-unlike",
    matter=Matter.UNIT,
    what="{a} is stated with {volts}, but the machine's supply is {supply}",
    why="One of the two figures is wrong: what is made for the one dies of the other.",
    fix="Measure it and say the right volts"
    + said_anew("volts")
    + "; if both are true, a named person signs it"
    + SIGN,
)
def machine_volts_unlike(view: View) -> Hits:
    """A joined contact of the machine, fed or feeding, of more volts than the job's supply has."""
    supply = view.job.supply
    most = supply.max_volts or (supply.volts or 0.0) * limit("stands-over-nominal")
    for point in view.joined():
        signal = view.signal(point.address)
        stated = point.cavity.volts if point.cavity is not None else None
        if signal is None or stated is None or not most or not signal.is_machine:
            continue
        if signal.row.volts == "system" and stated.low > most:
            nominal = f"{supply.volts:g} V" if supply.volts else f"at most {most:g} V"
            yield view.described_hit(point.address, volts=f"{stated} V", supply=nominal)


@METAL.caution(
    "supply-over-range",
    matter=Matter.UNIT,
    what="{a} is made for {volts}, and the supply goes up to {most:g} V",
    why="A charging battery brings its highest volts for hours.",
    fix="Look the range up again in the unit's leaflet"
    + said_anew("volts")
    + "; say the most that the machine's supply has"
    + typed(": wiremap next JOB --about supply.max_volts")
    + "; or feed the unit through a converter.",
)
def supply_over_range(view: View) -> Hits:
    """A unit's joined supply whose stated range ends below what the job's supply goes up to."""
    most = view.job.supply.max_volts
    for point in view.joined():
        signal = view.signal(point.address)
        if most is None or signal is None or not _waits_for_supply(signal):
            continue
        volts = signal.volts
        if volts is not None and not volts.exact and is_over(most, volts.high):
            yield view.described_hit(point.address, volts=f"{volts} V", most=most)


@METAL.caution(
    "input-floating",
    what="input {a} is left floating",
    why="An open input picks up whatever is near and may read as on.",
    fix="Say what it goes with"
    + said_anew("partner")
    + ", or sign why the unit does not mind it open"
    + SIGN,
)
def input_floating(view: View) -> Hits:
    """A unit's input that is connected with nothing else, or which is left open by a written
    decision.
    """
    for net, signals in view.carried:
        for signal in signals:
            if _is_unit_input(signal) and _is_alone(view, net, signal):
                yield view.hit(signal.address)


def _is_unit_input(signal: Signal) -> bool:
    return signal.row.electrical == "input" and not signal.is_machine and signal.listens


def _is_alone(view: View, net: Net, signal: Signal) -> bool:
    if not net.circuits:
        return signal.address in view.job.not_joined
    return all(s.owner == signal.owner for s in (*view.signals(net), *view.beyond(net)))


@METAL.caution(
    "return-weaker",
    matter=Matter.UNIT,
    what="the return of {owner} is weaker than what feeds it: {back} back against {out} in",
    why="The same current flows back as flows out; the thin return heats and lifts the unit's "
    "ground.",
    fix="Join all ground contacts of {owner}, or use a return at least as thick as its feeds.",
)
def return_weaker(view: View) -> Hits:
    """The joined ground contacts of a unit, or a restricted return, thinner altogether than the
    supplies they serve.
    """
    for end in view.job.ends.values():
        if end.is_machine:
            continue
        joined = [c for c in end.pinout.cavities.values() if view.is_joined(f"{end.name}.{c.name}")]
        feeds = [cavity for cavity in joined if _feeds_unit(cavity, end)]
        grounds = [cavity for cavity in joined if cavity.function == "power-ground"]
        yield from _weaker(view, end, feeds, grounds)
        for back in joined:
            served = [cavity for cavity in joined if cavity.name in back.serves and _loads(cavity)]
            yield from _weaker(view, end, served, [back])


def _feeds_unit(cavity: Cavity, end: End) -> bool:
    """Whether a contact of a unit takes a supply or a lamp's feed in."""
    takes = FUNCTIONS[cavity.function].electrical in ("supply", "lamp")
    return takes and direction(cavity, end.side) != "from-unit"


def _loads(cavity: Cavity) -> bool:
    """Whether a current flows out there that a return has to bear; an input takes none."""
    return FUNCTIONS[cavity.function].electrical in ("supply", "lamp", "reference", "drive")


def _weaker(view: View, end: End, feeds: list[Cavity], backs: list[Cavity]) -> Hits:
    """A hit where returns are thinner than the feeds they serve, and nothing excuses it."""
    feed_sizes, back_sizes = _sizes(feeds), _sizes(backs)
    if not feed_sizes or not back_sizes:
        return
    out, back = sum(feed_sizes), sum(back_sizes)
    if not is_under(back, out):
        return
    if not is_under(back, max(feed_sizes)) and _bears_load(view, end, feeds, backs):
        return
    if _gives_it_away(view, end, feeds, backs):
        return
    subject = [f"{end.name}.{cavity.name}" for cavity in backs]
    yield view.hit(*subject, owner=end.name, back=f"{back:g} mm2", out=f"{out:g} mm2")


def _gives_it_away(view: View, end: End, feeds: list[Cavity], backs: list[Cavity]) -> bool:
    """Whether a unit hands on all but a little of what it is fed, so that it flows back by its
    loads' own grounds; what a fault in it brings back is held against its fuse elsewhere.
    """
    unit = next((each for each in fed_units(view) if each.name == end.name), None)
    if unit is None or not unit.given_amps or any(each.amps is None for each in feeds):
        return False
    grounds = {point.address.cavity for point in unit.grounds}
    good = grounds_good_for(view, unit)
    own = grounds == {cavity.name for cavity in backs}
    little = limit("loaded-amps")
    return own and good is not None and not is_over(unit.returned_amps, min(good, little))


def _bears_load(view: View, end: End, feeds: list[Cavity], backs: list[Cavity]) -> bool:
    """Whether every feed states its current and the returns carry all of it together."""
    amps = [cavity.amps for cavity in feeds]
    addresses = [f"{end.name}.{cavity.name}" for cavity in backs]
    carries = [
        size.ampacity_amps
        for size in sizes(view).conductors.values()
        if size.subject in addresses and size.ampacity_amps is not None
    ]
    if None in amps or len(carries) < len(backs):
        return False
    return sum(filter(None, amps)) <= sum(carries)


def _sizes(cavities: list[Cavity]) -> list[float]:
    """The sections of the wires in mm2; none at all if one of them is not known."""
    known = [cavity.wire.csa_mm2 for cavity in cavities if cavity.wire and cavity.wire.csa_mm2]
    return known if len(known) == len(cavities) else []


@METAL.note(
    "two-fuses",
    matter=Matter.HOUSE,
    what="{a} is fed through {fuses}",
    why="With two fuses in a row either may open; side by side they do not share the load evenly.",
    fix="Write both ratings on the sheet, the smaller one nearest to what it guards.",
)
def two_fuses(view: View) -> Hits:
    """A circuit with two fuses of the job, or one behind a named fuse of the machine."""
    for net, signals in _joined_nets(view):
        own = list(view.extras(net, "fuse"))
        sources = [s for s in signals if s.is_source]
        for fed in (s for s in signals if own and sources and s.listens):
            before = [sources[0].fuse] if sources[0].fuse else []
            fuses = [*before, *_on_the_way(view, own, sources[0].address, fed.address)]
            if len(fuses) > 1:
                yield view.hit(fed.address, fuses=" and ".join(fuses))
                break


def _on_the_way(view: View, fuses: Sequence[Extra], source: str, fed: str) -> list[str]:
    """The fuses between a source and what it feeds, those that lie side by side included."""
    sections = view.harness.sections
    on = [step.part for step in view.harness.way(source, fed) or () if isinstance(step.part, Extra)]
    crossed = [{sections.of(leg).name for leg in fuse.legs} for fuse in on]
    return [fuse.name for fuse in fuses if {sections.of(leg).name for leg in fuse.legs} in crossed]
