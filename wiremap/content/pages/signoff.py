"""The end of the bench pages: what was fitted, what is not proven, what was kept, who signs."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.content.given import Given
from wiremap.content.pieces import Block, Fill, Section, Step, Text
from wiremap.content.stages import Page, Stage
from wiremap.content.words import listed, spaced
from wiremap.ringout.gaps import summed

KEPT = (
    "what was kept: cut-off connector, old fuse, papers",
    "deviations from this sheet",
    "meter used, last checked",
)
ELSEWHERE = ("hidden", "untested-pairs")  # gaps that are told in numbers or not at all
ABREAST = 3  # lines to write on, side by side


def sign_section(given: Given) -> Section:
    """What was fitted, what is not proven, what was kept, and who signs."""
    eyes = ["looked over by a second person, date"]
    if given.cautions:
        eyes.append("cautions of the first page read by them too, date")
    blocks: list[Block] = [*_fuses(given), *_unproven(given), *_places(given), Fill(KEPT)]
    blocks.append(Fill(("built by, date", *eyes, "first power by, date")))
    return Section(
        key="sign",
        title="Sign-off",
        drawn_from="names and dates in ink",
        blocks=tuple(blocks),
        fresh=False,
    )


def _fuses(given: Given) -> Iterator[Block]:
    """Each fuse that first power puts back or fits, and what becomes of the one found."""
    for fuse in given.fuses_out:
        feeds, form, found = "", "", ""
        if fuse.own:
            form = given.job.extras[fuse.name].detail
        elif fuse.named:
            feeds = f" for {listed(*fuse.feeds)}"
        if fuse.swapped:
            found = f" ({fuse.found_amps:g} A was found; relabel the box)"
        fitted = spaced(f"{fuse.name}{feeds}: {fuse.rating}", form)
        yield Step("fuse", f"{fitted}{found}.", ("fitted", "where"))


def _unproven(given: Given) -> Iterator[Block]:
    """What the ring-out leaves unproven."""
    if given.plan is None:
        return
    gaps = given.plan.not_proven
    told = summed(gap for gap in gaps if gap.kind not in ELSEWHERE)
    pairs = sum(len(gap.pairs) for gap in gaps if gap.kind == "untested-pairs")
    if pairs:
        told.append(f"{pairs} pairs of circuits that lie apart were not probed against each other")
    if told:
        yield Text("Not proven by the ring-out", strong=True)
    for line in told:
        yield Text(f"– {line}.")


def _places(given: Given) -> Iterator[Fill]:
    """Lines for where things were put that the job does not place: each stud, each T."""
    labels = []
    for extra in given.job.extras.values():
        if extra.kind == "stud":
            labels.append(f"where {extra.name} is ({spaced('stud', extra.detail)})")
    for joint in given.harness.joints.values():
        taps = [a for a in joint.points if given.harness.points[a].is_tap]
        if joint.tap:
            labels += [f"where the T on {address} is" for address in taps]
    for k in range(0, len(labels), ABREAST):
        yield Fill(tuple(labels[k : k + ABREAST]))


PAGE = Page(key="sign", stage=Stage.HANDING_OVER, make=sign_section)
