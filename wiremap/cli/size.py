"""`wiremap size`: one figure with its parents."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from typing import Any

from wiremap.base import fault
from wiremap.cli.common import HOLDS, OK, UNREAD, emit_json, json_flag, note, say
from wiremap.cli.size_answers import ANSWERS
from wiremap.cli.size_options import SizeOptions, things
from wiremap.reports.screen import ONE_LINE, SHORT, lines_up_to, wrapped
from wiremap.sizing.sized import OutOfRange, Sized, UnknownSize, Value, tidy

EXAMPLES = """examples:
  wiremap size awg 20
  wiremap size conductor --csa 0.5
  wiremap size ampacity --csa 0.5 --ambient 23 --limit 105 --bundle 10
  wiremap size drop --csa "16 AWG" --length 13ft --amps 5 --volts 12
  wiremap size fuse --load 3 --csa 0.5 --length 2 --volts 12 --source-milliohm 20
  wiremap size joint --csa 0.5 --csa 0.5
  wiremap size sleeve --over 3.0 --grip 1.6 --wet
  wiremap size bundle --diameter 1.6 --diameter 2.4
  wiremap size stagger --run 390 --tail 350 --tail 400 --joints 16 --pairs 2
"""


MOST_ASSUMED = 5
FIGURE_NAMES = {  # where the name of a figure is a word of the code
    "stations": "how many places",
    "abreast": "side by side",
    "lump_diameter": "thickest place",
    "asked_by_load": "least rating for the load",
    "largest_allowed": "greatest rating for this wire",
    "conventional_current": "fusing current",
    "withstand_i2t": "withstand I2t",
    "let_through": "let-through I2t",
}


def add(subparsers: Any) -> None:
    """Register `size` and what it sizes."""
    parser = subparsers.add_parser(
        "size",
        help="size a conductor, drop, fuse, joint, sleeve, bundle or stagger",
        epilog=EXAMPLES,
    )
    named = parser.add_subparsers(dest="thing", required=True, metavar="THING")
    for name, told in things().items():
        thing = named.add_parser(
            name, help=told["help"], description=told["help"], epilog=_example(name)
        )
        thing.add_argument("--full", action="store_true", help="the source beside every figure")
        json_flag(thing)
        if name == "awg":
            thing.add_argument("gauge", help="a gauge (20, 4/0) or an area (0.5mm2)")
        for option, keywords in told["options"].items():
            if keywords.get("action") != "store_true":
                keywords = {"metavar": "VALUE", **keywords}
            thing.add_argument(f"--{option}", **keywords)
    parser.set_defaults(run=run)


def _example(thing: str) -> str:
    """The example of one thing."""
    begins = f"  wiremap size {thing} "
    return "\n".join(line for line in EXAMPLES.splitlines() if line.startswith(begins))


def run(args: argparse.Namespace) -> int:
    """Print the figure asked for; 1 when there is none, 2 when a value cannot be used."""
    try:
        sized = ANSWERS[args.thing](SizeOptions(args))
    except UnknownSize as unknown:
        sized = Sized(why=str(unknown), cure=("measure the conductor, or read its print",))
    except OutOfRange as refusal:
        _refused(str(refusal), as_json=args.json)
        return UNREAD
    if args.json:
        emit_json("size", sized.as_dict())
    elif args.full or not sized.found:
        _tell_full(sized)
    else:
        for line in brief(sized):
            say(line)
    return OK if sized.found else HOLDS


def _refused(sentence: str, *, as_json: bool) -> None:
    if as_json:
        findings = [fault("size-input", sentence).as_dict()]
        empty: dict[str, Any] = {"results": [], "inputs": {}, "assumptions": []}
        emit_json("size", {**empty, "why": sentence, "findings": findings})
    note(sentence)


def _tell_full(sized: Sized) -> None:
    if not sized.found:
        say(f"No answer: {sized.why}")
        for cure in sized.cure:
            say(f"  would help: {cure}")
    for result in sized.results:
        say(_named(result))
        say(f"    {result.formula}; {result.source} [{result.status}]")
    for caution in sized.cautions:
        say(f"caution: {caution}")
    for assumption in sized.assumptions:
        say(f"assumed: {assumption}")


def _named(result: Value) -> str:
    name = FIGURE_NAMES.get(result.name) or result.name.replace("_", " ")
    unit = "" if result.unit == "1" else result.unit
    return f"{name}: {_value(result)} {unit}".rstrip()


def brief(sized: Sized) -> Iterator[str]:
    """Each figure with its formula and the number of its source, like ones together; each source
    once.
    """
    every = [f"[{result.status}]: {result.source}" for result in sized.results]
    sources = list(dict.fromkeys(every))
    names_of: dict[tuple[str, str, str], list[str]] = {}
    for result, source in zip(sized.results, every, strict=True):
        name, _, value = _named(result).partition(": ")
        names_of.setdefault((value, source, result.formula), []).append(name)
    for (value, source, formula), names in names_of.items():
        number = sources.index(source) + 1
        yield from wrapped(f"{_together(names)}: {value} [{number}]  ({formula})", most=ONE_LINE)
    for caution in sized.cautions:
        yield from wrapped(caution, lead="caution: ", most=SHORT)
    yield from lines_up_to(
        [f"assumed: {each}" for each in sized.assumptions], MOST_ASSUMED, each=ONE_LINE
    )
    for number, source in enumerate(sources, 1):
        yield from wrapped(f"source {number} {source}", most=ONE_LINE)
    yield "all of it: --full"


def _together(names: list[str]) -> str:
    """Names of like figures as one: `cut j1, j5, j9`."""
    first, *others = names
    return ", ".join((first, *(name.rpartition(" ")[2] for name in others)))


def _value(result: Value) -> str:
    if isinstance(result.value, int | float):
        return f"{tidy(result.value):.4g}"
    return str(result.value)
