"""What to lay out before the first cut: parts with their pieces, and tools."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from wiremap.content.given import Given
from wiremap.content.joint_work import sleeve_mm
from wiremap.content.pieces import Section
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Step, Steps
from wiremap.content.wire_work import paired
from wiremap.content.words import (
    amount,
    barrel_words,
    listed,
    number,
    sentence_case,
    signal_words,
    size_words,
    spaced,
    wire_words,
)
from wiremap.graph import Conductor
from wiremap.model import EndKind
from wiremap.sizing.joint import Barrel
from wiremap.sizing.outer import outer_mm

CLOSURES = {"cap": "end cap", "blank": "blanking plug"}
BARE = "bare barrel"  # says what it is
SPARE_SHARE = 10  # one spare for so many of what is used up
USED_UP = ("barrel", "sleeve", "contact", "holder contact", "ring terminal", "tube")
LAMP = re.compile(r"\d+ W lamp of \d+ V")
LIMITED_FEED = re.compile(r"limited feed \(([\d.]+ A)\)")


@dataclass(frozen=True, slots=True)
class Part:
    """One thing to lay out."""

    kind: str
    which: str


def parts_section(given: Given) -> Section:
    """Parts with a tenth to spare, new wires cut to length, tools."""
    parts = tuple(_part_step(part, count) for part, count in Counter(_parts(given)).items())
    wires = tuple(_wires(given))
    tools = tuple(Step(text=f"{sentence_case(tool)}.") for tool in _tools(given))
    blocks = [
        Steps(
            title="Parts: how many, and how many more to spare", steps=(*parts, *_closures(given))
        )
    ]
    if wires:
        title = "New wires, each cut to its length and flagged"
        blocks.append(Steps(title=title, steps=(*wires, *_twisted(given))))
    blocks.append(Steps(title="Tools", steps=tools))
    return Section(key="parts", title="Lay out", blocks=tuple(blocks))


def _part_step(part: Part, count: int) -> Step:
    spare = f" + {-(-count // SPARE_SHARE)}" if part.kind in USED_UP else ""
    kind = "" if part.which.startswith(BARE) else part.kind
    return Step(at=f"{count}{spare}", text=spaced(kind, part.which))


def _closures(given: Given) -> Iterator[Step]:
    """Caps and plugs for the cavities that are not joined."""
    for treat, kind in CLOSURES.items():
        closed = [a for a, entry in given.job.not_joined.items() if entry.treat == treat]
        if closed:
            yield _part_step(Part(kind, f"for {listed(*closed)}"), len(closed))


def _wires(given: Given) -> Iterator[Step]:
    """The wires that the job lays: which goes where, how long it is cut."""
    pairs = paired(given)
    for conductor in given.worked_conductors:
        if conductor.origin == "new":
            cut = given.cut(conductor.id)
            length = f"{cut.mm:.0f} mm" if cut else "______ mm"
            pair = pairs.get(conductor.circuit, "")
            words = listed(f"{wire_words(conductor.wire)}, for {conductor.circuit}", pair)
            yield Step(at=length, text=words)


def _twisted(given: Given) -> Iterator[Step]:
    """The pairs of new wires, twisted as soon as they are cut."""
    pairs = dict.fromkeys(paired(given).values())
    if pairs:
        yield Step(at=listed(*pairs), text="twisted, up to where the wires part for their ends")


def _parts(given: Given) -> Iterator[Part]:
    """Every piece by itself."""
    yield from _joint_parts(given)
    yield from _over_all(given)
    for fuse in given.fuses_out:
        if fuse.swapped:
            found = number(fuse.found_amps or 0)
            yield Part("fuse", f"{fuse.label}, in place of the {found} A found")
    yield from _extras(given)
    for conductor in given.worked_conductors:
        yield from _ends_of(given, conductor)
        yield from _tubes(conductor)


def _joint_parts(given: Given) -> Iterator[Part]:
    """The barrel and the sleeve of each joint."""
    worked = {circuit.id for circuit in given.worked}
    for size in given.joints:
        made = size.made
        if made is None or size.circuit not in worked:
            continue
        if made.barrel is not None:
            yield Part("barrel", f"{_barrel(made.barrel)}, {size.kind.replace('-', ' ')}")
        if made.sleeve is not None and made.sleeve_cut_mm:
            glue = "adhesive" if made.sleeve.adhesive else ""
            wide, narrow = number(made.sleeve.supplied_mm), number(made.sleeve.recovered_mm)
            shrinks = f"shrinks from {wide} to {narrow} mm"
            length = f"cut {made.sleeve_cut_mm:.0f} mm long"
            yield Part("sleeve", listed(made.sleeve.name, glue, shrinks, length))


def _barrel(barrel: Barrel) -> str:
    named = barrel_words(barrel)
    return f"{named} ({listed(barrel.span, barrel.colour)})" if named == barrel.name else named


def _over_all(given: Given) -> Iterator[Part]:
    """What goes over all joints of a run: the outer sleeve and the boot."""
    for run in given.runs:
        if run.layout is None or not run.layout.placed:
            continue
        at = [placed.at_mm for placed in run.layout.placed]
        sleeves = [sleeve_mm(given, placed.name) for placed in run.layout.placed]
        reach = max(at) - min(at) + max(sleeves, default=0.0)
        thick = math.ceil(outer_mm(given.harness, run))
        yield Part(
            "outer sleeve",
            f"for {run.run}: passes {thick} mm and the plug or tail that it is slid over, "
            f"at least {reach:.0f} mm long once shrunk, and a boot for its end",
        )


def _extras(given: Given) -> Iterator[Part]:
    for extra in given.job.extras.values():
        if extra.kind == "fuse":
            what = signal_words(given.harness.points[extra.legs[0]])
            yield Part(extra.name, f"{what}, with its holder, in line")
        elif extra.kind != "stud":
            what = spaced(amount(extra.ohms, "Ω"), amount(extra.watts, "W"))
            yield Part(extra.name, spaced(extra.kind, what))


def _ends_of(given: Given, conductor: Conductor) -> Iterator[Part]:
    """Contacts, seals, rings and holder contacts that a new wire ends in."""
    if conductor.origin != "new":
        return
    size = size_words(conductor.wire)
    for node in (conductor.a, conductor.b):
        point = given.harness.points.get(node)
        if point is None:
            continue
        if point.end is not None:
            connector = point.end.connector
            contact = connector.contacts or "contact"
            seal = " with its wire seal" if connector.sealed else ""
            yield Part("contact", f"({contact}){seal} of {point.end.name} for {size}")
        elif point.extra is not None and point.extra.kind == "fuse":
            yield Part("holder contact", f"of the holder of {point.extra.name} for {size}")
        elif point.kind == "stud":
            detail = point.extra.detail if point.extra else ""
            yield Part("ring terminal", f"{detail} for {size}, at {point.address}")


def _tubes(conductor: Conductor) -> Iterator[Part]:
    """A tube over what has no insulation."""
    bare = conductor.wire is not None and conductor.wire.bare
    if conductor.origin == "lead" or bare:
        yield Part("tube", "over bare leads and bare wire")


def _tools(given: Given) -> Iterator[str]:
    """What the hands need besides the parts."""
    barrels = [size.made.barrel for size in given.joints if size.made is not None]
    bare = any(barrel is not None and barrel.kind == "bare" for barrel in barrels)
    which = "the die for bare barrels, and for " if bare else ""
    yield f"ratchet crimp tool with {which}the contacts of each connector"
    heat = "; hot-air tool with a reflector, kept off seals and fuel" if given.joints else ""
    yield f"stripper, cutters, rule, marker, flags{heat}"
    yield f"meter with a fine tip; {_leads(given)}"
    held = given.plan.equipment if given.plan is not None else None
    if held is not None and held.holds:
        yield f"for the ring-out: {held.told}"
    if any(step.quantity == "A" for step in given.power):
        yield "ammeter that shows 0.1 mA, a bridge lead for the battery's minus"
    yield _lamps(given)


def _leads(given: Given) -> str:
    """The leads that bring a probe to each face."""
    ends = given.job.ends.values()
    old = listed(*(end.name for end in given.surveyed_ends))
    reached = [end for end in ends if end.kind in (EndKind.PIGTAIL, EndKind.MATE)]
    faces = listed(*(end.name for end in reached))
    breakout = f"breakout leads for the machine's {old}" if old else ""
    return listed(breakout, f"test leads with mating contacts for {faces}")


def _lamps(given: Given) -> str:
    """The lamps that first power asks for, and the feed that may stand in for one."""
    deeds = " ".join(step.do for step in given.power)
    watts = sorted({int(lamp.split()[0]) for lamp in LAMP.findall(deeds)})
    lamps = "small test lamps"
    if watts:
        volts = next(LAMP.finditer(deeds))[0].partition(" of ")[2]
        lamps = f"lamps of {listed(*(f'{each} W' for each in watts))} for {volts}"
    limit = LIMITED_FEED.search(deeds)
    feed = ""
    if limit:
        feed = f"; a feed limited to {limit[1]} may stand in a fuse's place, never for a load"
    return f"{lamps}{feed}"


PAGE = Page(key="parts", stage=Stage.LAY_OUT, make=parts_section)
