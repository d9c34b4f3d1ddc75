"""Blade fuses: the window between what the load asks for and what wire and contacts stand."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from itertools import pairwise

from wiremap.sizing.ampacity import (
    adiabatic_k,
    adiabatic_temperature_C,
    ampacity_amps,
    bundle_factor,
    check_temperatures,
    short_circuit_limit_C,
    steady_temperature_C,
    temperature_after_C,
)
from wiremap.sizing.conductor import Cable, cable, metric_sizes
from wiremap.sizing.drop import check_supply
from wiremap.sizing.sized import MEMORY, OutOfRange, Sized, Value, in_range, rule_row, source_title, weakest
from wiremap.trade.tables import Row, table

FILE = "fuses.toml"
FAMILIES = ("blade", "large-blade")
ADIABATIC_S = 5.0
CLEARS, CLEARS_WELL = 1.35, 2.0
STANDARD = "ISO 8820-3"
SUPPLY_RANGE = {12: (9.0, 16.0), 24: (16.0, 32.0)}      # ISO 16750-2 codes C and F, from memory


@dataclass(frozen=True, slots=True)
class Gate:
    """One published opening limit: at this multiple of the rating, not before `least_s`, not after `most_s`."""

    times: float
    least_s: float
    most_s: float
    standing: str


@dataclass(frozen=True, slots=True)
class Circuit:
    """What a fuse shall protect: its load, its thinnest conductor, its way out and back, its surroundings.

    `loop_ohms` is what lies between fuse and a bolted fault at the far end and back, conductors hot; `source_ohms`
    lies before the fuse.  `load_amps` is None where nobody has stated the load.
    """

    wire: Cable
    load_amps: float | None
    source_ohms: float | None
    loop_ohms: float | None
    min_volts: float
    max_volts: float
    ambient_C: float = 23.0
    limit_C: float = 85.0
    bundle: int = 1
    contact_amps: float | None = None
    inrush_amps: float | None = None
    inrush_s: float | None = None
    family: str = "blade"
    fuse_ambient_C: float | None = None


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that speaks against a rating; `side` says whether a larger (low) or smaller (high) one would help."""

    kind: str
    side: str
    text: str


def ratings(family: str = "blade") -> tuple[float, ...]:
    """The standard ratings of a family, smallest first [A]; raises OutOfRange for an unknown family."""
    if family not in FAMILIES:
        raise OutOfRange(f"fuse family must be one of {', '.join(FAMILIES)} ({STANDARD}); got {family!r}")
    return tuple(float(row["amps"]) for row in _rows(family))


def _rows(family: str) -> tuple[Row, ...]:
    return table(FILE).sections[family.replace("-", "_")]


def rating_row(amps: float, family: str = "blade") -> Row | None:
    """Colour and drop of a rating; None where the family has no such rating."""
    return next((row for row in _rows(family) if row["amps"] == amps), None)


@cache
def gates(amps: float, family: str = "blade") -> tuple[Gate, ...]:
    """The opening limits of a rating, smallest multiple first."""
    name = "gates_large_blade" if family == "large-blade" else "gates_blade_big" if amps >= 35 else "gates_blade"
    return tuple(Gate(row["times_rating"], row["least_s"], row["most_s"], row["standing"])
                 for row in table(FILE).sections[name])


def ambient_share(ambient_C: float) -> float:
    """Share of the rating that is left at a fuse's ambient; straight lines between the table's points.

    Raises OutOfRange outside the table.
    """
    rows = table(FILE).sections["ambient"]
    low, high = rows[0]["ambient_C"], rows[-1]["ambient_C"]
    in_range("the fuse's ambient", ambient_C, low, high, "C", source_title(FILE, "rerating"))
    for one, two in pairwise(rows):
        if ambient_C <= two["ambient_C"]:
            part = (ambient_C - one["ambient_C"]) / (two["ambient_C"] - one["ambient_C"])
            return float(one["share"] + part * (two["share"] - one["share"]))
    return float(rows[-1]["share"])


def continuous_ratio() -> float:
    """Share of its rating that a fuse may carry continuously at 25 C."""
    return float(rule_row(FILE, "loading", "continuous")["ratio"])


