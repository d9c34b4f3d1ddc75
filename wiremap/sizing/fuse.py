"""The fuse of a circuit: between what the load asks for and what wire and contacts stand."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

from wiremap.sizing.ampacity import FILE as AMPACITY
from wiremap.sizing.ampacity import short_circuit_limit_C
from wiremap.sizing.bundled import bundle_factor, lying_told
from wiremap.sizing.circuit import (
    Protected,
    check_circuit,
    check_figure,
    drop_at_load,
    far_end_amps,
    near_end_amps,
)
from wiremap.sizing.conductor import FILE as CONDUCTORS
from wiremap.sizing.conductor import cable, metric_sizes
from wiremap.sizing.drop import drop_verdict
from wiremap.sizing.fuse_judge import (
    ADIABATIC_S,
    Against,
    Objection,
    high_objections,
    low_objections,
    overload_reached_C,
    reached_C,
    stands_A2s,
    stood_C,
    withstand_k,
)
from wiremap.sizing.fuse_limits import (
    BLADE,
    CLEARS,
    CLEARS_WELL,
    FILE,
    LARGE_BLADE,
    Selectivity,
    ambient_span,
    asked_amps,
    continuous_ratio,
    family_figure,
    gates,
    greatest_volts,
    held_share,
    let_through_A2s,
    rating_row,
    ratings,
    selective,
)
from wiremap.sizing.fuse_upstream import upstream_sentence
from wiremap.sizing.heat import hot_copper
from wiremap.sizing.sized import (
    MEMORY,
    ROUND,
    SECOND_HAND,
    Origin,
    Sized,
    Value,
    memory,
    row_origin,
    source_title,
)
from wiremap.trade.tables import figure, table

LEAFLET = Origin("maker's leaflet", "maker's leaflet")
SMALLEST = "smallest rating against which nothing speaks"
MENDED_BY_MAKE = frozenset({Against.BREAKING, Against.RATED_VOLTS})
MENDED_BY_COPPER = frozenset({Against.WIRE, Against.LET_THROUGH, Against.CLEARING})


@lru_cache(maxsize=1024)
def choose(circuit: Protected) -> float | None:
    """The smallest standard rating against which nothing speaks [A]; None when there is none.

    Raises OutOfRange where the heat balance of the wire does not hold.
    """
    rating = _wanted(circuit)
    if rating is None or any(high_objections(rating, circuit)):
        return None
    return rating


def _wanted(circuit: Protected) -> float | None:
    """The smallest standard rating that load, ambient and inrush allow [A]; None if none does."""
    for rating in ratings(circuit.family):
        if not any(low_objections(rating, circuit)):
            return rating
    return None


@lru_cache(maxsize=1024)
def largest(circuit: Protected) -> float | None:
    """The largest standard rating that wire, contact and clearing stand [A].

    None when they do not even stand the smallest.  Raises OutOfRange as `choose` does.
    """
    stood = None
    for rating in ratings(circuit.family):
        if any(high_objections(rating, circuit)):
            break
        stood = rating
    return stood


@dataclass(frozen=True, slots=True, kw_only=True)
class SizedFuse(Sized):
    """The answer for a fuse; `thin_lead` says that the wire is thinner than its leaflet asks."""

    thin_lead: str = ""


@lru_cache(maxsize=1024)  # a harness has many feeds of few kinds
def size_fuse(
    circuit: Protected,
    *,
    leaflet_amps: float | None = None,
    leaflet_min_csa_mm2: float | None = None,
    upstream_amps: float | None = None,
) -> SizedFuse:
    """The fuse of a circuit [A]; a maker's stated figure governs and is checked.

    Without a rating that does, `why` says which limits collide and `cure` what would lift them.
    Raises OutOfRange for figures that no answer belongs to.  Source: ISO 8820-3 as quoted.
    """
    check_circuit(circuit)
    computed = choose(circuit)
    rating = computed if leaflet_amps is None else leaflet_amps
    inputs = _inputs(circuit, leaflet_amps, upstream_amps)
    assumptions = _assumptions(circuit)
    thin = _thin_lead(circuit, leaflet_min_csa_mm2)
    refused = _refusal(circuit, leaflet_amps, computed, thin)
    if refused is not None or rating is None:
        why, cure = refused or _collision(circuit)
        return SizedFuse(
            inputs=inputs,
            assumptions=assumptions,
            why=why,
            cure=cure,
            thin_lead=thin,
        )
    cautions = [thin] if thin else []
    cautions += _warm_cautions(circuit)
    cautions += hot_copper(circuit.limit_C)
    if leaflet_amps is not None:
        cautions += _leaflet_cautions(circuit, leaflet_amps, computed)
    results = list(_chosen(rating, computed, from_leaflet=leaflet_amps is not None))
    results += _results(circuit, rating)
    cautions += _slow_cautions(circuit, rating)
    cautions += _drop_cautions(circuit)
    if upstream_amps is not None:
        check_figure("upstream_amps", upstream_amps)
        order = selective(rating, upstream_amps, near_end_amps(circuit), circuit.family)
        results += _upstream(circuit, upstream_amps, order)
        if not order.first:
            cautions.append(order.told)
    return SizedFuse(
        results=tuple(results),
        inputs=inputs,
        assumptions=assumptions,
        cautions=tuple(cautions),
        thin_lead=thin,
    )


def _refusal(
    circuit: Protected, leaflet: float | None, computed: float | None, thin: str
) -> tuple[str, tuple[str, ...]] | None:
    """Why a maker's figure [A] cannot govern, and what would help: it asks more than wire and
    contact stand, its lead is not the one it was stated for, or the load is above it.  None where
    it can.
    """
    if leaflet is None:
        return None
    check_figure("leaflet_amps", leaflet)
    reasons = [objection.text for objection in high_objections(leaflet, circuit)]
    cure = list(_cures(circuit, leaflet))
    if thin:
        reasons.append(thin)
        cure.append("the lead that the leaflet wants")
    if circuit.load_amps is not None and circuit.load_amps > leaflet:
        reasons.append(f"{circuit.load_amps:g} A of load is more than it carries")
        cure.append("ask the maker what the unit draws")
    if not reasons:
        return None
    against = "; ".join(reasons)
    if computed is not None:
        cure.append(f"{computed:g} A would suit load and wire, if the maker agrees")
    return f"the leaflet's {leaflet:g} A does not do here: {against}", tuple(cure)


def _standard() -> Origin:
    return memory(FILE, "iso8820-3")


def _standard_read() -> Origin:
    return Origin(_standard().source, SECOND_HAND)


def _upstream(circuit: Protected, amps: float, order: Selectivity) -> Iterator[Value]:
    assured = "opens first" if order.first else "not assured"
    yield _standard().value("selectivity", assured, "", order.told)
    sentence = upstream_sentence(amps, circuit)
    formula = "the same judgement, put to the upstream rating"
    yield _standard().value("upstream", sentence, "", formula)


def _chosen(rating: float, computed: float | None, *, from_leaflet: bool) -> Iterator[Value]:
    if not from_leaflet:
        yield _standard().value("fuse", rating, "A", SMALLEST)
        return
    yield LEAFLET.value("fuse", rating, "A", "the maker's stated figure governs")
    if computed is not None:
        yield _standard().value("fuse_computed", computed, "A", SMALLEST)


def _results(circuit: Protected, rating: float) -> Iterator[Value]:
    yield from _by_chart(circuit)
    row = rating_row(rating, circuit.family)
    if row is not None:
        formula = f"table row of {rating:g} A, {circuit.family}"
        colours = Origin(source_title(FILE, "blade-colours"), "read")
        yield colours.value("colour", row["colour"], "", formula)
    if circuit.load_amps is not None:
        yield _asked(circuit, circuit.load_amps)
    most = largest(circuit)
    if most is not None:
        formula = "largest rating that wire, contact and clearing stand"
        yield _standard().value("largest_allowed", most, "A", formula)
    yield _carried(circuit)
    seconds = gates(rating, circuit.family)[0].most_s
    formula = f"{CLEARS:g} x rating, which may flow up to {seconds:g} s"
    yield _standard_read().value("conventional_current", CLEARS * rating, "A", formula)
    yield from _dropped(circuit)
    yield from _short_circuits(circuit, rating)
    yield from _heating(circuit, rating)


def _by_chart(circuit: Protected) -> Iterator[Value]:
    """The fuse that a chart gives for a wire of this gauge, to hold the figure against."""
    for guide in table(AMPACITY).sections["protector_11_3"]:
        gauge = f"{guide['gauge']} AWG"
        if circuit.wire.name == gauge:
            formula = f"a conservative chart's fuse for {gauge}"
            amps = float(guide["fuse_amps"])
            yield row_origin(AMPACITY, guide).value("faa_protector", amps, "A", formula)


def _dropped(circuit: Protected) -> Iterator[Value]:
    """What the load loses out and back, where the supply's nominal volts are known."""
    volts = _lost(circuit)
    if volts is not None and math.isfinite(volts):
        origin = circuit.wire.origin.computed().beside(source_title(CONDUCTORS, "faa-11-66"))
        formula = "load x loop, the wire as warm as the load makes it"
        yield origin.value("drop", volts, "V", formula)


