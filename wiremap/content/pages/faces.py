"""Both faces of every connector, with word flags."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby

from wiremap.content.cautions import caution_steps
from wiremap.content.face_pieces import FaceBlock, signs_told
from wiremap.content.faces import face_blocks
from wiremap.content.given import Given
from wiremap.content.joint_work import SIDE_RANK
from wiremap.content.pieces import Block, Section
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Step, Steps
from wiremap.content.stops import cut_ends
from wiremap.content.words import listed
from wiremap.model import Side

MACHINE_FLAGS = (  # at the machine, and between
    "moulded digits read aloud; flags on by cavity, near the last tie; on the "
    "old plug's side each wire's cavity, on tape."
)
UNIT_FLAGS = "moulded digits read aloud; flags on by cavity, near the last tie."
UNIT_RANK = SIDE_RANK[Side.UNIT]
DIAMONDS = "look-alikes (diamond) flagged by their cavity before any wire is worked on."


def faces_section(given: Given) -> Section:
    """Both faces of every connector, what looks alike there, and the flags put on."""
    faces = sorted(face_blocks(given.harness), key=lambda face: _side(given, face.name))
    blocks: list[Block] = []
    for is_unit, group in groupby(faces, key=lambda face: _side(given, face.name) == UNIT_RANK):
        together = tuple(group)
        steps = tuple(_flagged(given, together, UNIT_FLAGS if is_unit else MACHINE_FLAGS))
        if steps:
            blocks.append(Steps(steps=steps, with_next=True))
        blocks += together
    return Section(
        key="faces",
        title="Faces of the connectors",
        drawn_from="the eye shows which side you look at: the two views mirror each other",
        blocks=tuple(blocks),
        lead=signs_told(faces),
    )


def _side(given: Given, end: str) -> int:
    """The machine's connectors first, then what lies between, then the unit's: as on the map."""
    return SIDE_RANK[given.job.ends[end].side]


def _flagged(given: Given, faces: Sequence[FaceBlock], words: str) -> Iterator[Step]:
    """The flags put on at some connectors where wires are cut, and the cautions of their colours.

    Look-alikes that a drawn face marks with diamonds share one step; of a face that is not drawn,
    each is told in words.
    """
    flagged = [face.name for face in faces if face.name not in given.crimped_into]  # no wire yet
    if cut_ends(given) and flagged:
        yield Step(at=listed(*flagged), text=words)
    here = {face.name for face in faces}
    drawn = {face.name for face in faces if face.views}
    alike = [step for step in caution_steps(given) if step.at in here]
    marked = [step for step in alike if step.at in drawn]
    if marked:
        names = listed(*(step.n for step in marked))
        at = listed(*(step.at for step in marked))
        first, *_ = marked
        yield Step(n=names, at=at, text=DIAMONDS, note=first.note)
    for step in alike:
        if step not in marked:
            told = "; ".join(next(face.alike for face in faces if face.name == step.at))
            yield replace(step, text=f"alike in colour: {told}: flagged by cavity first")


PAGE = Page(key="faces", stage=Stage.PLACES, make=faces_section, order=2)
