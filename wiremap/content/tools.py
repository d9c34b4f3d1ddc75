"""What the hands need besides the parts: crimp tools, meter leads, clips, lamps."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import accumulate

from wiremap.content.given import Given
from wiremap.content.words import listed, spaced
from wiremap.firstpower.step import AMPS
from wiremap.firstpower.working import TOGETHER
from wiremap.model import EndKind
from wiremap.ringout.bunch import bunches
from wiremap.survey.loaded import FUSE_LAMP_WATTS

SAMPLE = (
    "a sample crimp of each die on like wire of the same size, a barrel or contact more for it: "
    "pulled, looked at"
)


def tools(given: Given) -> Iterator[str]:
    """What the hands need besides the parts."""
    barrels = [size.made.barrel for size in given.joints if size.made is not None]
    bare = any(barrel is not None and barrel.is_bare for barrel in barrels)
    which = "bare barrels, and for " if bare else ""
    lifted = ", and what lifts them out again" if given.crimped_into else ""
    yield f"ratchet crimp tool with the die for {which}the contacts of each connector{lifted}"
    yield SAMPLE
    if given.crimped_into:
        locks = listed(*given.crimped_into)
        yield f"secondary lock of {locks}; tape or tube over the run, strain relief"
    heat = "; hot-air tool, reflector" if given.joints else ""
    yield f"stripper, cutters, rule, marker, tape, ties{_for_some(given)}{heat}"
    yield f"meter with a fine tip{_posts(given)}; {_leads(given)}"
    equipment = given.plan.equipment if given.plan is not None else None
    if equipment is not None and equipment.holds:
        clips = max((bunch.size for bunch in bunches(given.probes).values()), default=0)
        used = equipment if equipment.clips == 0 or not clips else replace(equipment, clips=clips)
        if used.clips != 0:  # the mating halves stand above
            yield f"for the ring-out: {replace(used, halves=False).told}"
    if any(step.quantity == AMPS for step in given.power):
        clamp = any(step.state == TOGETHER for step in given.power)
        told = "ammeter that shows 0.1 mA, a bridge lead for the battery's minus"
        yield listed(told, "a clamp meter for direct current" if clamp else "")
    yield _lamps(given)


def _for_some(given: Given) -> str:
    """What only some jobs need: a spanner for each stud, a label for a fuse of another rating."""
    extras = given.job.extras.values()
    studs = listed(*(spaced(each.name, each.detail) for each in extras if each.is_stud))
    swapped = listed(*(fuse.name for fuse in given.fuses_out if fuse.swapped))
    told = listed(
        f"spanner and grease for {studs}" if studs else "",
        f"label for {swapped}" if swapped else "",
    )
    return f", {told}" if told else ""


def _posts(given: Given) -> str:
    """A lead as long as the way from the battery to a face, where volts lost on it are read."""
    lost = any(step.is_loss for step in given.power)
    return ", a lead long enough from each battery post to the new plug" if lost else ""


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
    lamps = [step.lamp for step in given.power if step.lamp is not None and step.lamp.volts]
    if not lamps:
        return "small test lamps"
    lit = [step.lamp for step in given.power if step.lamp is not None and not step.fuse_lamps]
    watts = sorted({lamp.watts for lamp in lit if lamp.volts})
    told = f"{_guards(given)} of {FUSE_LAMP_WATTS:g} W on leads for fuse sockets"
    if watts:
        told = listed(told, *(f"1 of {each:g} W" for each in watts))
        told += " on leads with contacts that fit the faces"
    feeds = [lamp.feed_amps for lamp in lamps if lamp.feed_amps]
    feed = f"; a feed limited to {feeds[0]:g} A" if feeds else ""
    return f"lamps for {lamps[0].volts:g} V: {told}{feed}"


def _guards(given: Given) -> int:
    """How many lamps stand in the places of fuses at the same time."""
    return max(1, *accumulate(step.fuse_lamps for step in given.power))
