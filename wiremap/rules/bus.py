"""Family `bus`: pairs that must stay pairs, end in two terminators, and keep their twist and shield."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from wiremap.base import Severity
from wiremap.graph import Net, Point, span_ohms
from wiremap.model import CHASSIS, Circuit, Span
from wiremap.rules.clash import PAIRED, clashes
from wiremap.rules.metal import clash_hit
from wiremap.rules.registry import Hit, rule
from wiremap.rules.signals import Signal
from wiremap.rules.view import View

CAN_CABLE = "ISO 11898-2 (terminators 100 to 130 ohm, read in reprints)"
# Two terminators of 100 to 130 ohm side by side; what a node without one adds (10 kohm and more) is within the band.
LEAST_OHMS, MOST_OHMS = 100 / 2, 130 / 2
LONGER_MM, FAR_MM = 50.0, 100.0  # vehicle workshop texts on repairing a pair, read
STUB_MM = ((250.0, 1000.0), (1000.0, 300.0))  # up to kbit/s: longest stub; SAE J1939-11 and ISO 11898, read
FEW_OHMS = 1.0  # a drain's way to ground


@dataclass(frozen=True, slots=True)
class Pair:
    """Both halves of one bus at one connector."""

    end: str
    name: str | None
    high: Point
    low: Point

    @property
    def legs(self) -> tuple[Point, Point]:
        """High, low."""
        return self.high, self.low

    @property
    def called(self) -> str:
        """The pair as a person calls it."""
        return f"{self.end} pair {self.name}" if self.name else f"{self.high.address} with {self.low.address}"


def _half(point: Point) -> str | None:
    cavity = point.cavity
    assert cavity is not None
    slug = cavity.function
    if slug in ("can-high", "j1850-plus"):
        return "high"
    if slug in ("can-low", "j1850-minus"):
        return "low"
    polarity = cavity.reading.qualifier("polarity") if slug == "differential-data" else None
    return {"plus": "high", "minus": "low", "high": "high", "low": "low", "a": "high", "b": "low"}.get(polarity or "")


def _family(point: Point) -> str:
    return point.function.split("-")[0]


@dataclass(frozen=True, slots=True)
class Halves:
    """What the connectors offer: whole pairs, and halves whose partner their paper does not show."""

    pairs: tuple[Pair, ...]
    single: tuple[Point, ...]


def halves(view: View) -> Halves:
    """Every pair of every end, by its `pair` name, or by being the only two halves there."""
    pairs: list[Pair] = []
    single: list[Point] = []
    for end in view.job.ends.values():
        found: dict[tuple[str, str | None], dict[str, Point]] = defaultdict(dict)
        for cavity in end.pinout.cavities.values():
            if cavity.function in PAIRED:
                point = view.points[f"{end.name}.{cavity.name}"]
                half = _half(point)
                if half is not None:
                    found[_family(point), cavity.pair or end.pinout.segment_of(cavity.name)].setdefault(half, point)
        for (family, name), both in found.items():
            if len(both) == 2:
                pairs.append(Pair(end.name, name, both["high"], both["low"]))
            elif family != "j1850":  # J1850 also runs on its plus line alone
                single += both.values()
    return Halves(tuple(pairs), tuple(single))


def _joined(view: View, point: Point) -> bool:
    return bool(view.net_of(point.address).circuits)


def _landings(view: View, point: Point) -> list[Signal]:
    return [s for s in view.signals(view.net_of(point.address)) if s.owner != point.owner and s.row.slug in PAIRED]


@rule("pair-parted", Severity.STOP, family="bus", source="ISO 11898-2",
      what="{pair} is parted: {a} goes to {one}, {b} goes to {other}",
      why="A bus works between the two wires of one pair; with its halves on two pairs both are dead.",
      fix="Bring both halves to the same pair.")
def pair_parted(view: View) -> Iterator[Hit]:
    """A pair whose halves land on two different pairs, or on two different connectors."""
    for pair in view.fixed(halves).pairs:
        high, low = (_landings(view, leg) for leg in pair.legs)
        if not high or not low:
            continue
        where = [{(s.owner, s.pair or view.job.ends[s.owner].pinout.segment_of(s.address.partition(".")[2])) for s in x}
                 for x in (high, low)]
        if where[0] != where[1]:
            guilty = next((s for s in low if (s.owner, s.pair) not in where[0]), low[0])
            yield Hit(view.place_of(guilty.address), (pair.high.address, pair.low.address),
                      {"pair": pair.called, "a": view.name(pair.high.address), "b": view.name(pair.low.address),
                       "one": view.name(high[0].address), "other": view.name(guilty.address)})


@rule("legs-crossed", Severity.STOP, family="bus", source="ISO 11898-2",
      what="{a} and {b} are joined: the legs of the pair are crossed{more}",
      why="High on low is no bus: nothing talks, and a colour that looks right does not help.",
      fix="Exchange the two wires; the half (high, low) counts, not the colour or the number.")
def legs_crossed(view: View) -> Iterator[Hit]:
    """The high half of a pair on one metal with a low half."""
    for clash in view.once(clashes).get("legs-crossed", ()):
        yield clash_hit(view, clash)


@rule("partner-missing", Severity.STOP, family="bus", source="ISO 11898-2",
      what="{a} is joined but {partner}",
      why="One wire of a pair carries nothing by itself.",
      fix="Join both halves of the pair or neither.")
def partner_missing(view: View) -> Iterator[Hit]:
    """One half of a pair joined while the other is not, or is nowhere on the paper."""
    found = view.fixed(halves)
    for pair in found.pairs:
        joined = [leg for leg in pair.legs if _landings(view, leg) or _joined(view, leg)]
        if len(joined) == 1:
            other = next(leg for leg in pair.legs if leg is not joined[0])
            yield Hit(view.place_of(joined[0].address), (joined[0].address, other.address),
                      {"a": view.name(joined[0].address), "partner": f"its partner {view.name(other.address)} is not"},
                      view.described(other.address))
    for point in found.single:
        if _joined(view, point):
            yield Hit(view.place_of(point.address), (point.address,),
                      {"a": view.name(point.address), "partner": f"{point.owner} describes no partner for it"})


@rule("bit-rates-unlike", Severity.STOP, family="bus", source="ISO 11898-1",
      what="{a} talks at {one} kbit/s and {b} at {other} kbit/s on one metal",
      why="Two rates on one bus stop it for everybody on it.",
      fix="Put a gateway between them, or set both to one rate if their leaflets allow.")
def bit_rates_unlike(view: View) -> Iterator[Hit]:
    """Bus contacts of unlike stated bit rate on one metal."""
    for net in view.nets:
        rated = [s for s in view.signals(net) if s.kbit_s is not None] if len(net.points) > 1 else []
        for s in rated[1:]:
            if s.kbit_s != rated[0].kbit_s:
                yield Hit(view.place_of(s.address), (rated[0].address, s.address),
                          {"a": view.name(rated[0].address), "b": view.name(s.address), "one": f"{rated[0].kbit_s:g}",
                           "other": f"{s.kbit_s:g}"}, view.described(rated[0].address, s.address))
                break


# -- terminators --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Segment:
    """One stretch of CAN pair: its two metals and the pairs that lie on it."""

    high: Net
    low: Net
    pairs: tuple[Pair, ...]


def segments(view: View) -> list[Segment]:
    """Every joined stretch of CAN pair, once."""
    found: dict[tuple[str, str], list[Pair]] = defaultdict(list)
    for pair in view.fixed(halves).pairs:
        if _family(pair.high) == "can":
            high, low = (view.net_of(leg.address) for leg in pair.legs)
            if high.circuits and low.circuits and high.points != low.points:
                found[high.points[0], low.points[0]].append(pair)
    return [Segment(view.net_of(h), view.net_of(lo), tuple(pairs)) for (h, lo), pairs in found.items()]


Edges = dict[str, list[tuple[str, str, Span]]]


def _edges(view: View) -> Edges:
    """Every active bond but diodes, by the metals at its two ends."""
    found: Edges = defaultdict(list)
    for bond in view.harness.active_bonds():
        if bond.origin != "diode":
            a, b = view.net_of(bond.a).points[0], view.net_of(bond.b).points[0]
            if a != b:
                found[a].append((a, b, bond.ohms))
                found[b].append((a, b, bond.ohms))
    return found


def _waiting(view: View) -> set[str]:
    """The metals at which a terminator switch waits for an answer."""
    return {view.net_of(x).points[0] for b in view.harness.bonds if b.origin == "switch" and b.state not in ("on", "off")
            for x in (b.a, b.b)}


def segment_ohms(view: View, segment: Segment) -> tuple[Span, bool]:
    """What a meter would show between the legs of a segment, units plugged in, and whether anything is known of it."""
    high, low = segment.high.points[0], segment.low.points[0]
    edges = _between(view.once(_edges), high, low)
    known = any({a, b} == {high, low} for a, b, _ in view.once(_edges).get(high, ()))
    return span_ohms(edges, high, low), known


def _between(edges: Edges, a: str, b: str) -> list[tuple[str, str, Span]]:
    """The parts that can carry current between two metals: what hangs on by one end only is left out."""
    near, todo = {a}, [a]
    while todo:
        for u, v, _ in edges.get(todo.pop(), ()):
            for node in {u, v} - near:
                near.add(node)
                todo.append(node)
    live = {n: len(edges.get(n, ())) for n in near}
    loose = [n for n in near if live[n] < 2 and n not in (a, b)]
    gone = set(loose)
    while loose:
        for u, v, _ in edges.get(loose.pop(), ()):
            for node in (u, v):
                if node not in gone:
                    live[node] -= 1
                    if live[node] < 2 and node not in (a, b):
                        gone.add(node)
                        loose.append(node)
    kept = sorted(near - gone)
    return [e for n in kept for e in edges.get(n, ()) if e[0] == n and e[1] not in gone]


def _on(segment: Segment) -> str:
    return " and ".join(dict.fromkeys(p.called for p in segment.pairs))


def _legs(segment: Segment) -> tuple[str, str]:
    return segment.pairs[0].high.address, segment.pairs[0].low.address


@rule("switch-unanswered", Severity.STOP, family="bus", source=CAN_CABLE,
      what="{switch} ({ohms} ohm between {a} and {b}{delivered}): nobody has said whether it is on",
      why="A terminator too many or too few stops the bus; how it was delivered is not how it stands.",
      fix="Look at the switch and answer it: `switches: {{{name}: on}}` on the end, or kind answer, about {switch}.")
def switch_unanswered(view: View) -> Iterator[Hit]:
    """A terminator switch on a joined pair without an answer."""
    for bond in view.harness.bonds:
        if bond.origin == "switch" and bond.state not in ("on", "off") and view.net_of(bond.a).circuits:
            assert bond.end is not None
            end = view.job.ends[bond.end]
            delivered = end.pinout.switches[bond.name].delivered
            name = f"{bond.end}.{bond.name}"
            yield Hit(end.place, (name,), {
                "switch": name, "name": bond.name, "ohms": bond.ohms, "a": bond.a, "b": bond.b,
                "delivered": f", delivered {delivered}" if delivered else ""},
                ((bond.place, "the switch is described here"),) if bond.place else ())


@rule("terminators", Severity.STOP, family="bus", source=CAN_CABLE,
      what="between the legs of {pair} ({a}, {b}) stand {ohms} ohm where two terminators give 60: {so}",
      why="A bus ends in two terminators of 120 ohm on each segment; with any other number the edges ring or sag.",
      fix="{cure}")
def terminators(view: View) -> Iterator[Hit]:
    """A segment whose known parts do not come to two terminators side by side."""
    for segment in view.once(segments):
        if {segment.high.points[0], segment.low.points[0]} & view.once(_waiting):
            continue  # asked first
        ohms, known = segment_ohms(view, segment)
        if known and not (ohms.low >= LEAST_OHMS and ohms.high <= MOST_OHMS):
            a, b = _legs(segment)
            so, cure = _verdict(ohms)
            yield Hit(view.place_of(a), (a, b), {"pair": _on(segment), "a": a, "b": b, "ohms": _shown(ohms), "so": so,
                                                 "cure": cure}, view.described(a, b))


def _shown(ohms: Span) -> str:
    if ohms.low == ohms.high:
        return "no" if ohms.low == float("inf") else f"{ohms.low:.3g}"
    high = "open" if ohms.high == float("inf") else f"{ohms.high:.3g}"
    return f"{ohms.low:.3g} to {high}"


def _verdict(ohms: Span) -> tuple[str, str]:
    if ohms.high < 5:
        return "the legs touch", "Find the joint that ties the two legs together."
    if ohms.high < LEAST_OHMS:
        return "one too many", "Switch one terminator off or leave one resistor out; the two at the ends stay."
    if ohms.low > 1000:
        return "none", "Switch a terminator on, or put 120 ohm across, at each of the two ends of the segment."
    if ohms.low > MOST_OHMS:
        return "one is missing", "Switch one on, or put 120 ohm across, at the end that has none."
    return "not told closely enough", "Measure between the legs with the battery off and write the ohms down."


@rule("terminators-unknown", Severity.CAUTION, family="bus", source=CAN_CABLE,
      what="nothing is known of the terminators of {pair} ({a}, {b})",
      why="Cutting a pair may take a terminator away with the old unit.",
      fix="Measure into the loom and into the unit with the battery off; write the ohms under `behind` and `inside`.")
def terminators_unknown(view: View) -> Iterator[Hit]:
    """A joined CAN segment between whose legs no ohms at all are stated."""
    for segment in view.once(segments):
        _, known = segment_ohms(view, segment)
        if not known:
            a, b = _legs(segment)
            yield Hit(view.place_of(a), (a, b), {"pair": _on(segment), "a": a, "b": b})


# -- twist, branches, shield --------------------------------------------------------------------------


def _twist_of(view: View) -> dict[str, list[str]]:
    found: dict[str, list[str]] = defaultdict(list)
    for name, twist in view.job.twists.items():
        for circuit in twist.circuits:
            found[circuit].append(name)
    return found


def _new_mm(view: View, circuit: Circuit) -> float | None:
    """The longest new wire of a circuit; None where none is new or its length is not told."""
    lengths = [c.length_mm for c in view.harness.conductors_by_circuit.get(circuit.id, ()) if c.origin == "new"]
    known = [x for x in lengths if x is not None]
    return max(known) if known else None


def _bus_circuits(view: View) -> Iterator[tuple[Circuit, Circuit]]:
    """The circuits of the two legs of each joined pair, once."""
    seen = set()
    for pair in view.fixed(halves).pairs:
        ids = [view.harness.circuits_at(leg.address) for leg in pair.legs]
        if ids[0] and ids[1] and ids[0][0] != ids[1][0] and (ids[0][0], ids[1][0]) not in seen:
            seen.add((ids[0][0], ids[1][0]))
            yield view.harness.circuit(ids[0][0]), view.harness.circuit(ids[1][0])


def _untwisted(view: View) -> Iterator[tuple[Circuit, Circuit, float]]:
    by_circuit = view.fixed(_twist_of)
    for one, two in _bus_circuits(view):
        both = set(by_circuit.get(one.id, ())) & set(by_circuit.get(two.id, ()))
        lengths = [x for x in (_new_mm(view, one), _new_mm(view, two)) if x is not None]
        if both:
            twist = view.job.twists[sorted(both)[0]]
            if twist.untwisted_mm is not None:
                yield one, two, twist.untwisted_mm
            elif lengths and twist.mm is not None and max(lengths) > twist.mm:
                yield one, two, max(lengths) - twist.mm
        elif lengths:
            yield one, two, max(lengths)


def _untwisted_hit(view: View, one: Circuit, two: Circuit, mm: float) -> Hit:
    return Hit(two.place, (one.id, two.id), {"a": one.id, "b": two.id, "mm": f"{mm:g}"})


@rule("untwisted", Severity.CAUTION, family="bus", source="vehicle workshop texts on repairing a pair, read",
      what="{a} and {b} lie {mm} mm without twist, more than 50 mm",
      why="A piece without twist picks up noise that the pair cannot cancel.",
      fix="Twist the new piece up to the joints and write it under `twists`.")
def untwisted(view: View) -> Iterator[Hit]:
    """The legs of a pair lie more than 50 and up to 100 mm without twist."""
    for one, two, mm in _untwisted(view):
        if LONGER_MM < mm <= FAR_MM:
            yield _untwisted_hit(view, one, two, mm)


@rule("untwisted-far", Severity.STOP, family="bus", source="vehicle workshop texts on repairing a pair, read",
      what="{a} and {b} lie {mm} mm without twist, more than 100 mm",
      why="That much without twist makes a bus fail now and then, which nobody finds later.",
      fix="Twist the new piece up to the joints and write it under `twists`.")
def untwisted_far(view: View) -> Iterator[Hit]:
    """The legs of a pair lie more than 100 mm without twist."""
    for one, two, mm in _untwisted(view):
        if mm > FAR_MM:
            yield _untwisted_hit(view, one, two, mm)


def _most_stub_mm(rate: float | None) -> float:
    for upto, longest in STUB_MM:
        if rate is not None and rate <= upto:
            return longest
    return STUB_MM[-1][1]


@rule("bus-stub", Severity.CAUTION, family="bus", source="SAE J1939-11 and ISO 11898 limits, read in makers' manuals",
      what="{a} hangs on the bus by a stub of {mm} mm; {most} mm is the most at this rate",
      why="A branch reflects every edge; the longer it is, the more the bus errs.",
      fix="Cut the pair and lead it in and out of the unit, or shorten the branch.")
def bus_stub(view: View) -> Iterator[Hit]:
    """A branch from a bus that stays in service, or from a joint of three, longer than its bit rate allows."""
    for _, signals in _branched(view):
        rate = max((s.kbit_s for s in signals if s.kbit_s), default=None)
        for s in signals:
            point = view.points[s.address]
            circuit = view.circuit_of(s.address)
            if circuit is None or point.is_tap:
                continue
            lengths = [c.length_mm for c in view.harness.conductors_by_circuit.get(circuit.id, ())
                       if (c.origin == "new" and c.point in (None, s.address)) or (c.origin == "tail" and c.point == s.address)]
            mm = sum(x for x in lengths if x is not None)
            if s.side != "machine" and mm > _most_stub_mm(rate):
                yield Hit(view.place_of(s.address), (s.address,),
                          {"a": view.name(s.address), "mm": f"{mm:g}", "most": f"{_most_stub_mm(rate):g}"})


def _branched(view: View) -> Iterator[tuple[Net, list[Signal]]]:
    for net in view.nets:
        if not net.circuits:
            continue
        signals = [s for s in view.signals(net) if s.row.slug in PAIRED]
        if len(signals) > 2 or (len(signals) == 2 and any(view.points[s.address].is_tap for s in signals)):
            yield net, signals


@rule("bus-star", Severity.CAUTION, family="bus", source="ISO 11898-2; common practice",
      what="{n} bus contacts meet on the metal of {a}: a star instead of a line",
      why="A bus is one line from terminator to terminator; a star reflects at every joint.",
      fix="Lead the pair from one unit to the next, in and out.")
def bus_star(view: View) -> Iterator[Hit]:
    """Three or more bus contacts on one metal."""
    for _, signals in _branched(view):
        if len(signals) > 2:
            yield Hit(view.place_of(signals[-1].address), tuple(s.address for s in signals),
                      {"n": len(signals), "a": view.name(signals[0].address)})


@rule("drain-grounds", Severity.CAUTION, family="bus", source="SAE J1939-11; common practice",
      what="the shield at {a} is grounded {n}: {where}",
      why="A drain is grounded once per segment: nowhere it is no shield, twice it carries ground current.",
      fix="Ground it at one place and leave every other end open and insulated.")
def drain_grounds(view: View) -> Iterator[Hit]:
    """A joined shield that meets ground nowhere, or at more than one place."""
    for net in view.harness.bench:  # studs taken as places of their own, not as one chassis
        shields = [s for s in view.signals(net) if s.row.electrical == "shield"] if net.circuits else []
        if not shields:
            continue
        places = _grounds(view, net)
        if len(places) != 1:
            told = ("nowhere", "once", "twice")[len(places)] if len(places) < 3 else f"{len(places)} times"
            yield Hit(view.place_of(shields[0].address), tuple(s.address for s in shields),
                      {"a": view.name(shields[0].address), "n": told,
                       "where": ", ".join(places) or "no ground is known on its metal or inside its units"})


def _grounds(view: View, net: Net) -> list[str]:
    """The ways from a shield's metal to ground: contacts and studs on it, and links of few ohms inside units."""
    found = [a for a in net.points if (s := view.signal(a)) is not None and s.row.electrical == "ground" and a != CHASSIS]
    found += [a for a in net.points if view.points[a].kind == "stud"]
    for mine in net.points:
        for other, end in view.once(_few_ohms).get(mine, ()):
            if other not in net.points and (other == CHASSIS or _is_ground(view, other)):
                found.append(f"inside {end} ({mine} to {other})")
    return found