def _lost(circuit: Protected) -> float | None:
    """Volts that the load loses [V]; None where they are not judged here."""
    return None if circuit.nominal_volts is None else drop_at_load(circuit)


def _percent_lost(circuit: Protected) -> float | None:
    """Share of the nominal volts that the load loses [%]; None where it is not judged here."""
    lost = _lost(circuit)
    if lost is None or circuit.nominal_volts is None:
        return None
    return lost / circuit.nominal_volts * 100


def _drop_cautions(circuit: Protected) -> tuple[str, ...]:
    percent = _percent_lost(circuit)
    if percent is None:
        return ()
    return tuple(f"volts lost on the way: {each}" for each in drop_verdict(percent))


def _asked(circuit: Protected, load: float) -> Value:
    at = circuit.fuse_at_C
    left = f"derating for {at:g} C ({held_share(at, circuit.family):.3g})"
    curve = "rerating-read" if circuit.family == LARGE_BLADE else "rerating"
    origin = memory(FILE, "protection-terms").beside(source_title(FILE, curve))
    formula = f"load / {continuous_ratio():g} / {left}"
    return origin.value("asked_by_load", asked_amps(load, at, circuit.family), "A", formula)


def _carried(circuit: Protected) -> Value:
    share = bundle_factor(circuit.bundle)
    formula = f"heat balance at {circuit.limit_C:g} C in {circuit.ambient_C:g} C x {share.factor:g}"
    origin = circuit.wire.origin.computed().beside(share.condition)
    return origin.value("ampacity", circuit.ampacity_amps, "A", formula)