def asked_amps(load_amps: float, fuse_ambient_C: float = 25.0) -> float:
    """Least rating that a continuous load asks for [A]: load / 0.75 / share left at the fuse's ambient.

    A fuse is never counted as stronger than its rating because it is cold.
    """
    return load_amps / continuous_ratio() / min(1.0, ambient_share(fuse_ambient_C))


def most_open_s(amps: float, rating: float, family: str = "blade") -> float:
    """Longest opening time at a current [s]: straight on double-log paper between the gates, I2t constant above 6 x.

    Infinite below the first gate, for which no limit is published.
    """
    return _on_curve(amps / rating, [(g.times, g.most_s) for g in gates(rating, family)], math.inf)


def least_open_s(amps: float, rating: float, family: str = "blade") -> float:
    """Shortest opening time at a current [s]: as `most_open_s`; below the first gate down to the holding current."""
    hold = float(rule_row(FILE, "families", family)["hold_ratio"])
    points = [(hold, 360000.0), *((g.times, g.least_s) for g in gates(rating, family))]
    return _on_curve(amps / rating, points, math.inf)


def _on_curve(times: float, points: list[tuple[float, float]], below: float) -> float:
    if times < points[0][0] * (1 - 1e-12):
        return below
    for (m1, t1), (m2, t2) in pairwise(points):
        if times <= m2:
            part = math.log(max(times, m1) / m1) / math.log(m2 / m1)
            return float(t1 * (t2 / t1) ** part)
    last, seconds = points[-1]
    return seconds * (last / times) ** 2


def let_through_A2s(rating: float, family: str = "blade") -> float:
    """Most I2t that passes above the last gate [A2 s], taken as constant: an assumption, on the safe side."""
    last = gates(rating, family)[-1]
    return (last.times * rating) ** 2 * last.most_s


# -- judging one rating -------------------------------------------------------------------------------


def judge(rating: float, circuit: Circuit) -> tuple[Fault, ...]:
    """Everything that speaks against a rating in a circuit; empty when it will do."""
    return (*low_faults(rating, circuit), *high_faults(rating, circuit))


def low_faults(rating: float, circuit: Circuit) -> Iterator[Fault]:
    """What asks for a larger fuse: the load, the ambient, the inrush."""
    at = circuit.ambient_C if circuit.fuse_ambient_C is None else circuit.fuse_ambient_C
    if circuit.load_amps is not None:
        asked = asked_amps(circuit.load_amps, at)
        if rating < asked * (1 - 1e-9):
            yield Fault("load", "low", f"{circuit.load_amps:g} A of load asks for at least {asked:.3g} A "
                                       f"(load / {continuous_ratio():g}, fuse in {at:g} C)")
    if circuit.inrush_amps is not None:
        if circuit.inrush_s is None:
            if circuit.inrush_amps > rating:
                yield Fault("inrush", "low", f"a peak of {circuit.inrush_amps:g} A of unknown length is over the "
                                             f"rating of {rating:g} A")
        elif (seconds := least_open_s(circuit.inrush_amps, rating, circuit.family)) <= circuit.inrush_s:
            yield Fault("inrush", "low", f"{circuit.inrush_amps:g} A for {circuit.inrush_s:g} s may open a {rating:g} "
                                         f"A fuse, which may go after {seconds:.2g} s")


def high_faults(rating: float, circuit: Circuit) -> Iterator[Fault]:
    """What asks for a smaller fuse or a thicker wire: contact, wire, clearing, breaking."""
    if circuit.contact_amps is not None and rating > circuit.contact_amps:
        yield Fault("contact", "high", f"a {rating:g} A fuse is over the contact's {circuit.contact_amps:g} A")
    yield from _slow(rating, circuit)
    yield from _fast(rating, circuit)
    far = far_end_amps(circuit)
    if far is not None and far < CLEARS * rating:
        yield Fault("clearing", "high", f"a short at the far end draws {far:.3g} A, under {CLEARS:g} x {rating:g} A: "
                                        "the fuse need not open")
    yield from _breaking(circuit)


def _running_C(rating: float, circuit: Circuit) -> float:
    """Conductor temperature before the fault: at the load, or at 75 % of the rating where no load is known."""
    load = circuit.load_amps if circuit.load_amps is not None else continuous_ratio() * rating
    return min(circuit.limit_C, _single_amps_C(circuit, load))


