"""`wiremap size`: one figure with its parents."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from wiremap.base import fault
from wiremap.cli.common import HOLDS, OK, UNREAD, emit_json, json_flag, note, say
from wiremap.sizing import units
from wiremap.sizing.ampacity import size_ampacity
from wiremap.sizing.bundle import size_bundle
from wiremap.sizing.circuit import plain_circuit
from wiremap.sizing.conductor import cable
from wiremap.sizing.drop import check_length, size_drop
from wiremap.sizing.fuse import size_fuse
from wiremap.sizing.gauges import size_awg, size_conductor
from wiremap.sizing.joint import size_joint
from wiremap.sizing.sized import OutOfRange, Sized, UnknownSize, tidy
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


def add(subparsers: Any) -> None:
    """Register `size` and what it sizes."""
    parser = subparsers.add_parser(
        "size",
        help="size a conductor, drop, fuse, joint, sleeve, bundle or stagger",
        epilog=EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    things = parser.add_subparsers(dest="thing", required=True, metavar="THING")
    for name, (told, options, answer) in THINGS.items():
        thing = things.add_parser(name, help=told, description=told)
        json_flag(thing)
        if name == "awg":
            thing.add_argument("gauge", help="a gauge (20, 4/0) or an area (0.5mm2)")
        for flag, keywords in options:
            thing.add_argument(flag, **keywords)
        thing.set_defaults(answer=answer)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print the figure asked for; 1 when there is none, 2 when a value is out of range or unreadable."""
    try:
        sized: Sized = args.answer(args)
    except UnknownSize as unknown:
        sized = Sized(why=str(unknown), cure=("measure the conductor, or read its print",))
    except OutOfRange as refusal:
        _refused(str(refusal), args.json)
        return UNREAD
    if args.json:
        emit_json("size", sized.as_dict())
    else:
        _words(sized)
    return OK if sized.found else HOLDS


def _refused(sentence: str, as_json: bool) -> None:
    if as_json:
        emit_json(
            "size",
            {
                "results": [],
                "inputs": {},
                "assumptions": [],
                "why": sentence,
                "findings": [fault("size-input", sentence).as_dict()],
            },
        )
    note(sentence)


def _words(sized: Sized) -> None:
    if not sized.found:
        say(f"No answer: {sized.why}")
        for cure in sized.cure:
            say(f"  would help: {cure}")
    for result in sized.results:
        value = (
            f"{tidy(result.value):.4g}" if isinstance(result.value, (int, float)) else result.value
        )
        say(f"{result.name.replace('_', ' ')}: {value} {result.unit}".rstrip())
        say(f"    {result.formula}; {result.source} [{result.status}]")
    for caution in sized.cautions:
        say(f"caution: {caution}")
    for assumption in sized.assumptions:
        say(f"assumed: {assumption}")


# -- reading the options -------------------------------------------------------------------------------


def _num(
    args: argparse.Namespace, name: str, unit: str = "", units_: tuple[str, ...] = ()
) -> float | None:
    text = getattr(args, name)
    return None if text is None else units.number(text, "--" + name.replace("_", "-"), unit, units_)


def _must(
    args: argparse.Namespace, name: str, unit: str = "", units_: tuple[str, ...] = ()
) -> float:
    value = _num(args, name, unit, units_)
    if value is None:
        raise OutOfRange(
            f"--{name.replace('_', '-')} is needed" + (f": a number in {unit}" if unit else "")
        )
    return value


def _whole(text: str, name: str) -> int:
    value = units.number(text, name)
    if value != int(value):
        raise OutOfRange(f"{name} must be a whole number; got {text!r}")
    return int(value)


def _mm(args: argparse.Namespace, name: str, default: str = "mm") -> float | None:
    text = getattr(args, name)
    return None if text is None else units.length_mm(text, "--" + name.replace("_", "-"), default)


def _mm_must(args: argparse.Namespace, name: str, default: str = "mm") -> float:
    value = _mm(args, name, default)
    if value is None:
        raise OutOfRange(f"--{name.replace('_', '-')} is needed: a length in m, mm, ft or in")
    return value


def _csa(args: argparse.Namespace) -> str:
    if args.csa is None:
        raise OutOfRange('--csa is needed: a cross-section in mm2 (0.5) or AWG ("20 AWG")')
    return str(args.csa)


# -- one function per thing ----------------------------------------------------------------------------


def _awg(args: argparse.Namespace) -> Sized:

    return size_awg(args.gauge)


def _conductor(args: argparse.Namespace) -> Sized:

    at = _num(args, "temperature", "C")
    return size_conductor(_csa(args), args.wall, 20.0 if at is None else at, args.family or "")


def _ampacity(args: argparse.Namespace) -> Sized:

    bundle = 1 if args.bundle is None else _whole(args.bundle, "--bundle")
    return size_ampacity(
        _csa(args),
        args.wall,
        _must(args, "ambient", "C"),
        _must(args, "limit", "C"),
        bundle,
        amps=_num(args, "amps", "A"),
        family=args.family or "",
        seconds=_num(args, "seconds", "s"),
    )


