"""Which statement is worse for which finding, as a table; and the ways to make one statement worse.

A job is held as its files' texts.  A statement is one scalar (or one entry) of them, found by its path;
making it worse edits that one place and nothing else, so that the reader, the defaults and the rules see
what a person would have written.

Not in the table, as leaving them out is no worse statement: `limit_C` (without it the class that most looms
are made of counts, and is told as an assumption) and a cavity's own `basis` (without it the paper's counts).
Nor tails and runs, without which no joint has a place at all; nor a further claim on a contact that was
measured, or on a unit's own paper: there one source is enough.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

import yaml

Texts = Mapping[str, str]
Steps = tuple[str | int, ...]
JOB = "job.yaml"
SUPPLIES = ("permanent-supply", "switched-supply", "accessory-supply", "lamp-feed", "power-ground")
DRIVES = ("high-side-drive", "low-side-drive")
BLADES = (1, 2, 3, 5, 7.5, 10, 15, 20, 25, 30)
SECTIONS = ("0.22", "0.35", "0.5", "0.75", "1", "1.5", "2.5", "4", "6")
EVERY = "*"


@dataclass(frozen=True, eq=False)
class Row:
    """One line of the table: a field, the direction that is worse, and the cells that are empty.

    `empty` holds the rules for which this change is better (or another matter), each with the reason;
    for every other rule of every family the change is worse.  `counted` is the reason why a job may
    come off its hold by it, what held being told as not judged from then on.
    """

    field: str
    direction: str
    where: tuple[str, ...]  # the path below the file, `*` for any key
    worse: Callable[[str], str | None]  # the statement's new text; None: it is left out
    empty: Mapping[str, str] = field(default_factory=dict)
    of: str = ""  # load or rating, where one key bears both; claim, plating: not where something else tells
    counted: str = ""


def more(text: str, by: float, plus: float = 0.0) -> str | None:
    """A figure made larger; what is no plain figure stays (None would leave it out)."""
    try:
        return f"{float(text) * by + plus:g}"
    except ValueError:
        return text


def next_fuse(text: str) -> str:
    """The next larger blade fuse."""
    larger = [amps for amps in BLADES if text != "size" and amps > float(text)]
    return f"{larger[0]:g}" if larger else text


def thinner(text: str) -> str:
    """A wire one section thinner, its colour kept."""
    size, _, rest = text.partition(" ")
    if size not in SECTIONS or SECTIONS.index(size) == 0:
        return text
    return f"{SECTIONS[SECTIONS.index(size) - 1]} {rest}".strip()


def sizeless(text: str) -> str | None:
    """A wire without its size."""
    size, _, rest = text.partition(" ")
    return (rest or None) if size in SECTIONS else text


def weaker_basis(text: str) -> str:
    """Measured becomes a document, a document hearsay."""
    return {"measured": "document", "document": "told"}.get(text, text)


def left_out(_: str) -> None:
    """Nothing is stated any more."""


CARRIES = "a larger fuse carries the load"
RESISTS = "more ohms on the way let less current into a short"
FITS = "a thinner wire fits a smaller hole, seal or barrel"
FED = ("ends", EVERY, "fed", EVERY)
LARGER_FUSE = {
    "fuse-too-small": CARRIES,
    "fuse-not-selective": "a larger fuse upstream leaves the smaller one to open first",
    "leaflet-fuse-differs": "a larger fuse may be the maker's own figure",
    "fuse-to-be-changed": "the larger fuse may be the one that was found",
    "fuse-no-such-rating": "the larger figure may be a rating that is made",
    "no-fuse-fits": "it speaks of a fuse that the tool was asked to choose",
    "voltage-drop": "a larger fuse has less resistance of its own",
}
ONE_VALUE = {"two-values": "what the notebook answers by name is then the only value"}
LONGER_WAY = {
    "fuse-breaking-capacity": RESISTS,
    "conductor-below-fuse": "what is let through falls with the short's current",
    "fuse-over-contact": "what is let through falls with the short's current",
}
THINNER = {
    "fuse-breaking-capacity": RESISTS,
    "gauge-step": "a thinner wire may end the step",
    "contact-range": FITS,
    "seal-range": FITS,
    "joint-no-barrel": FITS,
    "joint-no-sleeve": FITS,
    "joint-too-many": FITS,
    "sleeves-overlap": "thinner joints make thinner lumps",
    "return-weaker": "thinner feeds ask less of their return",
}
OWN_WORD = {
    "measured-live": "the reading itself is what speaks of the danger, it settles nothing",
    "live-end-open": "the reading itself is what speaks of the danger, it settles nothing",
    "survey-contradicts": "the reading itself is what contradicts the paper",
    "ohms-against-amps": "the reading itself is what speaks of the danger, it settles nothing",
    "two-values": "the entry is one of the two values",
    "settlement-stale": "a settlement that is gone is no longer an old one",
    "answer-not-counted": "an answer that is gone is no longer one that does not count",
}

TOWARDS_OHMS = {"ohms-against-amps": "more stated amps agree with what the ohms draw"}
NO_OHMS = {"ohms-against-amps": "the ohms themselves are what speaks of the danger"}
MADE_FOR = {
    "supply-too-low": "a unit of no stated range is taken to be made for the supply's lowest volts"
}
NOTHING_THERE = (
    "most units have nothing there: the pair is counted as not judged, or each would hold"
)

TABLE = (
    Row("ambient", "up", ("surroundings", "ambient_C"), lambda t: more(t, 1, 25)),
    Row("ambient", "far up", ("surroundings", "ambient_C"), lambda t: more(t, 1, 70)),
    Row("bundle", "up", ("surroundings", "bundle"), lambda t: more(t, 3, 1)),
    Row("bundle", "far up", ("surroundings", "bundle"), lambda t: more(t, 20, 1)),
    Row("insulation limit", "down", ("surroundings", "limit_C"), lambda t: more(t, 1, -25)),
    Row(
        "insulation limit of an end", "down", ("ends", EVERY, "limit_C"), lambda t: more(t, 1, -25)
    ),
    Row("fuse before a feed", "up", (*FED, "fuse_amps"), next_fuse, LARGER_FUSE),
    Row("fuse of the job", "up", ("extras", EVERY, "amps"), next_fuse, LARGER_FUSE),
    Row("source's resistance", "up", (*FED, "milliohm"), lambda t: more(t, 4, 50), LONGER_WAY),
    Row("source's length", "up", (*FED, "length_mm"), lambda t: more(t, 3), LONGER_WAY),
    Row(
        "length of a new wire",
        "up",
        ("circuits", EVERY, "length_mm"),
        lambda t: more(t, 3),
        LONGER_WAY | {"joint-too-near": "a longer wire moves the joint away"},
    ),
    Row("load", "up", ("cavities", EVERY, "amps"), lambda t: more(t, 2), TOWARDS_OHMS, of="load"),
    Row("peak of a load", "up", ("cavities", EVERY, "peak_amps"), lambda t: more(t, 3), of="load"),
    Row(
        "rating of an output",
        "down",
        ("cavities", EVERY, "amps"),
        lambda t: more(t, 0.3),
        of="rating",
    ),
    Row("rating of a contact", "down", ("connector", "accepts", "amps"), lambda t: more(t, 0.3)),
    Row(
        "rating of a cavity", "down", ("cavities", EVERY, "accepts", "amps"), lambda t: more(t, 0.3)
    ),
    Row("watts of a resistor", "down", ("extras", EVERY, "watts"), lambda t: more(t, 0.3)),
    Row("amperes of a diode", "down", ("extras", EVERY, "diode"), lambda t: more(t, 0.3)),
    Row("section of a tail", "down", ("cavities", EVERY, "wire"), thinner, THINNER),
    Row("section of a new wire", "down", ("circuits", EVERY, "wire"), thinner, THINNER),
    Row("basis of a paper", "down", ("source", "basis"), weaker_basis),
    Row("basis of a cavity", "down", ("cavities", EVERY, "basis"), weaker_basis),
    Row("ambient", "left out", ("surroundings", "ambient_C"), left_out),
    Row("bundle", "left out", ("surroundings", "bundle"), left_out),
    Row("fuse before a feed", "left out", (*FED, "fuse_amps"), left_out, ONE_VALUE),
    Row("all that feeds", "left out", FED, left_out, ONE_VALUE),
    Row("source's resistance", "left out", (*FED, "milliohm"), left_out),
    Row("source's length", "left out", (*FED, "length_mm"), left_out),
    Row("length of a new wire", "left out", ("circuits", EVERY, "length_mm"), left_out),
    Row("current", "left out", ("cavities", EVERY, "amps"), left_out),
    Row("peak", "left out", ("cavities", EVERY, "peak_amps"), left_out),
    Row("volts", "left out", ("cavities", EVERY, "volts"), left_out),
    Row("bit rate", "left out", ("cavities", EVERY, "kbit_s"), left_out),
    Row("size of a tail", "left out", ("cavities", EVERY, "wire"), sizeless),
    Row("size of a new wire", "left out", ("circuits", EVERY, "wire"), sizeless),
    Row(
        "rating of a contact",
        "left out",
        ("connector", "accepts", "amps"),
        left_out,
        counted="few papers tell it: it is counted as not judged, or every sound job would hold",
    ),
    Row("ohms inside", "left out", ("inside", EVERY), left_out, counted=NOTHING_THERE),
    Row("ohms behind", "left out", ("behind", EVERY), left_out, NO_OHMS, counted=NOTHING_THERE),
    Row("sections of a contact", "left out", ("connector", "accepts", "csa_mm2"), left_out),
    Row("range of a seal", "left out", ("connector", "accepts", "insulation_mm"), left_out),
    Row("need", "down", ("cavities", EVERY, "need"), lambda _: "may"),
    Row("watts of a resistor", "left out", ("extras", EVERY, "watts"), left_out),
    Row("plating", "left out", ("cavities", EVERY, "plating"), left_out, of="plating"),
    Row("plating of a shell", "left out", ("connector", "plating"), left_out),
    Row("output that is watched", "left out", ("cavities", EVERY, "detects_open"), left_out),
    Row("keep-outs of a run", "left out", ("runs", EVERY, "keep_out"), left_out),
    Row("keep-out of a run", "left out", ("runs", EVERY, "keep_out", EVERY), left_out),
    Row(
        "alternating volts",
        "left out",
        ("cavities", EVERY, "volts_ac"),
        left_out,
        counted="most pulses are no alternator's: it is counted as not judged, or each would hold",
    ),
    Row(
        "further claim",
        "left out",
        ("cavities", EVERY, "also", EVERY),
        left_out,
        of="claim",
        counted="most contacts have one paper: it is counted as not judged, or each would hold",
    ),
    Row("flow", "left out", ("cavities", EVERY, "flow"), left_out),
    Row("clamp of a coil", "left out", ("cavities", EVERY, "clamp"), left_out),
    Row("frequency of a drive", "left out", ("cavities", EVERY, "pwm_hz"), left_out),
    Row("pair of a bus", "left out", ("cavities", EVERY, "pair"), left_out),
    Row("loop of a guard", "left out", ("cavities", EVERY, "chain"), left_out),
    Row("what a return serves", "left out", ("cavities", EVERY, "serves"), left_out),
    Row("what a link selects", "left out", ("cavities", EVERY, "codes"), left_out),
    Row("function", "left out", ("cavities", EVERY, "function"), left_out),
    Row("current asleep", "left out", ("cavities", EVERY, "asleep_amps"), left_out),
    Row("switch of a unit", "left out", ("ends", EVERY, "switches", EVERY), left_out),
    Row("supply's volts", "left out", ("supply", "volts"), left_out),
    Row("supply's highest volts", "left out", ("supply", "max_volts"), left_out),
    Row("supply's highest volts", "up", ("supply", "max_volts"), lambda t: more(t, 1.1)),
    Row("supply's lowest volts", "left out", ("supply", "min_volts"), left_out),
    Row("supply's lowest volts", "down", ("supply", "min_volts"), lambda t: more(t, 0.8), MADE_FOR),
    Row("leaflet's fuse", "left out", ("leaflet", "fuse_amps"), left_out),
    Row(
        "all that a contact accepts",
        "left out",
        ("connector", "accepts"),
        left_out,
        counted="few papers tell it: it is counted as not judged, or every sound job would hold",
    ),
    Row("what moves", "left out", ("surroundings", "moves"), left_out),
    Row("water", "left out", ("surroundings", "wet"), left_out),
    Row("seals of a shell", "left out", ("connector", "sealed"), left_out),
    Row("treatment", "left out", ("not_joined", EVERY, "treat"), left_out),
    Row("twist", "left out", ("twists", EVERY), left_out),
    Row("settlement", "dropped", ("confirmed", EVERY), left_out, OWN_WORD),
    Row("entry of a notebook", "dropped", ("entries", EVERY), left_out, OWN_WORD),
)


@dataclass(frozen=True)
class Change:
    """One statement of a job, and the row that makes it worse."""

    row: Row
    file: str
    steps: Steps

    def __str__(self) -> str:
        path = ".".join(map(str, self.steps))
        return f"{self.row.field} {self.row.direction}: {self.file} {path}"


def nodes(node: yaml.Node, steps: Steps = ()) -> Iterator[tuple[Steps, yaml.Node]]:
    """Every node below one, with the way to it."""
    yield steps, node
    if isinstance(node, yaml.MappingNode):
        for key, value in node.value:
            yield from nodes(value, (*steps, key.value))
    elif isinstance(node, yaml.SequenceNode):
        for i, value in enumerate(node.value):
            yield from nodes(value, (*steps, i))


def fits(steps: Steps, where: tuple[str, ...]) -> bool:
    """Whether a way leads where a row of the table points."""
    if len(steps) != len(where):
        return False
    return all(wanted in (EVERY, step) for step, wanted in zip(steps, where, strict=True))


def changes(texts: Texts) -> list[Change]:
    """Everything that the table can make worse in a job."""
    sides = _sides(texts)
    found = []
    for name, text in texts.items():
        every = dict(nodes(yaml.compose(text)))
        for steps, node in every.items():
            for row in TABLE:
                if not fits(steps, row.where) or not _bears(row, every, steps, sides.get(name, "")):
                    continue
                if not isinstance(node, yaml.ScalarNode) or row.worse(node.value) != node.value:
                    found.append(Change(row, name, steps))
    return found


def _sides(texts: Texts) -> dict[str, str]:
    """Whose each pinout is."""
    ends = yaml.load(texts[JOB], yaml.BaseLoader).get("ends", {})
    return {end["pinout"]: end["side"] for end in ends.values() if "side" in end}


def _bears(row: Row, every: Mapping[Steps, yaml.Node], steps: Steps, side: str) -> bool:
    """Whether a cavity's `amps` is the load or the rating that the row speaks of."""
    if not row.of:
        return True
    if row.of == "plating":  # where the shell's is stated it counts for each contact
        return ("connector", "plating") not in every
    if row.of == "claim":
        own = every.get((*steps[:-2], "basis"), every.get(("source", "basis")))
        return side == "machine" and own is not None and own.value != "measured"
    function = every.get((*steps[:-1], "function"))
    name = "" if function is None else function.value
    rating = name in DRIVES and side != "machine"
    load = name in SUPPLIES or (name in DRIVES and side == "machine")
    return rating if row.of == "rating" else load


def changed(texts: Texts, change: Change) -> dict[str, str]:
    """The job's texts with one statement made worse."""
    root = yaml.compose(texts[change.file])
    *above, last = change.steps
    parent = root
    for step in above:
        parent = _below(parent, step)
    node = _below(parent, last)
    new = None
    if isinstance(node, yaml.ScalarNode):
        new = change.row.worse(node.value)
    if new is not None:
        node.value = new
    elif isinstance(parent, yaml.MappingNode):
        parent.value = [(k, v) for k, v in parent.value if k.value != last]
    else:
        parent.value = [v for v in parent.value if v is not node]
    text = yaml.serialize(root, allow_unicode=True, width=10_000)
    return {**texts, change.file: text}


def _below(node: yaml.Node, step: str | int) -> yaml.Node:
    if isinstance(node, yaml.SequenceNode):
        return node.value[step]
    return next(value for key, value in node.value if key.value == step)


def written(texts: Texts, folder: Path) -> Path:
    """The job on disk; gives the job's path."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in texts.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder / JOB
