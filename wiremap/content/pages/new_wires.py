"""The new wires, once it is decided where everything will be: cut, flagged, their far ends made."""

from __future__ import annotations

from wiremap.content.given import Given
from wiremap.content.joint_ends import CONTACTS, digits_read
from wiremap.content.pieces import Section
from wiremap.content.small_faces import small_faces
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Steps
from wiremap.content.wire_work import new_wires
from wiremap.model import LookedAt

LEAD = (
    "Slack to make a joint again is in them. Too short, held along its way? First a longer one is "
    "entered and checked."
)
EACH = "Each is cut, a flag at both ends."


def new_wires_section(given: Given) -> Section | None:
    """Every new wire of a splice; None without any, or where all the work is new wires."""
    steps = tuple(new_wires(given))
    if not steps or given.adapter:
        return None
    faces = small_faces(given, given.crimped_into, LookedAt.WIRE_ENTRY)
    return Section(
        key="new-wires",
        title="New wires: cut to length, far ends made, on the bench",
        drawn_from="cavity numbers as moulded",
        blocks=(*faces, Steps(lead=f"{EACH} {CONTACTS}", steps=(*digits_read(given), *steps))),
        lead=LEAD,
        faces_again=True,
    )


PAGE = Page(key="new-wires", stage=Stage.PLACES, make=new_wires_section, order=5)