def _single_amps_C(circuit: Circuit, amps: float) -> float:
    try:
        return steady_temperature_C(circuit.wire, amps / bundle_factor(circuit.bundle)[0], circuit.ambient_C)
    except OutOfRange:
        return 1083.0


def _slow(rating: float, circuit: Circuit) -> Iterator[Fault]:
    """Limits beyond 5 s: the insulation's own limit, by the heat balance."""
    hold = float(rule_row(FILE, "families", circuit.family)["hold_ratio"])
    factor = bundle_factor(circuit.bundle)[0]
    wire, limit = circuit.wire, circuit.limit_C
    ampacity = ampacity_amps(wire, limit, circuit.ambient_C) * factor
    for gate in gates(rating, circuit.family):
        amps = gate.times * rating
        if gate.most_s <= ADIABATIC_S or amps <= ampacity * (1 + 1e-9):
            continue
        reached = temperature_after_C(wire, amps / factor, gate.most_s, _running_C(rating, circuit), circuit.ambient_C)
        if reached > limit:
            yield Fault("wire", "high", f"it may carry {gate.times:g} x {rating:g} A = {amps:.3g} A for "
                                        f"{gate.most_s:g} s, over the {ampacity:.3g} A of {_lead(wire)}: "
                                        + _reaches(wire, reached))
            return
    if hold * rating > ampacity * (1 + 1e-9):
        yield Fault("wire", "high", f"it may carry {hold:g} x {rating:g} A = {hold * rating:.3g} A for ever, over the "
                                    f"{ampacity:.3g} A of {_lead(wire)}: " + _reach(circuit, hold * rating))


def _reach(circuit: Circuit, amps: float) -> str:
    return _reaches(circuit.wire, _single_amps_C(circuit, amps))


def _reaches(wire: Cable, celsius: float) -> str:
    # rounded down: it certainly gets that far
    return f"{_lead(wire)} would reach {math.floor(celsius)} C" if celsius < 1083 else f"{_lead(wire)} would melt"


def _lead(wire: Cable) -> str:
    return f"a {wire.name} lead"


def _fast(rating: float, circuit: Circuit) -> Iterator[Fault]:
    """Limits up to 5 s and beyond the last gate: let-through against k2 A2, from the running temperature."""
    final = short_circuit_limit_C(circuit.limit_C)
    stands = adiabatic_k(_running_C(rating, circuit), final) ** 2 * circuit.wire.area_mm2 ** 2
    most = near_end_amps(circuit)
    for gate in gates(rating, circuit.family):
        amps = gate.times * rating
        if gate.most_s > ADIABATIC_S or (most is not None and amps > most):
            continue
        if amps * amps * gate.most_s > stands * (1 + 1e-9):
            reached = adiabatic_temperature_C(amps * amps * gate.most_s, circuit.wire.area_mm2,
                                              _running_C(rating, circuit))
            yield Fault("let-through", "high", f"{gate.times:g} x {rating:g} A for {gate.most_s:g} s lets "
                                               f"{amps * amps * gate.most_s:.3g} A2s through, over the {stands:.3g} "
                                               f"A2s of {_lead(circuit.wire)}: " + _reaches(circuit.wire, reached))
            return


def far_end_amps(circuit: Circuit) -> float | None:
    """Least current of a bolted short at the far end [A]: lowest volts, wire hot, out and back; None if not known."""
    if circuit.source_ohms is None or circuit.loop_ohms is None:
        return None
    ohms = circuit.source_ohms + circuit.loop_ohms
    return circuit.min_volts / ohms if ohms > 0 else None


def near_end_amps(circuit: Circuit) -> float | None:
    """Greatest current of a short just behind the fuse [A]: highest volts, source cold; None if not known."""
    if circuit.source_ohms is None or circuit.source_ohms <= 0:
        return None
    return circuit.max_volts / circuit.source_ohms


