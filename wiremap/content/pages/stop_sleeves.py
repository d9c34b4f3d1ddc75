"""The second two-name stop: before the sleeves are shrunk, or an adapter's plugs are closed."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from wiremap.content.given import Given
from wiremap.content.pieces import Section
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Slot, Step, Want
from wiremap.content.stops import own_reading, stop_section
from wiremap.content.words import sentence_case
from wiremap.evidence.expected import electrical
from wiremap.mistakes.expectation import Shows
from wiremap.model import Stop


def sleeves_stop(given: Given) -> Section | None:
    """What both say before a joint can no longer be seen; None where nothing was rung out."""
    if not given.probes:
        return None
    steps = [
        Step(text="A wrong reading, its cause and its cure (or: none)", slot=Slot.LINE),
        *_looked_at(given),
    ]
    worst = _worst(given)
    if worst is not None:
        steps.append(own_reading(" – ".join(worst), Want.SILENT, ""))
    return stop_section(given, Stop.SLEEVES, steps)


def _looked_at(given: Given) -> Iterator[Step]:
    """What the second person looks at: a crimp that went into its cavity was shown before that."""
    told = []
    if given.harness.joints:
        told.append("each joint looked at by the second, by its flags: copper all in")
    if given.crimped_into:
        told.append("no contact went in without the second having seen its crimp")
    if told:
        yield Step(text=f"{sentence_case('; '.join(told))}.")


def _worst(given: Given) -> tuple[str, str] | None:
    """The silence that matters most: a supply against a ground, else the first for a danger."""
    every = (*given.probes, *given.second)
    silent = [p for p in every if p.expect is Shows.SILENT and not p.state.parted]
    for probe in silent:
        for red, black in product(probe.red, probe.black):
            if {_group(given, red), _group(given, black)} == {"supply", "ground"}:
                return red, black
    for probe in silent:
        match probe.red, probe.black:
            case (red,), (black,) if probe.why or probe.state.shrunk:
                return red, black
    return None


def _group(given: Given, address: str) -> str:
    """What a contact is electrically; empty of what is no contact."""
    cavity = given.harness.points[address].cavity
    return electrical(cavity) if cavity is not None else ""


PAGE = Page(key="stop-sleeves", stage=Stage.SLEEVES, make=sleeves_stop)