def _short_circuits(circuit: Protected, rating: float) -> Iterator[Value]:
    wire = circuit.wire.origin.computed()
    far = far_end_amps(circuit)
    if far is not None:
        formula = "least volts / (source + loop with the wire hot)"
        yield wire.value("far_end_short", far, "A", formula)
        ratio = Origin(_standard().source, wire.status)
        formula = f"at least {CLEARS:g}, better {CLEARS_WELL:g}"
        yield ratio.value("clearing_ratio", far / rating, "x rating", formula)
    near = near_end_amps(circuit)
    if near is not None:
        ohm = Origin("Ohm's law", "computed")
        formula = f"{_whose(circuit)} volts / source, cold, at the fuse"
        yield ohm.value("near_end_short", near, "A", formula)
        breaks = family_figure(circuit.family, "breaking_amps")
        formula = f"table row of {circuit.family}"
        yield _standard_read().value("breaking_capacity", breaks, "A", formula)


def _heating(circuit: Protected, rating: float) -> Iterator[Value]:
    wire = circuit.wire.origin.computed()
    if circuit.load_amps is not None:
        runs = reached_C(circuit, circuit.load_amps)
        yield wire.value("running_temperature", runs, "C", "heat balance at the load")
    yield from _overload(circuit, rating)
    k = withstand_k(circuit)
    final, start = short_circuit_limit_C(circuit.limit_C), circuit.limit_C
    formula = f"226 sqrt(ln((234.5 + Tf)/(234.5 + Ti))), Tf {final:g} C, Ti {start:g} C, its class"
    yield Origin("IEC 60364-5-54", MEMORY).value("adiabatic_k", k, "A s^0.5/mm2", formula)
    stands = stands_A2s(circuit)
    yield Origin("IEC 60364-4-43", MEMORY).value("withstand_i2t", stands, "A2s", "k^2 A^2")
    lets = let_through_A2s(rating, circuit.family)
    formula = "(6 x rating)^2 x longest time at 6 x, taken as constant beyond"
    yield _standard().value("let_through", lets, "A2s", formula)


def _overload(circuit: Protected, rating: float) -> Iterator[Value]:
    """How hot the longest overload gets the wire, and how far that is under a test of 240 h."""
    gate = gates(rating, circuit.family)[0]
    reached = overload_reached_C(circuit, rating)
    origin = circuit.wire.origin.computed()
    formula = f"{gate.times:g} x rating for {gate.most_s:g} s"
    yield origin.value("overload_temperature", reached, "C", formula)
    tested = stood_C(circuit, figure(CONDUCTORS, "overload", "240 h", "seconds"))
    formula = f"to {tested:g} C, which its insulation must survive once for 240 h"
    yield origin.value("overload_margin", tested - reached, "K", formula)


