"""What each thing that `wiremap size` sizes asks of its options, and which formula answers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from wiremap.cli.size_options import SizeOptions
from wiremap.sizing import units
from wiremap.sizing.ampacity import size_ampacity
from wiremap.sizing.bundle import size_bundle
from wiremap.sizing.circuit import plain_circuit
from wiremap.sizing.conductor import cable
from wiremap.sizing.drop import check_length, size_drop
from wiremap.sizing.fuse import size_fuse
from wiremap.sizing.gauges import size_awg, size_conductor
from wiremap.sizing.joint import size_joint
from wiremap.sizing.sized import OutOfRange, Sized
from wiremap.sizing.sleeve import size_sleeve
from wiremap.sizing.stagger import size_stagger
from wiremap.sizing.stations import Window

ROOM_C = 20.0  # temperature at which conductors are measured, unless another is asked for


def _awg(asked: SizeOptions) -> Sized:
    return size_awg(asked.text("gauge"))


def _conductor(asked: SizeOptions) -> Sized:
    at = asked.number("temperature", "C")
    celsius = ROOM_C if at is None else at
    return size_conductor(asked.csa(), asked.text("wall"), celsius, asked.text("family"))


def _ampacity(asked: SizeOptions) -> Sized:
    return size_ampacity(
        asked.csa(),
        asked.text("wall"),
        asked.needed("ambient", "C"),
        asked.needed("limit", "C"),
        asked.whole("bundle"),
        amps=asked.number("amps", "A"),
        family=asked.text("family"),
        seconds=asked.number("seconds", "s"),
    )


def _drop(asked: SizeOptions) -> Sized:
    return size_drop(
        asked.csa(),
        asked.mm_needed("length", "m"),
        asked.needed("amps", "A"),
        asked.needed("volts", "V"),
        ambient_C=asked.number("ambient", "C"),
        temperature_C=asked.number("temperature", "C"),
        wall=asked.text("wall"),
        family=asked.text("family"),
        parts_ohms=asked.ohms("parts_milliohm") or 0.0,
        intermittent=asked.given("intermittent"),
        limit_C=asked.needed("limit", "C"),
    )


def _fuse(asked: SizeOptions) -> Sized:
    length = asked.mm_needed("length", "m")
    check_length(length)
    circuit = plain_circuit(
        asked.csa(),
        length,
        asked.needed("volts", "V"),
        asked.needed("load", "A"),
        wall=asked.text("wall"),
        source_ohms=asked.ohms("source_milliohm"),
        ambient_C=asked.needed("ambient", "C"),
        limit_C=asked.needed("limit", "C"),
        min_volts=asked.number("min_volts", "V"),
        max_volts=asked.number("max_volts", "V"),
        family=asked.text("family"),
        return_ohms=asked.ohms("return_milliohm"),
    )
    circuit = replace(
        circuit,
        bundle=asked.whole("bundle"),
        family=asked.text("fuse"),
        contact_amps=asked.number("contact", "A"),
        inrush_amps=asked.number("inrush", "A"),
        inrush_s=asked.number("inrush_seconds", "s"),
        fuse_ambient_C=asked.number("fuse_ambient", "C"),
        fuse_volts=asked.number("fuse_volts", "V"),
    )
    return size_fuse(
        circuit,
        leaflet_amps=asked.number("leaflet", "A"),
        upstream_amps=asked.number("upstream", "A"),
        leaflet_min_csa_mm2=asked.number("leaflet_csa", "mm2"),
    )


def _sleeve(asked: SizeOptions) -> Sized:
    return size_sleeve(
        asked.mm_needed("over"),
        asked.mm_needed("grip"),
        wet=asked.given("wet"),
        joint_mm=asked.mm("joint"),
        overlap=asked.mm("overlap"),
        supplied_factor=asked.number("supplied_factor"),
        recovered_factor=asked.number("recovered_factor"),
    )


def _joint(asked: SizeOptions) -> Sized:
    twice = (
        "at least twice: the first is one side of the joint, the others the other side "
        "(0.5+1 lays two wires on one side)"
    )
    given = asked.several("csa", twice, 2)
    wall = asked.text("wall")
    sides = [[cable(part, wall) for part in text.split("+")] for text in given]
    left, *others = sides
    right = [wire for side in others for wire in side]
    return size_joint(
        left,
        right,
        asked.text("kind"),
        wet=asked.given("wet"),
        moves=asked.given("moves"),
        supported=asked.given("supported"),
        tinned=asked.given("tinned"),
    )


def _bundle(asked: SizeOptions) -> Sized:
    once = "at least once: a wire's outside diameter in mm or in"
    diameters = asked.several("diameter", once)
    return size_bundle([units.length_mm(each, "--diameter", "mm") for each in diameters])


def _stagger(asked: SizeOptions) -> Sized:
    twice = "twice: the machine's free length, then the unit's"
    tails = asked.several("tail", twice, 2)
    if len(tails) > 2:
        raise OutOfRange(f"--tail is needed {twice}")
    run_mm = asked.mm_needed("run_")
    barred = [_stretch(text) for text in asked.texts("avoid")]
    machine, unit = (units.length_mm(each, "--tail", "mm") for each in tails)
    return size_stagger(
        Window(run_mm, machine, unit, tuple(barred)),
        asked.whole("joints"),
        pairs=asked.whole("pairs"),
        spacing_mm=asked.mm("spacing"),
        diameter_mm=asked.mm("diameter") or 0.0,
        sleeve_mm=asked.mm_needed("sleeve"),
        edge_mm=asked.mm("keep_out"),
    )


def _stretch(text: str) -> tuple[float, float]:
    """Two lengths such as 200-260, in mm from the machine's end."""
    start, dash, end = text.partition("-")
    if not dash:
        raise OutOfRange(
            f"--avoid must be two lengths from the machine's last tie, as in 200-260; got {text!r}"
        )
    return units.length_mm(start, "--avoid", "mm"), units.length_mm(end, "--avoid", "mm")


ANSWERS: dict[str, Callable[[SizeOptions], Sized]] = {
    "awg": _awg,
    "conductor": _conductor,
    "ampacity": _ampacity,
    "drop": _drop,
    "fuse": _fuse,
    "joint": _joint,
    "sleeve": _sleeve,
    "bundle": _bundle,
    "stagger": _stagger,
}