def _breaking(circuit: Circuit) -> Iterator[Fault]:
    row = rule_row(FILE, "families", circuit.family)
    near = near_end_amps(circuit)
    if near is not None and near > row["breaking_amps"]:
        yield Fault("breaking", "other", f"a short behind the fuse draws up to {near:.4g} A, beyond its breaking "
                                         f"capacity of {row['breaking_amps']:g} A")
    if circuit.max_volts > row["rated_volts"]:
        yield Fault("rated-volts", "other", f"{circuit.max_volts:g} V is over the fuse's rated {row['rated_volts']:g} "
                                            "V: take the 58 V make")


def upstream_sentence(rating: float, circuit: Circuit) -> str:
    """One computed sentence on an upstream fuse: why the lead behind it needs its own fuse, or need not."""
    faults = sorted(high_faults(rating, circuit), key=lambda f: f.kind not in ("wire", "let-through"))
    for fault in faults:
        if fault.kind in ("wire", "let-through"):
            amps = CLEARS * rating
            reached = _single_amps_C(circuit, amps)
            wire = circuit.wire
            if reached > circuit.limit_C:
                what = f"would reach {math.floor(reached)} C" if reached < 1083 else "would melt"
                return f"{rating:g} A upstream: {_lead(wire)} {what} before it opens"
            return f"{rating:g} A upstream: {fault.text}"
        return f"{rating:g} A upstream: {fault.text}"
    return f"{rating:g} A upstream protects {_lead(circuit.wire)}: {CLEARS * rating:.3g} A for up to " \
           f"{gates(rating, circuit.family)[0].most_s:g} s leaves it under {circuit.limit_C:g} C"


def selective(downstream: float, upstream: float, most_amps: float | None = None, family: str = "blade",
              upstream_family: str = "blade") -> tuple[bool, str]:
    """Whether the downstream fuse always opens first, and where it may not.

    At every multiple where either curve bends, the longest time of the one must lie under the shortest of the other.
    """
    bends = [g.times * downstream for g in gates(downstream, family)]
    bends += [g.times * upstream for g in gates(upstream, upstream_family)]
    bends.append(most_amps if most_amps is not None else 12 * upstream)
    for amps in sorted(b for b in bends if most_amps is None or b <= most_amps):
        slow, fast = most_open_s(amps, downstream, family), least_open_s(amps, upstream, upstream_family)
        if slow >= fast:
            return False, (f"at {amps:.3g} A the {upstream:g} A fuse may open after {fast:.2g} s, the {downstream:g} A "
                           f"fuse may take {slow:.2g} s" if math.isfinite(slow) else
                           f"at {amps:.3g} A the {upstream:g} A fuse may open after {fast:.2g} s, the {downstream:g} A "
                           "fuse need not open at all")
    return True, f"{downstream:g} A always opens before {upstream:g} A"


# -- choosing -----------------------------------------------------------------------------------------


@lru_cache(maxsize=1024)
def choose(circuit: Circuit) -> float | None:
    """The smallest standard rating against which nothing speaks [A]; None when there is none."""
    for rating in ratings(circuit.family):
        if any(low_faults(rating, circuit)):
            continue
        return None if any(high_faults(rating, circuit)) else rating
    return None


def largest(circuit: Circuit) -> float | None:
    """The largest standard rating that wire, contact and clearing stand [A]; None when not even the smallest does."""
    found = None
    for rating in ratings(circuit.family):
        if any(high_faults(rating, circuit)):
            break
        found = rating
    return found


def size_fuse(circuit: Circuit, *, leaflet_amps: float | None = None, leaflet_min_csa_mm2: float | None = None,
              upstream_amps: float | None = None) -> Sized:
    """The fuse of a circuit with everything it rests on; a maker's stated figure governs and is checked.

    Without a rating that does, `why` says which limits collide and `cure` what would lift them.
    """
    check_circuit(circuit)
    computed = choose(circuit)
    inputs = _inputs(circuit, leaflet_amps, upstream_amps)
    if leaflet_amps is None and computed is None:
        why, cure = _collision(circuit)
        return Sized((), inputs, _assumptions(circuit), why, cure=cure)
    rating = leaflet_amps if leaflet_amps is not None else computed
    assert rating is not None
    cautions = list(_leaflet_cautions(circuit, leaflet_amps, computed, leaflet_min_csa_mm2))
    results = list(_results(circuit, rating, computed, leaflet_amps))
    far = far_end_amps(circuit)
    if far is not None and CLEARS * rating <= far < CLEARS_WELL * rating:
        cautions.append(f"a short at the far end draws {far:.3g} A, under {CLEARS_WELL:g} x {rating:g} A: "
                        "it opens slowly")
    if upstream_amps is not None:
        in_range("the upstream fuse", upstream_amps, 0.5, 500, "A", STANDARD)
        first, told = selective(rating, upstream_amps, near_end_amps(circuit), circuit.family)
        results.append(Value("selectivity", "opens first" if first else "not assured", "", told,
                             source_title(FILE, "iso8820-3"), MEMORY))
        results.append(Value("upstream", upstream_sentence(upstream_amps, circuit), "",
                             "the same judgement, put to the upstream rating", source_title(FILE, "iso8820-3"), MEMORY))
        if not first:
            cautions.append(told)
    return Sized(tuple(results), inputs, _assumptions(circuit), cautions=tuple(cautions))