def _few_ohms(view: View) -> dict[str, list[tuple[str, str | None]]]:
    found: dict[str, list[tuple[str, str | None]]] = defaultdict(list)
    for bond in view.harness.active_bonds():
        if bond.origin in ("inside", "behind") and bond.ohms.high <= FEW_OHMS:
            found[bond.a].append((bond.b, bond.end))
            found[bond.b].append((bond.a, bond.end))
    return found


def _is_ground(view: View, address: str) -> bool:
    signal = view.signal(address)
    return signal is not None and signal.row.electrical == "ground"


@rule("twist-mixed", Severity.CAUTION, family="bus", source="common practice",
      what="{what}",
      why="Two wires that are not the halves of one pair do not cancel each other's noise, though every beep is right.",
      fix="Put both legs of a pair, and only them, into one twist.")
def twist_mixed(view: View) -> Iterator[Hit]:
    """The legs of one pair in two sheaths, or a twist that holds one leg of each of two pairs."""
    by_circuit = view.fixed(_twist_of)
    for one, two in _bus_circuits(view):
        mine, other = by_circuit.get(one.id, []), by_circuit.get(two.id, [])
        if (mine or other) and not set(mine) & set(other):
            told = [f"{c.id} lies in {'twist ' + x[0] if x else 'no twist'}" for c, x in ((one, mine), (two, other))]
            twist = view.job.twists[(other or mine)[0]]
            yield Hit(twist.place, (one.id, two.id), {"what": f"{told[0]}, {told[1]}: the legs of one pair in two sheaths"})

