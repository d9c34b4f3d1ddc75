"""The fuse of a circuit: the window between what the load asks for and what wire and contacts stand."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache

from wiremap.sizing.ampacity import (
    adiabatic_k,
    ampacity_amps,
    bundle_factor,
    check_temperatures,
    short_circuit_limit_C,
)
from wiremap.sizing.conductor import cable, metric_sizes
from wiremap.sizing.drop import check_supply
from wiremap.sizing.fuse_judge import (
    ADIABATIC_S,
    CLEARS,
    CLEARS_WELL,
    Circuit,
    Fault,
    far_end_amps,
    high_faults,
    judge,
    low_faults,
    near_end_amps,
    running_C,
    upstream_sentence,
)
from wiremap.sizing.fuse_limits import (
    FILE,
    STANDARD,
    Gate,
    ambient_share,
    asked_amps,
    continuous_ratio,
    gates,
    least_open_s,
    let_through_A2s,
    most_open_s,
    rating_row,
    ratings,
    selective,
)
from wiremap.sizing.sized import (
    MEMORY,
    OutOfRange,
    Sized,
    Value,
    in_range,
    rule_row,
    source_title,
    weakest,
)
from wiremap.trade.tables import table

__all__ = [
    "CLEARS",
    "CLEARS_WELL",
    "Circuit",
    "Fault",
    "Gate",
    "ambient_share",
    "asked_amps",
    "check_circuit",
    "choose",
    "far_end_amps",
    "gates",
    "high_faults",
    "judge",
    "largest",
    "least_open_s",
    "let_through_A2s",
    "low_faults",
    "most_open_s",
    "near_end_amps",
    "plain_circuit",
    "rating_row",
    "ratings",
    "selective",
    "size_fuse",
    "supply_range",
    "upstream_sentence",
]

SUPPLY_RANGE = {12: (9.0, 16.0), 24: (16.0, 32.0)}  # ISO 16750-2 codes C and F, from memory


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


def size_fuse(
    circuit: Circuit,
    *,
    leaflet_amps: float | None = None,
    leaflet_min_csa_mm2: float | None = None,
    upstream_amps: float | None = None,
) -> Sized:
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
        cautions.append(
            f"a short at the far end draws {far:.3g} A, under {CLEARS_WELL:g} x {rating:g} A: "
            "it opens slowly"
        )
    if upstream_amps is not None:
        in_range("the upstream fuse", upstream_amps, 0.5, 500, "A", STANDARD)
        first, told = selective(rating, upstream_amps, near_end_amps(circuit), circuit.family)
        results.append(
            Value(
                "selectivity",
                "opens first" if first else "not assured",
                "",
                told,
                source_title(FILE, "iso8820-3"),
                MEMORY,
            )
        )
        results.append(
            Value(
                "upstream",
                upstream_sentence(upstream_amps, circuit),
                "",
                "the same judgement, put to the upstream rating",
                source_title(FILE, "iso8820-3"),
                MEMORY,
            )
        )
        if not first:
            cautions.append(told)
    return Sized(tuple(results), inputs, _assumptions(circuit), cautions=tuple(cautions))


def check_circuit(circuit: Circuit) -> None:
    """Raises OutOfRange for figures that no answer belongs to."""
    ratings(circuit.family)
    check_supply(circuit.min_volts, "the lowest volts")
    check_supply(circuit.max_volts, "the highest volts")
    if circuit.min_volts > circuit.max_volts:
        raise OutOfRange(
            f"the lowest volts must not be above the highest {circuit.max_volts:g} V; "
            f"got {circuit.min_volts:g}"
        )
    check_temperatures(circuit.limit_C, circuit.ambient_C)
    bundle_factor(circuit.bundle)
    for name, value, low, high, unit in (
        ("load", circuit.load_amps, 1e-3, 100, "A"),
        ("the contact's current", circuit.contact_amps, 0.1, 500, "A"),
        ("inrush", circuit.inrush_amps, 1e-3, 1000, "A"),
        ("the inrush's length", circuit.inrush_s, 1e-4, 600, "s"),
        ("the source's resistance", circuit.source_ohms, 1e-4, 10, "ohm"),
        ("the loop's resistance", circuit.loop_ohms, 0, 1000, "ohm"),
    ):
        if value is not None:
            in_range(
                name,
                value,
                low,
                high,
                unit,
                f"scope of {STANDARD} blade fuses, 1 to 100 A, and their circuits",
            )
    ambient_share(circuit.ambient_C if circuit.fuse_ambient_C is None else circuit.fuse_ambient_C)


def _results(
    circuit: Circuit, rating: float, computed: float | None, leaflet: float | None
) -> Iterator[Value]:
    source = source_title(FILE, "iso8820-3")
    at = circuit.ambient_C if circuit.fuse_ambient_C is None else circuit.fuse_ambient_C
    if leaflet is not None:
        yield Value(
            "fuse",
            rating,
            "A",
            "the maker's stated figure governs",
            "maker's leaflet",
            "maker's leaflet",
        )
        if computed is not None:
            yield Value(
                "fuse_computed",
                computed,
                "A",
                "smallest rating against which nothing speaks",
                source,
                MEMORY,
            )
    else:
        yield Value(
            "fuse", rating, "A", "smallest rating against which nothing speaks", source, MEMORY
        )
    for guide in table("ampacity.toml").sections["protector_11_3"]:
        if circuit.wire.name == f"{guide['gauge']} AWG":
            yield Value(
                "faa_protector",
                float(guide["fuse_amps"]),
                "A",
                f"a conservative chart's fuse for {guide['gauge']} AWG",
                source_title("ampacity.toml", guide["source"]),
                guide["standing"],
            )
    row = rating_row(rating, circuit.family)
    if row:
        yield Value(
            "colour",
            row["colour"],
            "",
            f"table row of {rating:g} A, {circuit.family}",
            source_title(FILE, "blade-colours"),
            "read",
        )
    if circuit.load_amps is not None:
        yield Value(
            "asked_by_load",
            asked_amps(circuit.load_amps, at),
            "A",
            f"load / {continuous_ratio():g} / share left at {at:g} C ({ambient_share(at):.3g})",
            f"{source_title(FILE, 'protection-terms')}; {source_title(FILE, 'rerating')}",
            MEMORY,
        )
    if (most := largest(circuit)) is not None:
        yield Value(
            "largest_allowed",
            most,
            "A",
            "largest rating that wire, contact and clearing stand",
            source,
            MEMORY,
        )
    wire_status = weakest("computed", circuit.wire.status)
    factor, condition, _ = bundle_factor(circuit.bundle)
    yield Value(
        "ampacity",
        ampacity_amps(circuit.wire, circuit.limit_C, circuit.ambient_C) * factor,
        "A",
        f"heat balance at {circuit.limit_C:g} C in {circuit.ambient_C:g} C x {factor:g}",
        f"{circuit.wire.source}; {condition}",
        wire_status,
    )
    yield Value(
        "conventional_current",
        CLEARS * rating,
        "A",
        f"{CLEARS:g} x rating, which may flow up to {gates(rating, circuit.family)[0].most_s:g} s",
        source,
        "read",
    )
    yield from _short_circuits(circuit, rating, source)


def _short_circuits(circuit: Circuit, rating: float, source: str) -> Iterator[Value]:
    status = weakest("computed", circuit.wire.status)
    if (far := far_end_amps(circuit)) is not None:
        yield Value(
            "far_end_short",
            far,
            "A",
            "least volts / (source + loop with the wire hot)",
            circuit.wire.source,
            status,
        )
        yield Value(
            "clearing_ratio",
            far / rating,
            "x rating",
            f"at least {CLEARS:g}, better {CLEARS_WELL:g}",
            source,
            status,
        )
    if (near := near_end_amps(circuit)) is not None:
        yield Value(
            "near_end_short",
            near,
            "A",
            "highest volts / source, cold, at the fuse",
            "Ohm's law",
            "computed",
        )
        yield Value(
            "breaking_capacity",
            float(rule_row(FILE, "families", circuit.family)["breaking_amps"]),
            "A",
            f"table row of {circuit.family}",
            source,
            "read",
        )
    start = running_C(rating, circuit)
    final = short_circuit_limit_C(circuit.limit_C)
    k = adiabatic_k(start, final)
    yield Value(
        "running_temperature", start, "C", "heat balance at the load", circuit.wire.source, status
    )
    yield Value(
        "adiabatic_k",
        k,
        "A s^0.5/mm2",
        f"226 sqrt(ln((234.5 + Tf)/(234.5 + Ti))), Tf {final:g} C, Ti {start:.3g} C",
        "IEC 60364-5-54",
        MEMORY,
    )
    yield Value(
        "wire_stands", k * k * circuit.wire.area_mm2**2, "A2s", "k^2 A^2", "IEC 60364-4-43", MEMORY
    )
    yield Value(
        "let_through",
        let_through_A2s(rating, circuit.family),
        "A2s",
        "(6 x rating)^2 x longest time at 6 x, taken as constant beyond",
        source,
        MEMORY,
    )


def _leaflet_cautions(
    circuit: Circuit, leaflet: float | None, computed: float | None, least_csa: float | None
) -> Iterator[str]:
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
        return (
            f"no {circuit.family} fuse is large enough: {low}; the largest is {top:g} A",
            (
                "part the load over two fused circuits",
                "take a fuse of the larger family"
                if circuit.family == "blade"
                else "take another kind of protection",
            ),
        )
    smaller = [r for r in ratings(circuit.family) if r < wanted]
    low = (
        "; ".join(f.text for f in low_faults(smaller[-1], circuit))
        if smaller
        else "the smallest rating there is"
    )
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
            scaled = (
                circuit.loop_ohms
                and circuit.loop_ohms * thick.ohm_per_m_20C / circuit.wire.ohm_per_m_20C
            )
            trial = replace(circuit, wire=thick, loop_ohms=scaled)
            if not {f.kind for f in high_faults(wanted, trial)} & {
                "wire",
                "let-through",
                "clearing",
            }:
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


def _inputs(
    circuit: Circuit, leaflet: float | None, upstream: float | None
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
        ("leaflet_amps", leaflet),
        ("upstream_amps", upstream),
    )


def supply_range(
    volts: float, min_volts: float | None = None, max_volts: float | None = None
) -> tuple[float, float]:
    """Lowest and highest volts of a supply: as stated, else those of ISO 16750-2 for 12 and 24 V, else -25/+33 %."""
    low, high = (
        SUPPLY_RANGE.get(int(volts), (0.75 * volts, min(60.0, 4 / 3 * volts)))
        if volts == int(volts)
        else (0.75 * volts, min(60.0, 4 / 3 * volts))
    )
    return (low if min_volts is None else min_volts, high if max_volts is None else max_volts)


def plain_circuit(
    size: str,
    length_mm: float,
    volts: float,
    load_amps: float | None,
    *,
    wall: str = "thin",
    source_ohms: float | None = None,
    ambient_C: float = 23.0,
    limit_C: float = 85.0,
    min_volts: float | None = None,
    max_volts: float | None = None,
    family: str = "",
    return_ohms: float | None = None,
) -> Circuit:
    """A circuit of one wire out and its like back, or a return of known resistance."""
    check_supply(volts)
    wire = cable(size, wall, family)
    check_temperatures(limit_C, ambient_C)
    low, high = supply_range(volts, min_volts, max_volts)
    out = length_mm / 1000 * wire.ohm_per_m(limit_C)
    loop = out + (out if return_ohms is None else return_ohms)
    return Circuit(wire, load_amps, source_ohms, loop, low, high, ambient_C, limit_C)