def check_circuit(circuit: Circuit) -> None:
    """Raises OutOfRange for figures that no answer belongs to."""
    ratings(circuit.family)
    check_supply(circuit.min_volts, "the lowest volts")
    check_supply(circuit.max_volts, "the highest volts")
    if circuit.min_volts > circuit.max_volts:
        raise OutOfRange(f"the lowest volts must not be above the highest {circuit.max_volts:g} V; "
                         f"got {circuit.min_volts:g}")
    check_temperatures(circuit.limit_C, circuit.ambient_C)
    bundle_factor(circuit.bundle)
    for name, value, low, high, unit in (
            ("load", circuit.load_amps, 1e-3, 100, "A"), ("the contact's current", circuit.contact_amps, 0.1, 500, "A"),
            ("inrush", circuit.inrush_amps, 1e-3, 1000, "A"), ("the inrush's length", circuit.inrush_s, 1e-4, 600, "s"),
            ("the source's resistance", circuit.source_ohms, 1e-4, 10, "ohm"),
            ("the loop's resistance", circuit.loop_ohms, 0, 1000, "ohm")):
        if value is not None:
            in_range(name, value, low, high, unit, f"scope of {STANDARD} blade fuses, 1 to 100 A, and their circuits")
    ambient_share(circuit.ambient_C if circuit.fuse_ambient_C is None else circuit.fuse_ambient_C)


def _results(circuit: Circuit, rating: float, computed: float | None, leaflet: float | None) -> Iterator[Value]:
    source = source_title(FILE, "iso8820-3")
    at = circuit.ambient_C if circuit.fuse_ambient_C is None else circuit.fuse_ambient_C
    if leaflet is not None:
        yield Value("fuse", rating, "A", "the maker's stated figure governs", "maker's leaflet", "maker's leaflet")
        if computed is not None:
            yield Value("fuse_computed", computed, "A", "smallest rating against which nothing speaks", source, MEMORY)
    else:
        yield Value("fuse", rating, "A", "smallest rating against which nothing speaks", source, MEMORY)
    row = rating_row(rating, circuit.family)
    if row:
        yield Value("colour", row["colour"], "", f"table row of {rating:g} A, {circuit.family}",
                    source_title(FILE, "blade-colours"), "read")
    if circuit.load_amps is not None:
        yield Value("asked_by_load", asked_amps(circuit.load_amps, at), "A",
                    f"load / {continuous_ratio():g} / share left at {at:g} C ({ambient_share(at):.3g})",
                    f"{source_title(FILE, 'protection-terms')}; {source_title(FILE, 'rerating')}", MEMORY)
    if (most := largest(circuit)) is not None:
        yield Value("largest_allowed", most, "A", "largest rating that wire, contact and clearing stand", source,
                    MEMORY)
    wire_status = weakest("computed", circuit.wire.status)
    factor, condition, _ = bundle_factor(circuit.bundle)
    yield Value("ampacity", ampacity_amps(circuit.wire, circuit.limit_C, circuit.ambient_C) * factor, "A",
                f"heat balance at {circuit.limit_C:g} C in {circuit.ambient_C:g} C x {factor:g}",
                f"{circuit.wire.source}; {condition}", wire_status)
    yield Value("conventional_current", CLEARS * rating, "A", f"{CLEARS:g} x rating, which may flow up to "
                f"{gates(rating, circuit.family)[0].most_s:g} s", source, "read")
    yield from _short_circuits(circuit, rating, source)


