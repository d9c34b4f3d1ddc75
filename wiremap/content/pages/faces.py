"""Both faces of every connector, with word flags."""

from __future__ import annotations

from wiremap.content.faces import face_blocks
from wiremap.content.given import Given
from wiremap.content.pieces import Section
from wiremap.content.stages import Page, Stage


def faces_section(given: Given) -> Section:
    """Both faces of every connector."""
    return Section(
        key="faces",
        title="Faces of the connectors",
        drawn_from="the eye shows which side you look at: the two views mirror each other",
        blocks=tuple(face_blocks(given.harness)),
        lead="Read the moulded digits aloud first. Pennant: contact 1. Heavy ring: large contact. "
        "Strokes: wire tied back. Double ring: blanking plug. Diamond: alike in colour, go by "
        "cavity and beep.",
    )


PAGE = Page(key="faces", stage=Stage.PLACES, make=faces_section, order=1)