def _thin_lead(circuit: Protected, least_csa: float | None) -> str:
    if least_csa is None or circuit.wire.area_mm2 >= least_csa * (1 - ROUND):
        return ""
    wants = f"the leaflet wants a lead of at least {least_csa:g} mm2"
    return f"{wants}; this one is {circuit.wire.name}"


def _leaflet_cautions(circuit: Protected, leaflet: float, computed: float | None) -> Iterator[str]:
    for objection in low_objections(leaflet, circuit):
        yield f"the leaflet's {leaflet:g} A: {objection.text}"
    if computed is not None and computed != leaflet:
        yield f"the leaflet's {leaflet:g} A governs; the load alone would give {computed:g} A"


def _warm_cautions(circuit: Protected) -> Iterator[str]:
    hottest = ambient_span().hottest
    if circuit.family == BLADE and circuit.load_amps is not None and circuit.fuse_at_C > hottest:
        taken = f"the steepest curve that was read is taken ({source_title(FILE, 'rerating-read')})"
        yield f"no share of a small blade is known for {circuit.fuse_at_C:g} C: {taken}"


def _slow_cautions(circuit: Protected, rating: float) -> Iterator[str]:
    far = far_end_amps(circuit)
    if far is not None and CLEARS * rating <= far < CLEARS_WELL * rating:
        draws = f"draws {far:.3g} A, under {CLEARS_WELL:g} x {rating:g} A"
        yield f"a short at the far end {draws}: it opens slowly"


def _collision(circuit: Protected) -> tuple[str, tuple[str, ...]]:
    """Which limits leave no rating between them, and what would make room."""
    every = ratings(circuit.family)
    wanted = _wanted(circuit)
    if wanted is None:
        return _none_large_enough(circuit, every[-1])
    against = list(high_objections(wanted, circuit))
    if {objection.kind for objection in against} <= MENDED_BY_MAKE:
        why = f"{wanted:g} A suits load and wire, but {_texts(against)}"
        return why, tuple(_cures(circuit, wanted))
    below = "the smallest rating there is"
    if wanted > every[0]:
        smaller = every[every.index(wanted) - 1]
        below = _texts(low_objections(smaller, circuit))
    above = _texts(against)
    why = f"no fuse does: below {wanted:g} A, {below}; at {wanted:g} A, {above}"
    return why, tuple(_cures(circuit, wanted))


def _none_large_enough(circuit: Protected, largest_amps: float) -> tuple[str, tuple[str, ...]]:
    """That not even the largest fuse of the family does, and what would help."""
    too_small = _texts(low_objections(largest_amps, circuit))
    why = f"no {circuit.family} fuse is large enough: {too_small}"
    larger = "take another kind of protection"
    if circuit.family == BLADE:
        larger = "take a fuse of the larger family"
    cure = ("part the load over two fused circuits", larger)
    return f"{why}; the largest is {largest_amps:g} A", cure


def _texts(objections: Iterable[Objection]) -> str:
    return "; ".join(objection.text for objection in objections)


def _kinds(rating: float, circuit: Protected) -> set[Against]:
    return {objection.kind for objection in high_objections(rating, circuit)}


def _cures(circuit: Protected, wanted: float) -> Iterator[str]:
    kinds = _kinds(wanted, circuit)
    if kinds & MENDED_BY_COPPER:
        yield from _copper_cures(circuit, wanted)
    if Against.CLEARING in kinds:
        yield "a shorter way, a heavier return or a stiffer source would let the fuse open"
    if Against.CONTACT in kinds:
        parted = "or the load parted over two contacts each with its own fuse"
        yield f"a contact of at least {wanted:g} A, {parted}"
    if Against.BREAKING in kinds:
        yield from _breaking_cures(circuit)
    if Against.RATED_VOLTS in kinds and circuit.max_volts <= greatest_volts(circuit.family):
        yield f"the {greatest_volts(circuit.family):g} V make of the same fuse, its volts stated"
    most = largest(circuit)
    if most is not None and _lacks_for_load_alone(most, circuit):
        least = most * continuous_ratio() * held_share(circuit.fuse_at_C, circuit.family)
        yield f"{most:g} A would do for a load of at most {least:.3g} A"


def _lacks_for_load_alone(rating: float, circuit: Protected) -> bool:
    """Whether nothing but the load's current is against a rating [A]: less load would help."""
    return {objection.kind for objection in low_objections(rating, circuit)} == {Against.LOAD}