def _short_circuits(circuit: Circuit, rating: float, source: str) -> Iterator[Value]:
    status = weakest("computed", circuit.wire.status)
    if (far := far_end_amps(circuit)) is not None:
        yield Value("far_end_short", far, "A", "least volts / (source + loop with the wire hot)", circuit.wire.source,
                    status)
        yield Value("clearing_ratio", far / rating, "x rating", f"at least {CLEARS:g}, better {CLEARS_WELL:g}", source,
                    status)
    if (near := near_end_amps(circuit)) is not None:
        yield Value("near_end_short", near, "A", "highest volts / source, cold, at the fuse", "Ohm's law", "computed")
        yield Value("breaking_capacity", float(rule_row(FILE, "families", circuit.family)["breaking_amps"]), "A",
                    f"table row of {circuit.family}", source, "read")
    start = _running_C(rating, circuit)
    final = short_circuit_limit_C(circuit.limit_C)
    k = adiabatic_k(start, final)
    yield Value("running_temperature", start, "C", "heat balance at the load", circuit.wire.source, status)
    yield Value("adiabatic_k", k, "A s^0.5/mm2", "226 sqrt(ln((234.5 + Tf)/(234.5 + Ti)))"
                f", Tf {final:g} C, Ti {start:.3g} C", "IEC 60364-5-54", MEMORY)
    yield Value("wire_stands", k * k * circuit.wire.area_mm2 ** 2, "A2s", "k^2 A^2", "IEC 60364-4-43", MEMORY)
    yield Value("let_through", let_through_A2s(rating, circuit.family), "A2s",
                "(6 x rating)^2 x longest time at 6 x, taken as constant beyond", source, MEMORY)


def _leaflet_cautions(circuit: Circuit, leaflet: float | None, computed: float | None,
                      least_csa: float | None) -> Iterator[str]:
    if least_csa is not None and circuit.wire.area_mm2 < least_csa * (1 - 1e-9):
        yield f"the leaflet wants a lead of at least {least_csa:g} mm2; this one is {circuit.wire.name}"
    if leaflet is None:
        return
    in_range("the leaflet's fuse", leaflet, 0.1, 500, "A", STANDARD)
    for fault in judge(leaflet, circuit):
        yield f"the leaflet's {leaflet:g} A: {fault.text}"
    if computed is not None and computed != leaflet:
        yield f"the leaflet's {leaflet:g} A governs; the load alone would give {computed:g} A"


def _collision(circuit: Circuit) -> tuple[str, tuple[str, ...]]:
    """Which limits leave no rating between them, and what would make room."""
    wanted = next((r for r in ratings(circuit.family) if not any(low_faults(r, circuit))), None)
    if wanted is None:
        top = ratings(circuit.family)[-1]
        low = "; ".join(f.text for f in low_faults(top, circuit))
        return (f"no {circuit.family} fuse is large enough: {low}; the largest is {top:g} A",
                ("part the load over two fused circuits", "take a fuse of the larger family"
                 if circuit.family == "blade" else "take another kind of protection"))
    smaller = [r for r in ratings(circuit.family) if r < wanted]
    low = "; ".join(f.text for f in low_faults(smaller[-1], circuit)) if smaller else "the smallest rating there is"
    high = "; ".join(f.text for f in high_faults(wanted, circuit))
    cure = list(_cures(circuit, wanted))
    return f"no fuse does: below {wanted:g} A, {low}; at {wanted:g} A, {high}", tuple(cure)


