"""`wiremap size`: one figure with its parents."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from wiremap.base import fault
from wiremap.cli.common import HOLDS, OK, UNREAD, emit_json, json_flag, note, say
from wiremap.cli.size_options import Asked, things
from wiremap.sizing import units
from wiremap.sizing.ampacity import size_ampacity
from wiremap.sizing.bundle import size_bundle
from wiremap.sizing.circuit import plain_circuit
from wiremap.sizing.conductor import cable
from wiremap.sizing.drop import check_length, size_drop
from wiremap.sizing.fuse import size_fuse
from wiremap.sizing.gauges import size_awg, size_conductor
from wiremap.sizing.joint import size_joint
from wiremap.sizing.sized import OutOfRange, Sized, UnknownSize, Value, tidy
from wiremap.sizing.sleeve import size_sleeve
from wiremap.sizing.stagger import size_stagger
from wiremap.sizing.stations import Window

EXAMPLES = """examples:
  wiremap size awg 20
  wiremap size ampacity --csa 0.5 --wall thin --ambient 23 --limit 105 --bundle 10
  wiremap size drop --csa "16 AWG" --length 13ft --amps 5 --volts 12
  wiremap size fuse --load 3 --csa 0.5 --length 2 --volts 12 --source-milliohm 20 --ambient 40
  wiremap size stagger --run 390 --tail 350 --tail 400 --keep-out 40 --joints 16 --pairs 2
"""
ROOM_C = 20.0  # temperature at which conductors are measured, unless another is asked for


def add(subparsers: Any) -> None:
    """Register `size` and what it sizes."""
    parser = subparsers.add_parser(
        "size",
        help="size a conductor, drop, fuse, joint, sleeve, bundle or stagger",
        epilog=EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    named = parser.add_subparsers(dest="thing", required=True, metavar="THING")
    for name, told in things().items():
        thing = named.add_parser(name, help=told["help"], description=told["help"])
        json_flag(thing)
        if name == "awg":
            thing.add_argument("gauge", help="a gauge (20, 4/0) or an area (0.5mm2)")
        for option, keywords in told["options"].items():
            thing.add_argument(f"--{option}", **keywords)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print the figure asked for; 1 when there is none, 2 when a value cannot be used."""
    try:
        sized = ANSWERS[args.thing](Asked(args))
    except UnknownSize as unknown:
        sized = Sized(why=str(unknown), cure=("measure the conductor, or read its print",))
    except OutOfRange as refusal:
        _refused(str(refusal), as_json=args.json)
        return UNREAD
    if args.json:
        emit_json("size", sized.as_dict())
    else:
        _words(sized)
    return OK if sized.found else HOLDS


def _refused(sentence: str, *, as_json: bool) -> None:
    if as_json:
        findings = [fault("size-input", sentence).as_dict()]
        empty: dict[str, Any] = {"results": [], "inputs": {}, "assumptions": []}
        emit_json("size", {**empty, "why": sentence, "findings": findings})
    note(sentence)


def _words(sized: Sized) -> None:
    if not sized.found:
        say(f"No answer: {sized.why}")
        for cure in sized.cure:
            say(f"  would help: {cure}")
    for result in sized.results:
        name = result.name.replace("_", " ")
        say(f"{name}: {_value(result)} {result.unit}".rstrip())
        say(f"    {result.formula}; {result.source} [{result.status}]")
    for caution in sized.cautions:
        say(f"caution: {caution}")
    for assumption in sized.assumptions:
        say(f"assumed: {assumption}")


def _value(result: Value) -> str:
    if isinstance(result.value, int | float):
        return f"{tidy(result.value):.4g}"
    return str(result.value)


# -- one function for each thing ------------------------------------------------------------


def _awg(asked: Asked) -> Sized:
    return size_awg(asked.text("gauge"))


def _conductor(asked: Asked) -> Sized:
    at = asked.number("temperature", "C")
    celsius = ROOM_C if at is None else at
    return size_conductor(asked.csa(), asked.text("wall"), celsius, asked.text("family"))


def _ampacity(asked: Asked) -> Sized:
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


def _drop(asked: Asked) -> Sized:
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
    )


def _fuse(asked: Asked) -> Sized:
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
    )
    return size_fuse(
        circuit,
        leaflet_amps=asked.number("leaflet", "A"),
        upstream_amps=asked.number("upstream", "A"),
        leaflet_min_csa_mm2=asked.number("leaflet_csa", "mm2"),
    )


def _sleeve(asked: Asked) -> Sized:
    return size_sleeve(
        asked.mm_needed("over"),
        asked.mm_needed("grip"),
        wet=asked.given("wet"),
        joint_mm=asked.mm("joint"),
        overlap=asked.mm("overlap"),
        supplied_factor=asked.number("supplied_factor"),
        recovered_factor=asked.number("recovered_factor"),
    )


def _joint(asked: Asked) -> Sized:
    given = asked.texts("csa")
    if len(given) < 2:
        raise OutOfRange(
            "--csa is needed at least twice: the first is one side of the joint, the others the "
            "other side (0.5+1 lays two wires on one side)"
        )
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


def _bundle(asked: Asked) -> Sized:
    diameters = asked.texts("diameter")
    if not diameters:
        raise OutOfRange(
            "--diameter is needed at least once: a wire's outside diameter in mm or in"
        )
    return size_bundle([units.length_mm(each, "--diameter", "mm") for each in diameters])


def _stagger(asked: Asked) -> Sized:
    tails = asked.texts("tail")
    if len(tails) != 2:
        raise OutOfRange("--tail is needed twice: the machine's free length, then the unit's")
    run_mm = asked.mm_needed("run_")
    edge = asked.mm("keep_out") or 0.0
    barred = [_stretch(text) for text in asked.texts("avoid")]
    if edge > 0:
        barred = [(0.0, edge), (run_mm - edge, run_mm), *barred]
    machine, unit = (units.length_mm(each, "--tail", "mm") for each in tails)
    return size_stagger(
        Window(run_mm, machine, unit, tuple(barred)),
        asked.whole("joints"),
        pairs=asked.whole("pairs", 0),
        spacing_mm=asked.mm("spacing"),
        diameter_mm=asked.mm("diameter") or 0.0,
        sleeve_mm=asked.mm_needed("sleeve"),
    )


def _stretch(text: str) -> tuple[float, float]:
    """Two lengths such as 200-260, in mm from the machine's end."""
    start, dash, end = text.partition("-")
    if not dash:
        raise OutOfRange(
            f"--avoid must be two lengths from the machine's datum, as in 200-260; got {text!r}"
        )
    return units.length_mm(start, "--avoid", "mm"), units.length_mm(end, "--avoid", "mm")


ANSWERS: dict[str, Callable[[Asked], Sized]] = {
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
