"""Closing up: seals, plugs, sleeves, then the short second ring-out at the faces."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.content.closing import closing_steps
from wiremap.content.given import Given
from wiremap.content.pieces import Block, Section
from wiremap.content.probe_steps import AGAIN, probe_steps
from wiremap.content.small_faces import small_faces
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Steps
from wiremap.model import PROBED_FROM

SEVERAL = (
    "Of several points those behind a dash are clipped together, those before it read against them "
    "one after the other."
)


def sleeves_section(given: Given) -> Section | None:
    """What is closed after the ring-out, and what is read again; None where nothing is."""
    closed = tuple(closing_steps(given))
    blocks: list[Block] = []
    if closed:
        blocks.append(Steps(steps=closed))
    blocks += _again(given)
    if not blocks:
        return None
    return Section(
        key="sleeves",
        title="Closing up" if given.adapter else "Closing up, battery still off",
        drawn_from="contacts of the unmated faces",
        blocks=tuple(blocks),
        fresh=False,
        faces_again=True,
    )


def _again(given: Given) -> Iterator[Block]:
    """The second ring-out: heat and hands move things."""
    if given.second:
        yield from small_faces(given, given.new_faces, PROBED_FROM)
        several = any(len(points) > 1 for p in given.second for points in (p.red, p.black))
        yield Steps(
            title="Second ring-out, at the faces, wires moved by hand while reading",
            lead=SEVERAL if several else "",
            steps=probe_steps(given.second, AGAIN),
        )


PAGE = Page(key="sleeves", stage=Stage.SLEEVES, make=sleeves_section, order=1)