def _breaking_cures(circuit: Protected) -> Iterator[str]:
    """What breaks a short behind the fuse, in figures: never a longer lead with no fuse ahead."""
    near = near_end_amps(circuit)
    if near is None:
        return
    amps = _rounded_up(near, 100)
    kind = "a bolted strip or cylinder type"
    yield f"ahead of it, at the source, a fuse that breaks {amps:g} A or more ({kind})"


def _rounded_up(value: float, step: float) -> float:
    """The value rounded up to a multiple of a step."""
    return round(math.ceil(value / step - ROUND) * step, 6)


def _copper_cures(circuit: Protected, wanted: float) -> Iterator[str]:
    for area in metric_sizes():
        if area <= circuit.wire.area_mm2:
            continue
        trial = _thicker(circuit, area)
        if not _kinds(wanted, trial) & MENDED_BY_COPPER:
            yield f"a {area:g} mm2 wire would stand {wanted:g} A{_losing(trial)}"
            break
    if circuit.bundle > 1:
        alone = replace(circuit, bundle=1)
        if not any(high_objections(wanted, alone)):
            yield f"laid singly, {circuit.wire.name} would stand {wanted:g} A"


def _losing(circuit: Protected) -> str:
    """What the load would still lose on the way, where the circuit's drop is judged here."""
    lost = _lost(circuit)
    if lost is None:
        return ""
    return f" (the load then loses {lost:.3g} V out and back, {_percent_lost(circuit):.3g} %)"


def _thicker(circuit: Protected, area_mm2: float) -> Protected:
    """The circuit with a thicker wire of the same wall, where that wall is tabled."""
    wire = cable(f"{area_mm2:g}", circuit.wire.wall)
    if wire.outside_mm is None:
        wire = cable(f"{area_mm2:g}")
    loop = circuit.loop_ohms
    if loop is not None:
        loop *= wire.ohm_per_m_20C / circuit.wire.ohm_per_m_20C
    return replace(circuit, wire=wire, loop_ohms=loop)


def _assumptions(circuit: Protected) -> tuple[str, ...]:
    final = short_circuit_limit_C(circuit.limit_C)
    limit = f"{stood_C(circuit, 0):g} C"
    lines = [
        f"{circuit.ambient_C:g} C around the wire, {circuit.fuse_at_C:g} C around the fuse, "
        f"insulation to {circuit.limit_C:g} C; {lying_told(circuit.bundle)}",
        "opening limits as quoted of ISO 8820-3 at 23 C; between its points straight on "
        "double-log paper, so that the points themselves are the worst",
        "above 6 x rating the I2t is taken as constant at its value there",
        f"{limit} to 6 h is a test that insulation survives once (ISO 19642-2), no leave to run "
        "there, and says nothing of the tape, sleeve and plug beside it",
        f"up to {ADIABATIC_S:g} s no heat leaves the wire (k2 A2, {circuit.limit_C:g} to {final:g} "
        f"C); longer, the heat balance in time stays under {limit}, all the time under its class; "
        "600 s are steady for one small wire",
        f"lowest volts {circuit.min_volts:g} V, wire at {circuit.limit_C:g} C for clearing; "
        f"{_whose(circuit)} {circuit.short_volts:g} V cold for breaking",
    ]
    if _lost(circuit) is None:
        lines.append("volts lost on the way are not judged here")
    if circuit.source_ohms is None:
        lines.append("source resistance not known: short-circuit currents are not judged")
    return tuple(lines)


def _whose(circuit: Protected) -> str:
    """Whose volts feed a short behind the fuse."""
    return "the greatest stated" if circuit.battery_volts is None else "the battery's own"


def _inputs(
    circuit: Protected, leaflet: float | None, upstream: float | None
) -> tuple[tuple[str, object], ...]:
    return (
        ("load_amps", circuit.load_amps),
        ("csa", circuit.wire.name),
        ("wall", circuit.wire.wall),
        ("source_ohms", circuit.source_ohms),
        ("loop_ohms_hot", circuit.loop_ohms),
        ("min_volts", circuit.min_volts),
        ("max_volts", circuit.max_volts),
        ("ambient_C", circuit.ambient_C),
        ("limit_C", circuit.limit_C),
        ("bundle", circuit.bundle),
        ("contact_amps", circuit.contact_amps),
        ("inrush_amps", circuit.inrush_amps),
        ("inrush_s", circuit.inrush_s),
        ("family", circuit.family),
        ("fuse_volts", circuit.rated_volts),
        ("leaflet_amps", leaflet),
        ("upstream_amps", upstream),
    )