def _drop(args: argparse.Namespace) -> Sized:

    parts = _num(args, "parts_milliohm", "mohm")
    return size_drop(
        _csa(args),
        _mm_must(args, "length", "m"),
        _must(args, "amps", "A"),
        _must(args, "volts", "V"),
        ambient_C=_num(args, "ambient", "C"),
        temperature_C=_num(args, "temperature", "C"),
        wall=args.wall,
        family=args.family or "",
        parts_ohms=(parts or 0.0) / 1000,
        intermittent=args.intermittent,
    )


def _fuse(args: argparse.Namespace) -> Sized:

    length = _mm_must(args, "length", "m")
    check_length(length)
    source, back = _num(args, "source_milliohm", "mohm"), _num(args, "return_milliohm", "mohm")
    circuit = plain_circuit(
        _csa(args),
        length,
        _must(args, "volts", "V"),
        _must(args, "load", "A"),
        wall=args.wall,
        source_ohms=None if source is None else source / 1000,
        ambient_C=_must(args, "ambient", "C"),
        limit_C=_must(args, "limit", "C"),
        min_volts=_num(args, "min_volts", "V"),
        max_volts=_num(args, "max_volts", "V"),
        family=args.family or "",
        return_ohms=None if back is None else back / 1000,
    )
    circuit = replace(
        circuit,
        bundle=1 if args.bundle is None else _whole(args.bundle, "--bundle"),
        family=args.fuse,
        contact_amps=_num(args, "contact", "A"),
        inrush_amps=_num(args, "inrush", "A"),
        inrush_s=_num(args, "inrush_seconds", "s"),
        fuse_ambient_C=_num(args, "fuse_ambient", "C"),
    )
    least = args.leaflet_csa
    return size_fuse(
        circuit,
        leaflet_amps=_num(args, "leaflet", "A"),
        upstream_amps=_num(args, "upstream", "A"),
        leaflet_min_csa_mm2=None if least is None else units.number(least, "--leaflet-csa", "mm2"),
    )


def _sleeve(args: argparse.Namespace) -> Sized:

    return size_sleeve(
        _mm_must(args, "over"),
        _mm_must(args, "grip"),
        wet=args.wet,
        joint_mm=_mm(args, "joint"),
        overlap=_mm(args, "overlap"),
        supplied_factor=_num(args, "supplied_factor"),
        recovered_factor=_num(args, "recovered_factor"),
    )


def _joint(args: argparse.Namespace) -> Sized:

    given = args.csa or []
    if len(given) < 2:
        raise OutOfRange(
            "--csa is needed at least twice: the first is one side of the joint, the others the other "
            "side (0.5+1 lays two wires on one side)"
        )
    sides = [[cable(part, args.wall) for part in text.split("+")] for text in given]
    left, right = sides[0], [c for side in sides[1:] for c in side]
    return size_joint(
        left,
        right,
        args.kind,
        wet=args.wet,
        moves=args.moves,
        supported=args.supported,
        tinned=args.tinned,
    )


def _bundle(args: argparse.Namespace) -> Sized:

    if not args.diameter:
        raise OutOfRange(
            "--diameter is needed at least once: a wire's outside diameter in mm or in"
        )
    return size_bundle([units.length_mm(text, "--diameter", "mm") for text in args.diameter])


def _stagger(args: argparse.Namespace) -> Sized:

    tails = args.tail or []
    if len(tails) != 2:
        raise OutOfRange("--tail is needed twice: the machine's free length, then the unit's")
    run_mm = _mm_must(args, "run_")
    edge = _mm(args, "keep_out") or 0.0
    barred = [(0.0, edge), (run_mm - edge, run_mm)] if edge > 0 else []
    for text in args.avoid or []:
        start, dash, end = text.partition("-")
        if not dash:
            raise OutOfRange(
                f"--avoid must be two lengths from the machine's datum, as in 200-260; got {text!r}"
            )
        barred.append(
            (units.length_mm(start, "--avoid", "mm"), units.length_mm(end, "--avoid", "mm"))
        )
    machine, unit = (units.length_mm(t, "--tail", "mm") for t in tails)
    window = Window(run_mm, machine, unit, tuple(barred))
    return size_stagger(
        window,
        _whole(args.joints, "--joints"),
        pairs=_whole(args.pairs, "--pairs"),
        spacing_mm=_mm(args, "spacing"),
        diameter_mm=_mm(args, "diameter") or 0.0,
        sleeve_mm=_mm_must(args, "sleeve"),
    )


def _text(told: str, **more: Any) -> dict[str, Any]:
    return {"help": told, **more}


