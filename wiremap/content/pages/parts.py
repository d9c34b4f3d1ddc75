"""What to lay out before the first cut: parts with their pieces, and tools."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace

from wiremap.content.given import Given
from wiremap.content.joint_places import to_place
from wiremap.content.joint_work import sleeve_mm
from wiremap.content.pieces import Section
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Step, Steps
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
from wiremap.ringout.bunch import bunches
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
    """Parts with a tenth to spare, new wire by the metre, tools."""
    parts = tuple(_part_step(part, count) for part, count in Counter(_parts(given)).items())
    wires = tuple(_wires(given))
    tools = tuple(Step(text=f"{sentence_case(tool)}.") for tool in _tools(given))
    blocks = [
        Steps(
            title="Parts: how many, and how many more to spare", steps=(*parts, *_closures(given))
        )
    ]
    if wires:
        title = "New wire, with a tenth to spare"
        if to_place(given):
            title += "; nothing is cut before the places are decided"
        blocks.append(Steps(title=title, steps=wires))
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
    """The wire that the job lays, all pieces of one kind together, in tenths of a metre."""
    found: dict[str, list[float | None]] = {}
    for conductor in given.worked_conductors:
        if conductor.origin == "new":
            cut = given.cut(conductor.id)
            found.setdefault(wire_words(conductor.wire), []).append(cut.mm if cut else None)
    for words, lengths in found.items():
        known = [mm for mm in lengths if mm is not None]
        metres = math.ceil(sum(known) * (1 + 1 / SPARE_SHARE) / 100) / 10
        length = f"{metres:.1f} m" if len(known) == len(lengths) else "____ m"
        pieces = f"for {len(lengths)} wires" if len(lengths) > 1 else "for 1 wire"
        yield Step(at=length, text=f"{words}, {pieces}")


def _parts(given: Given) -> Iterator[Part]:
    """Every piece by itself."""
    yield from _housings(given)
    yield from _joint_parts(given)
    yield from _over_all(given)
    for fuse in given.fuses_out:
        if fuse.swapped:
            found = number(fuse.found_amps or 0)
            yield Part("fuse", f"{fuse.label}, in place of the {found} A found")
    yield from _extras(given)
    for conductor in given.worked_conductors:
        yield from _ends_of(given, conductor)
        yield from _tubes(given, conductor)


def _housings(given: Given) -> Iterator[Part]:
    """The connectors that new wires go into."""
    for name in given.crimped_into:
        connector = given.job.ends[name].connector
        contacts = f"{connector.contacts}s" if connector.contacts else ""
        what = listed(connector.shell, contacts)
        yield Part("housing", spaced(f"of {name}:" if what else f"of {name}", what))


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
            "outer sleeve and boot",
            f"for {run.run}: over {thick} mm and its plug or tail, {reach:.0f} mm long once shrunk",
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


def _tubes(given: Given, conductor: Conductor) -> Iterator[Part]:
    """A tube over what has no insulation: how long, how thick where a wire seal closes on it."""
    if conductor.origin == "lead":
        yield Part("tube", "over a bare lead, from the part's body to its joint")
    if conductor.wire is None or not conductor.wire.bare:
        return
    cut = given.cut(conductor.id)
    length = f"{cut.mm:.0f} mm" if cut else "______ mm"
    seals = ""
    for point in (given.harness.points.get(node) for node in (conductor.a, conductor.b)):
        takes = point.cavity.accepts.insulation_mm if point and point.cavity else None
        if conductor.origin == "new" and takes is not None:
            seals = f", {takes} mm outside for the wire seal"
    yield Part("tube", f"{length} on the bare wire of {conductor.circuit}{seals}")


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
        clips = max((bunch.size for bunch in bunches(given.probes).values()), default=0)
        used = held if held.clips == 0 or not clips else replace(held, clips=clips)
        yield f"for the ring-out: {used.told}"
    if any(step.quantity == "A" for step in given.power):
        yield "ammeter that shows 0.1 mA, a bridge lead for the battery's minus"
    yield _lamps(given)


def _leads(given: Given) -> str:
    """The leads that bring a probe to each face."""
    ends = given.job.ends.values()
    old = listed(*(end.name for end in given.surveyed_ends))
    reached = [end for end in ends if end.kind in (EndKind.PIGTAIL, EndKind.MATE)]
    faces = listed(*(end.name for end in reached))
    breakout = f"breakout leads for {old}" if old else ""
    return listed(breakout, f"mating leads for {faces}")


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
        feed = f"; a feed limited to {limit[1]} (for a fuse, never a load)"
    return f"{lamps}{feed}"


PAGE = Page(key="parts", stage=Stage.LAY_OUT, make=parts_section)
