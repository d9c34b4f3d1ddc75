"""What to lay out before the first cut: parts with their pieces, and tools."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from wiremap.content.given import Given
from wiremap.content.pieces import Ledger, Section, Step, Text
from wiremap.content.stages import Page, Stage
from wiremap.content.words import (
    amount,
    barrel_words,
    listed,
    number,
    signal_words,
    spaced,
    wire_words,
)
from wiremap.graph import Conductor
from wiremap.model import EndKind
from wiremap.sizing.joint import Barrel

COLUMNS = ("part", "which", "pieces")
SHARES = (26, 110, 16)
CLOSURES = {"cap": "end cap", "blank": "blanking plug"}
LAMP = re.compile(r"\d+ W lamp of \d+ V")
LIMITED_FEED = re.compile(r"limited feed \(([\d.]+ A)\)")


@dataclass(frozen=True, slots=True)
class Part:
    """One thing to lay out."""

    kind: str
    which: str


def parts_section(given: Given) -> Section:
    """Parts, then tools."""
    pieces = Counter(_parts(given))
    rows = [(part.kind, part.which, str(count)) for part, count in pieces.items()]
    for treat, kind in CLOSURES.items():
        closed = [a for a, entry in given.job.not_joined.items() if entry.treat == treat]
        if closed:
            rows.append((kind, f"for {listed(*closed)}", str(len(closed))))
    tools = [Step("", tool) for tool in _tools(given)]
    ledger = Ledger(COLUMNS, SHARES, tuple(rows), tick=True)
    return Section(
        key="parts",
        title="Parts and tools to lay out",
        blocks=(ledger, Text("Tools", strong=True), *tools),
    )


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
        if conductor.origin == "new":
            cut = given.cut(conductor.id)
            length = f"{cut.mm:.0f} mm" if cut else "length not stated"
            wire = wire_words(conductor.wire)
            yield Part("new wire", f"{wire}, {length} ({conductor.circuit})")
    for conductor in given.worked_conductors:
        yield from _ends_of(given, conductor)
        yield from _tubes(conductor)
    for extra in given.job.extras.values():
        if extra.kind == "fuse":
            form = extra.detail or "as its fuse"
            yield Part("fuse holder", f"for {extra.name}, {form}, in line")


def _joint_parts(given: Given) -> Iterator[Part]:
    """The barrel and the sleeve of each joint."""
    worked = {circuit.id for circuit in given.worked}
    for size in given.joints:
        made = size.made
        if made is None or size.circuit not in worked:
            continue
        if made.barrel is not None:
            yield Part("barrel", f"{size.kind} {_barrel(made.barrel)}")
        if made.sleeve is not None and made.sleeve_cut_mm:
            glue = "adhesive" if made.sleeve.adhesive else ""
            length = f"{made.sleeve_cut_mm:.0f} mm long"
            yield Part("sleeve", listed(made.sleeve.name, glue, length))


def _barrel(barrel: Barrel) -> str:
    named = barrel_words(barrel)
    colour = barrel.colour if named == barrel.name else ""
    range_of = "" if named != barrel.name else f"{barrel.gauges} AWG"
    told = listed(range_of, colour)
    return f"{named} ({told})" if told else named


def _over_all(given: Given) -> Iterator[Part]:
    """What goes over all joints of a run: the outer sleeve and the boot."""
    for run in given.runs:
        if run.layout is None or not run.layout.placed:
            continue
        at = [placed.at_mm for placed in run.layout.placed]
        lump = math.ceil(run.layout.lump_mm)
        yield Part(
            "outer sleeve",
            f"{run.run}: passes {lump} mm and the plug it is slid over; "
            f"covers {number(min(at))} to {number(max(at))} mm of the run and a sleeve's length "
            "beyond each",
        )
        yield Part("boot", f"{run.run}: over the end of the outer sleeve")


def _extras(given: Given) -> Iterator[Part]:
    for extra in given.job.extras.values():
        what = spaced(amount(extra.ohms, "Ω"), amount(extra.watts, "W"))
        if extra.kind in ("fuse", "stud"):
            what = signal_words(given.harness.points[extra.legs[0]])
        yield Part(extra.kind, f"{extra.name}: {what}".strip())


def _ends_of(given: Given, conductor: Conductor) -> Iterator[Part]:
    """Contacts, seals, rings and holder contacts that a new wire ends in."""
    if conductor.origin != "new":
        return
    size = wire_words(conductor.wire).partition(" ")[0]
    for node in (conductor.a, conductor.b):
        point = given.harness.points.get(node)
        if point is None:
            continue
        if point.end is not None:
            connector = point.end.connector
            contact = connector.contacts or "contact"
            yield Part("contact", f"{contact} of {point.end.name} for {size}")
            if connector.sealed:
                yield Part("wire seal", f"of {point.end.name} for {size}")
        elif point.extra is not None and point.extra.kind == "fuse":
            yield Part("holder contact", f"of the holder of {point.extra.name} for {size}")
        elif point.kind == "stud":
            detail = point.extra.detail if point.extra else ""
            yield Part("ring terminal", f"{detail} for {size}, at {point.address}")


def _tubes(conductor: Conductor) -> Iterator[Part]:
    """A tube over what has no insulation."""
    what = conductor.point or conductor.circuit
    if conductor.origin == "lead":
        yield Part("tube", f"over the bare lead of {what}")
    elif conductor.wire is not None and conductor.wire.bare:
        yield Part("tube", f"over the bare wire of {what}")


def _tools(given: Given) -> Iterator[str]:
    """What the hands need besides the parts."""
    barrels = [size.made.barrel for size in given.joints if size.made is not None]
    bare = any(barrel is not None and barrel.kind == "bare" for barrel in barrels)
    which = "bare" if bare else "these"
    dies = f"the die for {which} barrels, and for the contacts of each connector"
    yield f"ratchet crimp tool with {dies}"
    yield "stripper set to the strip length, cutters, rule, marker and flags"
    yield "hot-air tool with a reflector, kept off seals and fuel"
    yield f"meter with a fine tip; {_leads(given)}; never a bare probe in a socket contact"
    if any(step.quantity == "A" for step in given.power):
        yield "ammeter that shows 0.1 mA, and a clamp or lead for the battery's minus"
    yield _lamps(given)


def _leads(given: Given) -> str:
    """The leads that bring a probe to each face."""
    ends = given.job.ends.values()
    old = listed(*(end.name for end in ends if end.kind == "cut-tail"))
    reached = [end for end in ends if end.kind in (EndKind.PIGTAIL, EndKind.MATE)]
    faces = listed(*(end.name for end in reached))
    breakout = f"breakout lead for the old face of {old}" if old else ""
    return listed(breakout, f"test leads with mating contacts for {faces}")


def _lamps(given: Given) -> str:
    """The lamps that first power asks for, and the feed that may stand in for one."""
    deeds = " ".join(step.do for step in given.power)
    found = sorted(dict.fromkeys(LAMP.findall(deeds)), key=lambda lamp: int(lamp.split()[0]))
    lamps = listed(*found) or "small test lamps"
    limit = LIMITED_FEED.search(deeds)
    feed = ""
    if limit:
        feed = f"; a feed limited to {limit[1]} may stand in a fuse's place, never for a load"
    return f"{lamps}{feed}; fuses as listed"


PAGE = Page(key="parts", stage=Stage.ANNEX, make=parts_section, order=5, annex="parts")
