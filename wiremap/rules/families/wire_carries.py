"""Family `wire`: what conductors carry."""

from __future__ import annotations

from wiremap.model import split
from wiremap.rules.cure import said_anew, typed
from wiremap.rules.limits import is_over
from wiremap.rules.outputs import outputs
from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.sized import fuses, heat_taken, sizes
from wiremap.rules.view import View
from wiremap.sizing.feed_parts import Judged
from wiremap.sizing.fuse_judge import HEATS_WIRE, Objection
from wiremap.sizing.ground_faults import GroundWire

WIRE = Family("wire", Matter.UNIT)
SMALLER = "a smaller fuse, a thicker wire, or a fuse of its own for the thin wire"
HOTTER = "wire whose insulation stands more than its surroundings, or a cooler place"


@WIRE.stop(
    "conductor-below-fuse",
    what="{fuse}, {amps:g} A, is too large for {wires}: {reason}{heat}",
    why="A fuse protects the thinnest wire after it; one that it does not protect burns before "
    "the fuse opens.",
    fix="What serves here: {serves}; another fuse" + said_anew("fuse_amps") + "{thicker}",
    source="ISO 8820-3 opening limits, IEC 60364-4-43, heat balance of one wire",
)
def conductor_below_fuse(view: View) -> Hits:
    """A fuse that may let a wire behind it get hotter than its insulation stands."""
    for fuse in fuses(view):
        against = sorted(fuse.against(*HEATS_WIRE), key=lambda found: found.weakness)
        if not against:
            continue
        wires = {found.judged.subject: found.judged for found in against}
        weakest = against[0].judged
        hopeless = weakest.case.ambient_C >= weakest.case.limit_C
        yield fuse.hit(
            view,
            *wires,
            reason=against[0].objection.text,
            wires=" and ".join(_wire(judged) for judged in wires.values()),
            serves=HOTTER if hopeless else fuse.would_serve() or SMALLER,
            thicker="" if hopeless else _thicker(view, weakest.subject),
            heat=heat_taken(view),
        )


@WIRE.stop(
    "ground-below-fuse",
    what="{fuse}, {amps:g} A, is too large for the ground of {owner} at {wires}{share}: "
    "{reason}{heat}",
    why="A fault inside the unit flows back through its ground for as long as the fuse holds.",
    fix="Use a ground as thick as the feed, join all grounds of {owner}, or fit a smaller fuse"
    + said_anew("fuse_amps"),
    source="as for the wire before the unit; of several grounds one is taken as open, common "
    "practice",
)
def ground_below_fuse(view: View) -> Hits:
    """A unit's ground wire, or its contact, that a fault inside the unit overloads before the fuse
    that feeds the unit opens.
    """
    for fuse in fuses(view):
        units: dict[str, dict[str, tuple[GroundWire, Objection]]] = {}
        for ground in fuse.worked_out.grounds:
            for objection in ground.objections(fuse.amps):
                units.setdefault(ground.unit, {}).setdefault(ground.subject, (ground, objection))
        for owner, found in units.items():
            worst, objection = min(found.values(), key=lambda each: each[0].case.ampacity_amps)
            share = f" ({100 * worst.share:.0f} % of a fault)" if worst.share < 1 else ""
            wires = " and ".join(_ground(each) for each, _ in found.values())
            facts = {"owner": owner, "wires": wires, "reason": objection.text, "share": share}
            yield fuse.hit(view, *found, heat=heat_taken(view), **facts)


def _ground(ground: GroundWire) -> str:
    return f"{ground.subject} ({ground.case.wire.name}, {ground.case.ampacity_amps:.3g} A)"


def _thicker(view: View, subject: str) -> str:
    """The command that makes the lead of a part of the job thicker; empty at any other wire."""
    if split(subject)[0] not in view.job.extras:
        return ""
    return "; a thicker lead" + typed(f": wiremap next JOB --about {subject}.wire")


def _wire(judged: Judged) -> str:
    return f"{judged.subject} ({judged.case.wire.name}, {judged.ampacity_amps:.3g} A)"


@WIRE.stop(
    "conductor-overloaded",
    what="{subject}: {amps:g} A of load, but its {wire} carries {carries:.3g} A in {ambient:g} C",
    why="The wire runs hotter than its insulation stands in ordinary service.",
    fix="Use a thicker wire, share the load over more wires, or correct the stated amps"
    + said_anew("amps"),
    source="heat balance of one wire in still air",
)
def conductor_overloaded(view: View) -> Hits:
    """A conductor whose stated load is over what it carries; of an output the machine's load
    counts, whatever the output is rated for.
    """
    job_sizes = sizes(view)
    loads = view.once(_output_loads)
    for size in job_sizes.conductors.values():
        stated = [size.amps, loads.get(size.circuit)]
        amps = max((figure for figure in stated if figure is not None), default=None)
        if amps is None or size.ampacity_amps is None or not is_over(amps, size.ampacity_amps):
            continue
        is_point = size.subject in view.points
        yield view.hit(
            size.subject,
            place=None if is_point else view.harness.circuit(size.circuit).place,
            subject=size.subject,
            amps=amps,
            wire=size.cable.name,
            carries=size.ampacity_amps,
            ambient=job_sizes.ambient_C,
        )


def _output_loads(view: View) -> dict[str, float]:
    """What the machine's loads draw through each circuit that an output feeds alone [A]."""
    loads: dict[str, float] = {}
    for output in outputs(view):
        amps = output.steady_amps()
        circuits = view.net_of(output.signal.address).circuits
        if amps is not None and len(output.loads) == 1:
            loads.update(dict.fromkeys(circuits, amps))
    return loads