def _cures(circuit: Circuit, wanted: float) -> Iterator[str]:
    kinds = {f.kind for f in high_faults(wanted, circuit)}
    if kinds & {"wire", "let-through", "clearing"}:
        for area in metric_sizes():
            if area <= circuit.wire.area_mm2 or cable(f"{area:g}").outside_mm is None:
                continue
            thick = cable(f"{area:g}", circuit.wire.wall if area >= 0.5 else "thin")
            scaled = circuit.loop_ohms and circuit.loop_ohms * thick.ohm_per_m_20C / circuit.wire.ohm_per_m_20C
            trial = replace(circuit, wire=thick, loop_ohms=scaled)
            if not {f.kind for f in high_faults(wanted, trial)} & {"wire", "let-through", "clearing"}:
                yield f"a {area:g} mm2 wire would stand {wanted:g} A"
                break
        if circuit.bundle > 1 and not any(high_faults(wanted, replace(circuit, bundle=1))):
            yield f"laid singly, {circuit.wire.name} would stand {wanted:g} A"
    if "clearing" in kinds:
        yield "a shorter way, a heavier return or a stiffer source would let the fuse open"
    if "contact" in kinds:
        yield f"a contact of at least {wanted:g} A, or the load parted over two contacts each with its own fuse"
    if "breaking" in kinds:
        yield "a fuse of higher breaking capacity, or one farther from the source"
    if circuit.load_amps is not None and (most := largest(circuit)) is not None:
        at = circuit.ambient_C if circuit.fuse_ambient_C is None else circuit.fuse_ambient_C
        least = most * continuous_ratio() * min(1.0, ambient_share(at))
        yield f"{most:g} A would do for a load of at most {least:.3g} A"


def _assumptions(circuit: Circuit) -> tuple[str, ...]:
    lines = [
        "opening limits as quoted of ISO 8820-3 at 23 C; between its points straight on double-log paper, so that the "
        "points themselves are the worst",
        "above 6 x rating the I2t is taken as constant at its value there",
        f"up to {ADIABATIC_S:g} s no heat leaves the wire (k2 A2, to {short_circuit_limit_C(circuit.limit_C):g} C); "
        f"longer, the heat balance stays under {circuit.limit_C:g} C",
        f"lowest volts {circuit.min_volts:g} V with the wire at {circuit.limit_C:g} C for clearing; highest volts "
        f"{circuit.max_volts:g} V cold for breaking",
    ]
    if circuit.bundle == 1:
        lines.append("wire judged single in free air: loaded wires lying together carry less")
    if circuit.source_ohms is None:
        lines.append("source resistance not known: short-circuit currents are not judged")
    return tuple(lines)


def _inputs(circuit: Circuit, leaflet: float | None, upstream: float | None) -> tuple[tuple[str, object], ...]:
    return (("load_amps", circuit.load_amps), ("csa", circuit.wire.name), ("wall", circuit.wire.wall),
            ("source_ohms", circuit.source_ohms), ("loop_ohms_hot", circuit.loop_ohms),
            ("min_volts", circuit.min_volts), ("max_volts", circuit.max_volts), ("ambient_C", circuit.ambient_C),
            ("limit_C", circuit.limit_C), ("bundle", circuit.bundle), ("contact_amps", circuit.contact_amps),
            ("inrush_amps", circuit.inrush_amps), ("inrush_s", circuit.inrush_s), ("family", circuit.family),
            ("leaflet_amps", leaflet), ("upstream_amps", upstream))


def supply_range(volts: float, min_volts: float | None = None, max_volts: float | None = None) -> tuple[float, float]:
    """Lowest and highest volts of a supply: as stated, else those of ISO 16750-2 for 12 and 24 V, else -25/+33 %."""
    low, high = SUPPLY_RANGE.get(int(volts), (0.75 * volts, min(60.0, 4 / 3 * volts))) if volts == int(volts) \
        else (0.75 * volts, min(60.0, 4 / 3 * volts))
    return (low if min_volts is None else min_volts, high if max_volts is None else max_volts)


def plain_circuit(size: str, length_mm: float, volts: float, load_amps: float | None, *, wall: str = "thin",
                  source_ohms: float | None = None, ambient_C: float = 23.0, limit_C: float = 85.0,
                  min_volts: float | None = None, max_volts: float | None = None, family: str = "",
                  return_ohms: float | None = None) -> Circuit:
    """A circuit of one wire out and its like back, or a return of known resistance."""
    check_supply(volts)
    wire = cable(size, wall, family)
    check_temperatures(limit_C, ambient_C)
    low, high = supply_range(volts, min_volts, max_volts)
    out = length_mm / 1000 * wire.ohm_per_m(limit_C)
    loop = out + (out if return_ohms is None else return_ohms)
    return Circuit(wire, load_amps, source_ohms, loop, low, high, ambient_C, limit_C)
