"""What is done to a resistor or diode before it is joined: tails on its leads, its body sealed."""

from __future__ import annotations

from wiremap.content.given import Given
from wiremap.content.words import listed, size_words
from wiremap.graph import Conductor, Joint
from wiremap.model import Extra
from wiremap.sizing.part_tails import part_tail


def made_ready(given: Given, extra: Extra) -> str:
    """What is done to a part first; empty where it is joined as it comes."""
    sizes = tail_sizes(given, extra)
    tails = f"stranded tails ({listed(*sizes)}) soldered to its leads" if sizes else ""
    if given.job.surroundings.wet:
        bare = "body and solder joints" if sizes else "its body"
        return listed(tails, f"{bare} under one adhesive sleeve")
    return tails and f"{tails}, solder joints sleeved"


def tail_sizes(given: Given, extra: Extra) -> list[str]:
    """The sizes of a part's tails, each once; none where its leads are soldered into its joints."""
    found: dict[str, None] = {}
    for conductor, joint in _leads(given, extra):
        tail = part_tail(conductor, joint, given.harness)
        if tail is not None:
            found[size_words(tail)] = None
    return list(found)


def _leads(given: Given, extra: Extra) -> list[tuple[Conductor, Joint]]:
    """The leads of a part, each with the joint that it ends in."""
    return [
        (conductor, joint)
        for leg in extra.legs
        for joint in given.harness.joints_at(leg)
        for conductor in given.conductors(joint)
        if conductor.point == leg and conductor.origin == "lead"
    ]