CSA = ("--csa", _text('cross-section: mm2 (0.5), "20 AWG" or "SAE 20"'))
WALL = ("--wall", _text("insulation: thin or thick (default thin)", default="thin"))
FAMILY = ("--family", _text("table to take a metric size from: iso, iec or jis"))
AMBIENT = ("--ambient", _text("ambient in C (default 23)", default="23"))
LIMIT = ("--limit", _text("insulation's limit in C (default 85)", default="85"))
BUNDLE = ("--bundle", _text("loaded wires lying together"))
LENGTH = ("--length", _text("length one way: m unless mm, ft or in is written"))
WET = ("--wet", _text("wet place: adhesive-lined sleeve", action="store_true"))
Options = tuple[tuple[str, dict[str, Any]], ...]
THINGS: dict[str, tuple[str, Options, Callable[[argparse.Namespace], Sized]]] = {
    "awg": ("area, diameter and resistance of a gauge, or the gauge of an area", (), _awg),
    "conductor": (
        "resistance and diameters of a conductor",
        (CSA, WALL, FAMILY, ("--temperature", _text("conductor temperature in C (default 20)"))),
        _conductor,
    ),
    "ampacity": (
        "current a wire carries",
        (
            CSA,
            WALL,
            FAMILY,
            AMBIENT,
            LIMIT,
            BUNDLE,
            ("--amps", _text("also the temperature at this current")),
            ("--seconds", _text("also the temperature after this time")),
        ),
        _ampacity,
    ),
    "drop": (
        "volts lost out and back",
        (
            CSA,
            WALL,
            FAMILY,
            LENGTH,
            ("--amps", _text("current in A")),
            ("--volts", _text("nominal volts")),
            ("--ambient", _text("ambient in C: the drop at running temperature")),
            ("--temperature", _text("conductor temperature in C, instead of an ambient")),
            ("--parts-milliohm", _text("contacts, joints and fuse together")),
            ("--intermittent", _text("the load runs for short times only", action="store_true")),
        ),
        _drop,
    ),
    "fuse": (
        "fuse between load and wire",
        (
            CSA,
            WALL,
            FAMILY,
            LENGTH,
            AMBIENT,
            LIMIT,
            BUNDLE,
            ("--load", _text("continuous load in A")),
            ("--volts", _text("nominal volts")),
            ("--min-volts", _text("lowest volts")),
            ("--max-volts", _text("highest volts")),
            ("--source-milliohm", _text("resistance before the fuse")),
            ("--return-milliohm", _text("resistance of the return, instead of a like wire")),
            ("--contact", _text("what the weakest contact carries, in A")),
            ("--inrush", _text("peak current in A")),
            ("--inrush-seconds", _text("how long the peak lasts")),
            ("--fuse-ambient", _text("ambient of the fuse in C")),
            ("--fuse", _text("blade or large-blade", default="blade")),
            ("--leaflet", _text("the maker's stated fuse in A")),
            ("--leaflet-csa", _text("the maker's stated least lead in mm2")),
            ("--upstream", _text("fuse found upstream, in A")),
        ),
        _fuse,
    ),
    "joint": (
        "barrel and sleeve of a splice",
        (
            (
                "--csa",
                _text(
                    "a conductor; the first is one side, the others the other side", action="append"
                ),
            ),
            WALL,
            WET,
            (
                "--kind",
                _text("butt-crimp, open-barrel, lap-solder or solder-sleeve", default="butt-crimp"),
            ),
            ("--moves", _text("the harness moves here", action="store_true")),
            ("--supported", _text("held on both sides", action="store_true")),
            ("--tinned", _text("a conductor is tinned", action="store_true")),
        ),
        _joint,
    ),
    "sleeve": (
        "heat-shrink sleeve",
        (
            ("--over", _text("largest diameter it passes, mm")),
            ("--grip", _text("smallest diameter it grips, mm")),
            WET,
            ("--joint", _text("length of the joint under it: adds the length to cut")),
            ("--overlap", _text("sleeve on the insulation on each side")),
            ("--supplied-factor", _text("supplied bore over the largest diameter (default 1.2)")),
            (
                "--recovered-factor",
                _text("recovered bore over the smallest diameter (default 0.8)"),
            ),
        ),
        _sleeve,
    ),
    "bundle": (
        "diameter of wires lying together",
        (("--diameter", _text("a wire's outside diameter, mm", action="append")),),
        _bundle,
    ),
    "stagger": (
        "where the joints of a run go",
        (
            ("--run", _text("from datum to datum, mm", dest="run_")),
            (
                "--tail",
                _text("free length of the machine's, then of the unit's side", action="append"),
            ),
            ("--joints", _text("joints in all, those of pairs counted singly", default="1")),
            ("--pairs", _text("how many pairs are among them", default="0")),
            ("--keep-out", _text("no joint within this of either end")),
            ("--avoid", _text("a stretch without joints, as 200-260", action="append")),
            ("--spacing", _text("between stations (default 40 mm)")),
            ("--diameter", _text("of a sleeved joint")),
            ("--sleeve", _text("length of a pair's sleeve (default 25 mm)", default="25")),
        ),
        _stagger,
    ),
}
