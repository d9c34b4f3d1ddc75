"""Family `chain`: coding contacts that must be decided."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.evidence.confirmed import PARTNER
from wiremap.rules.cure import typed
from wiremap.rules.links import OPEN, Coding, codings
from wiremap.rules.registry import Family, Hit, Hits, Matter
from wiremap.rules.view import View

BY_LEAFLET = "by the leaflet: the contact that it goes with, or left alone"

CHAIN = Family("chain", Matter.WORKING)


@CHAIN.stop(
    "coding-undecided",
    what="nobody has decided the coding contact {a}: {now}",
    why="An undecided coding contact silently selects a set-up, perhaps the wrong one.",
    fix="Answer what it shall select ({choices})" + typed(": wiremap next JOB --about {about}"),
)
def coding_undecided(view: View) -> Hits:
    """A coding contact with a choice that no named person has made."""
    for coding in view.once(codings):
        if not coding.is_settled:
            yield _coding_hit(view, coding)


@CHAIN.stop(
    "coding-otherwise",
    what="the coding contact {a} is set otherwise than confirmed: {now}, wanted is {wanted}",
    why="The unit will start in another set-up than the one that was chosen.",
    fix="Make or take away the link so that it selects what was chosen: {choices};"
    " or choose anew" + typed(": wiremap next JOB --about {at}") + ".",
)
def coding_otherwise(view: View) -> Hits:
    """A coding contact whose link selects something else than was answered, or that lies on
    what its codes do not name.
    """
    for coding in view.once(codings):
        if coding.is_otherwise:
            yield _coding_hit(view, coding)


def _coding_hit(view: View, coding: Coding) -> Hit:
    address = coding.point.address
    also = view.described(address)
    if coding.answer is not None and coding.answer.place is not None:
        also = ((coding.answer.place, "answered here"), *also)
    return view.hit(
        address,
        also=also,
        about=address if coding.codes else f"{address}{PARTNER}",
        now=_now(coding),
        choices=", ".join(_choices(coding)) or BY_LEAFLET,
        wanted=coding.wanted or "the coding as confirmed",
    )


def _now(coding: Coding) -> str:
    now = "it is left open"
    if coding.links != (OPEN,):
        now = f"it is joined to {', '.join(coding.links)}"
    if coding.selects:
        now += f", which selects {coding.selects}"
    return now


def _choices(coding: Coding) -> Iterator[str]:
    for link, selected in coding.codes.items():
        how = "open" if link == OPEN else f"linked with {link}"
        yield f"{selected} ({how})"
