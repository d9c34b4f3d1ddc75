"""What is kept for the way back: the card behind it says where it lies."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.content.given import Given
from wiremap.content.pieces import Section
from wiremap.content.stages import Page, Stage
from wiremap.content.steps import Step, Steps
from wiremap.content.stops import cut_ends
from wiremap.content.words import listed, number
from wiremap.model import EndKind
from wiremap.trade.limits import limit


def keep_section(given: Given) -> Section | None:
    """What is laid by, a box each; None where nothing was taken away."""
    steps = tuple(_kept(given)) if given.worked_circuits else ()
    if not steps:
        return None
    return Section(
        key="keep", title="Kept for the way back", blocks=(Steps(steps=steps),), fresh=False
    )


def _kept(given: Given) -> Iterator[Step]:
    cut = cut_ends(given)
    tail = number(limit("kept-plug-tail-mm"))
    for end in cut:
        text = (
            f"old plug, breakout lead out of it, cut with {tail} mm of its own wires, ends taped "
            "over, and every piece that was cut off its wires; each bears its cavity"
        )
        yield Step(at=end.name, text=text)
    for fuse in given.fuses_out:
        if fuse.swapped:
            yield Step(at=fuse.name, text=f"the {number(fuse.found_amps or 0)} A fuse found")
    if cut:
        yield Step(text="old unit, with its mounting")
        return
    pulled = [end.name for end in given.surveyed_ends if end.kind == EndKind.MATE]
    if pulled:
        text = "what was pulled off, with its mounting"
        yield Step(at=listed(*pulled), text=text)


PAGE = Page(key="keep", stage=Stage.HANDING_OVER, make=keep_section, order=1)
