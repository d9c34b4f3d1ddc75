"""What to lay out before the first cut: parts with their pieces, and tools."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from wiremap.content.given import Given
from wiremap.content.joint_ends import tube_first
from wiremap.content.joint_places import to_place
from wiremap.content.joint_work import filled_ends, tube_cut
from wiremap.content.outer_sleeve import outer_sleeves
from wiremap.content.part_made_ready import made_ready
from wiremap.content.pieces import Section
from wiremap.content.reaches import to_twist, twisted_together
from wiremap.content.runs import folded
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Step, Steps
from wiremap.content.tools import tools
from wiremap.content.words import (
    PLUG,
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
from wiremap.sizing.joint import Barrel
from wiremap.sizing.part_tails import needs_tail

CAP = "end cap"
CLOSURES = {"cap": CAP, "blank": PLUG}
SPARE_SHARE = 10  # one spare for so many of what is used up
WITH_SPARE = 1 + 1 / SPARE_SHARE
DECIMETRE_MM = 100
DECIMETRES = 10  # of a metre
USED_UP = ("barrel", "sleeve", "contact", "holder contact", "ring terminal", "tube", PLUG, CAP)


@dataclass(frozen=True, slots=True)
class Part:
    """One thing to lay out."""

    kind: str
    which: str
    says_kind: bool = False  # `which` names the kind too: it stands alone


def parts_section(given: Given) -> Section:
    """Parts with a tenth to spare, new wire by the metre, tools."""
    parts = tuple(_part_step(part, count) for part, count in Counter(_parts(given)).items())
    wires = tuple(_wires(given))
    needed = tuple(Step(text=f"{sentence_case(tool)}.") for tool in tools(given))
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
    blocks.append(Steps(title="Tools", steps=needed))
    return Section(key="parts", title="Lay out", blocks=tuple(blocks))


def _part_step(part: Part, count: int) -> Step:
    spare = f" + {-(-count // SPARE_SHARE)}" if part.kind in USED_UP else ""
    kind = f"{part.kind}s" if count > 1 else part.kind
    text = part.which if part.says_kind else spaced(kind, part.which)
    return Step(at=f"{count}{spare}", text=text)


def _closures(given: Given) -> Iterator[Step]:
    """Caps and plugs for the cavities that are not joined."""
    for treat, kind in CLOSURES.items():
        closed = [a for a, entry in given.job.not_joined.items() if entry.treat == treat]
        if closed:
            yield _part_step(Part(kind, f"for {folded(closed)}"), len(closed))


def _wires(given: Given) -> Iterator[Step]:
    """The wire that the job lays, all pieces of one kind together, in tenths of a metre."""
    found: dict[str, list[float | None]] = {}
    longer = twisted_together(given)
    for conductor in given.worked_conductors:
        if conductor.is_new:
            cut = given.cut(conductor.id)
            laid = cut.mm if cut else None
            if laid is not None and conductor.circuit in longer:
                laid = to_twist(laid)
            found.setdefault(wire_words(conductor.wire), []).append(laid)
    for words, lengths in found.items():
        known = [mm for mm in lengths if mm is not None]
        metres = math.ceil(sum(known) * WITH_SPARE / DECIMETRE_MM) / DECIMETRES
        length = f"{metres:.1f} m" if len(known) == len(lengths) else "____ m"
        pieces = f"for {len(lengths)} wires" if len(lengths) > 1 else "for 1 wire"
        yield Step(at=length, text=f"{words}, {pieces}")


def _parts(given: Given) -> Iterator[Part]:
    """Every piece by itself."""
    yield from _housings(given)
    yield from _joint_parts(given)
    yield from _over_all(given)
    for fuse in given.fuses_out:
        if fuse.swapped and fuse.found_amps is not None:
            found = number(fuse.found_amps)
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
    worked = {circuit.id for circuit in given.worked_circuits}
    for size in given.joints:
        made = size.made
        if made is None or size.circuit not in worked:
            continue
        if made.barrel is not None:
            which = f"{_barrel(made.barrel)}, {size.kind.replace('-', ' ')}"
            yield Part("barrel", which, says_kind=made.barrel.is_bare)
        yield from _filler(given, size.joint)
        if made.sleeve is not None and made.sleeve_cut_mm:
            glue = "adhesive" if made.sleeve.adhesive else ""
            wide, narrow = number(made.sleeve.supplied_mm), number(made.sleeve.recovered_mm)
            shrinks = f"shrinks from {wide} to {narrow} mm"
            length = f"cut {made.sleeve_cut_mm:.0f} mm long"
            yield Part("sleeve", listed(made.sleeve.name, glue, shrinks, length))


def _filler(given: Given, joint: str) -> Iterator[Part]:
    if filled_ends(given, given.harness.joints[joint]):
        yield Part("mastic strip", "between the wires of one end, in the wet")


def _barrel(barrel: Barrel) -> str:
    named = barrel_words(barrel)
    return f"{named} ({listed(barrel.span, barrel.colour)})" if named == barrel.name else named


def _over_all(given: Given) -> Iterator[Part]:
    """What goes over all joints of a run: the outer sleeve and the boot."""
    for sleeve in outer_sleeves(given):
        kind = "outer sleeve and boot"
        length = f"cut {sleeve.cut_mm:.0f} mm long, {sleeve.long_mm:.0f} mm once shrunk"
        if not sleeve.waits:
            kind, length = "wrap-around sleeve", f"{sleeve.long_mm:.0f} mm long"
        yield Part(
            kind,
            f"for {sleeve.run}: goes round {sleeve.thick_mm:.0f} mm, wires beside and all, "
            f"{length}",
        )


def _extras(given: Given) -> Iterator[Part]:
    for extra in given.job.extras.values():
        if extra.is_fuse:
            leg, *_ = extra.legs
            what = signal_words(given.harness.points[leg])
            yield Part(extra.name, f"{what}, with its holder, in line")
        elif not extra.is_stud:
            what = spaced(amount(extra.ohms, "Ω"), amount(extra.watts, "W"))
            yield Part(extra.name, listed(spaced(extra.kind, what), made_ready(given, extra)))


def _ends_of(given: Given, conductor: Conductor) -> Iterator[Part]:
    """Contacts, seals, rings and holder contacts that a new wire ends in."""
    if not conductor.is_new:
        return
    size = size_words(conductor.wire)
    for node in (conductor.a, conductor.b):
        point = given.harness.points.get(node)
        if point is None:
            continue
        if point.end is not None:
            connector = point.end.connector
            contact = connector.contacts or "contact"
            seal = " with wire seal" if connector.sealed else ""
            yield Part("contact", f"({contact}){seal} of {point.end.name} for {size}")
        elif point.extra is not None and point.extra.is_fuse:
            yield Part("holder contact", f"of the holder of {point.extra.name} for {size}")
        elif point.is_stud:
            detail = point.extra.detail if point.extra else ""
            yield Part("ring terminal", f"{detail} for {size}, at {point.address}")


def _tubes(given: Given, conductor: Conductor) -> Iterator[Part]:
    """A tube over what has no insulation: how long, how thick where a wire seal closes on it."""
    if conductor.is_lead and not _has_tail(given, conductor):
        yield Part("tube", "over a bare lead, from the part's body to its joint")
    if conductor.wire is None or not conductor.wire.bare:
        return
    first = tube_first if conductor.is_new else tube_cut
    length = first(given, conductor)
    seals = ""
    for point in (given.harness.points.get(node) for node in (conductor.a, conductor.b)):
        takes = point.cavity.accepts.insulation_mm if point and point.cavity else None
        if conductor.is_new and takes is not None:
            seals = f", {takes} mm outside for the wire seal"
    yield Part("tube", f"{length} on the bare wire of {conductor.circuit}{seals}")


def _has_tail(given: Given, conductor: Conductor) -> bool:
    joints = given.harness.joints_at(conductor.point or "")
    return any(needs_tail(conductor, joint) for joint in joints)


PAGE = Page(key="parts", stage=Stage.LAY_OUT, make=parts_section)
