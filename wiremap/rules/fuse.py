"""Fuses: is there one, is it the right one, does it open, does it open first."""

from __future__ import annotations

from collections.abc import Iterator

from wiremap.base import Place, Severity
from wiremap.rules.registry import Hit, rule
from wiremap.rules.sized import fuses, sizes
from wiremap.rules.view import View
from wiremap.sizing.circuit import near_end_amps
from wiremap.sizing.feed_parts import Feed, Judged
from wiremap.sizing.feeds import STUB_MM
from wiremap.sizing.fuse_judge import Fault
from wiremap.sizing.fuse_limits import CLEARS, CLEARS_WELL, rating_row

LIMITS = "ISO 8820-3 opening limits"


@rule(
    "feed-without-fuse",
    Severity.STOP,
    family="fuse",
    what="{feed} is fed without a fuse, and no fuse of the job lies behind it",
    why="A short then burns the wire: nothing opens.",
    fix="Fit a fuse within 180 mm of the source.",
    source="FAA AC 43.13-1B paragraphs 11-47 and 11-48",
)
def feed_without_fuse(view: View) -> Iterator[Hit]:
    """A source that the job says is unfused and that does not lead to a fuse first."""
    for feed in sizes(view).feeds:
        if feed.fed is not None and feed.fed.unfused and feed.stub_mm is None:
            yield Hit(feed.place, (feed.address,), {"feed": view.name(feed.address)})


@rule(
    "feed-unknown",
    Severity.NOTE,
    family="fuse",
    what="{feed}: nobody says what fuse lies before it",
    why="Whether the wires behind it are protected cannot be judged.",
    fix="Write `fed: {{{cavity}: {{fuse_amps: ...}}}}` on the end, or `none` if there is no fuse.",
    source="common practice: what is not known is asked for",
)
def feed_unknown(view: View) -> Iterator[Hit]:
    """A joined supply contact of the machine that stands not under `fed`, or there without a fuse's amps."""
    for feed in sizes(view).feeds:
        unsaid = feed.fed is None or (not feed.fed.unfused and feed.fuse_amps is None)
        if unsaid:
            yield Hit(
                view.place_of(feed.address),
                (feed.address,),
                {"feed": view.name(feed.address), "cavity": feed.address.partition(".")[2]},
            )


@rule(
    "fuse-over-contact",
    Severity.STOP,
    family="fuse",
    what="{fuse}, {amps:g} A, is too large for the contact of {points}",
    why="The contact anneals and opens long before the fuse does.",
    fix="Fit a fuse of at most the contact's current, or lead the load past this contact.",
    source="maker's contact current",
)
def fuse_over_contact(view: View) -> Iterator[Hit]:
    """A fuse that is larger than a contact behind it is good for."""
    for owner, subject, name, rating in fuses(view):
        bad = _with(owner.judged, "contact")
        if bad and rating is not None:
            told = " and ".join(f"{j.subject} ({j.case.contact_amps:g} A)" for j, _ in bad)
            yield Hit(
                owner.place,
                (subject, *(j.subject for j, _ in bad)),
                {"fuse": name, "amps": rating, "points": told},
                view.described(*(j.subject for j, _ in bad if j.subject in view.points)),
            )


def _with(judged: tuple[Judged, ...], kind: str) -> list[tuple[Judged, Fault]]:
    return [(j, f) for j in judged for f in j.faults if f.kind == kind]


@rule(
    "bundle-not-stated",
    Severity.NOTE,
    family="fuse",
    what="the fuses were judged as if each wire lay alone in free air",
    why="Loaded wires lying together carry far less: ten of them about half.",
    fix="Write `surroundings: {{bundle: n}}` with the number of loaded wires lying together.",
    source="DIN VDE 0298-4 table 26",
)
def bundle_not_stated(view: View) -> Iterator[Hit]:
    """Fuses judged without a word on how many loaded wires lie together."""
    found = sizes(view)
    judged = [f.judged for f in found.feeds] + [f.judged for f in found.fuses.values()]
    if view.job.surroundings.bundle is None and any(judged):
        yield Hit(view.job.surroundings.place or view.job.place, ("surroundings",))


@rule(
    "fuse-too-small",
    Severity.CAUTION,
    family="fuse",
    what="{fuse}, {amps:g} A, is too small: {reason}",
    why="It opens in ordinary service, and then somebody fits a larger one.",
    fix="Fit the size that load, ambient and inrush ask for, if wire and contacts stand it.",
    source="75 % of the rating at 25 C (a protection distributor's terms)",
)
def fuse_too_small(view: View) -> Iterator[Hit]:
    """A fuse below what load, ambient or inrush ask for."""
    for owner, subject, name, rating in fuses(view):
        if owner.too_small and rating is not None:
            yield Hit(
                owner.place,
                (subject,),
                {"fuse": name, "amps": rating, "reason": owner.too_small[0].text},
            )


@rule(
    "fuse-does-not-clear",
    Severity.STOP,
    family="fuse",
    what="{fuse}, {amps:g} A, need not open on a short at {point}: it draws {far:.3g} A, under {times:g} x its rating",
    why="A short that the fuse does not clear heats the wire until something else gives way.",
    fix="Fit a smaller fuse, a thicker or shorter wire, or a better return.",
    source=LIMITS,
)
def fuse_does_not_clear(view: View) -> Iterator[Hit]:
    """A far-end short that draws less than 1.35 times the rating at the lowest voltage."""
    yield from _clearing(view, 0.0, CLEARS)


@rule(
    "fuse-clears-slowly",
    Severity.CAUTION,
    family="fuse",
    what="{fuse}, {amps:g} A, opens slowly on a short at {point}: it draws {far:.3g} A, under {times:g} x its rating",
    why="Under twice its rating a fuse may take up to a minute or ten to open.",
    fix="Fit a smaller fuse, a thicker or shorter wire, or a better return.",
    source=LIMITS,
)
def fuse_clears_slowly(view: View) -> Iterator[Hit]:
    """A far-end short that draws between 1.35 and 2 times the rating at the lowest voltage."""
    yield from _clearing(view, CLEARS, CLEARS_WELL)


def _clearing(view: View, low: float, high: float) -> Iterator[Hit]:
    for owner, subject, name, rating in fuses(view):
        if rating is None:
            continue
        far = [(j.far_end_amps, j.subject) for j in owner.judged if j.far_end_amps is not None]
        if far and low * rating <= min(far)[0] < high * rating:
            amps, point = min(far)
            yield Hit(
                owner.place,
                (subject, point),
                {"fuse": name, "amps": rating, "point": point, "far": amps, "times": high},
            )


@rule(
    "leaflet-fuse-differs",
    Severity.CAUTION,
    family="fuse",
    what="{fuse}: {reason}",
    why="A maker's stated figure beats a computed one.",
    fix="Follow the leaflet, or sign why not.",
    source="maker's leaflet",
)
def leaflet_fuse_differs(view: View) -> Iterator[Hit]:
    """A fuse other than the leaflet's, a lead thinner than it asks for, or a leaflet's fuse that the wire does not stand."""
    for fuse in sizes(view).fuses.values():
        if (
            fuse.leaflet_amps is not None
            and fuse.amps is not None
            and fuse.amps != fuse.leaflet_amps
        ):
            yield Hit(
                fuse.place,
                (fuse.name,),
                {
                    "fuse": fuse.name,
                    "reason": f"the leaflet says {fuse.leaflet_amps:g} A, the job has {fuse.amps:g} A",
                },
            )
        for caution in fuse.sized.cautions if fuse.sized else ():
            if caution.startswith("the leaflet wants"):
                yield Hit(fuse.place, (fuse.name, "lead"), {"fuse": fuse.name, "reason": caution})


@rule(
    "fuse-breaking-capacity",
    Severity.STOP,
    family="fuse",
    what="{fuse}: a short behind it draws up to {near:.4g} A, and {reason}",
    why="A fuse that is asked to break more than it can bursts and goes on conducting as an arc.",
    fix="Fit a fuse of higher breaking capacity or voltage, or move it farther from the source.",
    source="ISO 8820-3: 1000 A at 32 V",
)
def fuse_breaking_capacity(view: View) -> Iterator[Hit]:
    """A short-circuit current or a voltage beyond what the fuse can break."""
    for owner, subject, name, _rating in fuses(view):
        bad = _with(owner.judged, "breaking") + _with(owner.judged, "rated-volts")
        if bad:
            judged, found = bad[0]
            yield Hit(
                owner.place,
                (subject,),
                {"fuse": name, "near": near_end_amps(judged.case) or 0.0, "reason": found.text},
            )


@rule(
    "fuse-far-from-source",
    Severity.CAUTION,
    family="fuse",
    what="{feed}: {mm:g} mm of wire lie between the source and its own fuse; at most {most:g} mm is usual",
    why="That stretch is protected only by the fuse upstream, which is too large for it.",
    fix="Move the fuse closer to the tap.",
    source="a marine rule of 7 in, used for want of a road-vehicle one",
)
def fuse_far_from_source(view: View) -> Iterator[Hit]:
    """A stub of more than 180 mm between a source and the job's own fuse."""
    for feed in sizes(view).feeds:
        if feed.stub_mm is not None and feed.stub_mm > STUB_MM:
            yield Hit(
                _stub_place(view, feed),
                (feed.address,),
                {"feed": view.name(feed.address), "mm": feed.stub_mm, "most": STUB_MM},
            )


def _stub_place(view: View, feed: Feed) -> Place | None:
    circuit = view.circuit_of(feed.address)
    return circuit.at("length_mm") if circuit else feed.place


@rule(
    "no-fuse-fits",
    Severity.STOP,
    family="fuse",
    what="{fuse}: {reason}",
    why="Load and wire leave no room for a fuse between them.",
    fix="{cure}",
    source=LIMITS,
)
def no_fuse_fits(view: View) -> Iterator[Hit]:
    """A fuse that the job asks to be sized and for which no rating does."""
    for fuse in sizes(view).fuses.values():
        if fuse.chosen and fuse.amps is None and fuse.sized is not None:
            cure = "; ".join(fuse.sized.cure) or "State what is missing."
            yield Hit(
                fuse.place,
                (fuse.name,),
                {"fuse": fuse.name, "reason": fuse.sized.why, "cure": cure[0].upper() + cure[1:]},
            )


@rule(
    "fuse-no-such-rating",
    Severity.CAUTION,
    family="fuse",
    what="{fuse}: there is no {amps:g} A blade fuse",
    why="Somebody will fit the next one that is at hand.",
    fix="Write a standard rating.",
    source="ISO 8820-3 ratings",
)
def fuse_no_such_rating(view: View) -> Iterator[Hit]:
    """A blade fuse of the job whose rating is not in the series."""
    for fuse in sizes(view).fuses.values():
        extra = view.job.extras[fuse.name]
        if (
            extra.amps is not None
            and extra.detail in ("", "blade")
            and rating_row(extra.amps) is None
        ):
            yield Hit(fuse.place, (fuse.name,), {"fuse": fuse.name, "amps": extra.amps})


@rule(
    "fuse-to-be-changed",
    Severity.NOTE,
    family="fuse",
    what="{fuse}: {found:g} A was found, {amps:g} A shall be fitted and the box relabelled; {sentence}",
    why="A label that still names the old size invites it back.",
    fix="Fit it, relabel the box, and write the change into the machine's papers.",
    source=LIMITS,
)
def fuse_to_be_changed(view: View) -> Iterator[Hit]:
    """An upstream fuse that is to be replaced by another size."""
    for feed in sizes(view).feeds:
        fed = feed.fed
        if (
            fed is not None
            and fed.found_amps is not None
            and fed.fuse_amps is not None
            and fed.found_amps != fed.fuse_amps
        ):
            yield Hit(
                feed.place,
                (feed.address,),
                {
                    "fuse": fed.fuse or feed.address,
                    "found": fed.found_amps,
                    "amps": fed.fuse_amps,
                    "sentence": feed.found_sentence,
                },
            )


@rule(
    "fuse-not-selective",
    Severity.NOTE,
    family="fuse",
    what="{fuse}, {amps:g} A, need not open before the {upstream:g} A upstream",
    why="A fault in the new wiring may then put out what else hangs on the upstream fuse.",
    fix="Choose sizes farther apart, or accept it knowingly.",
    source=LIMITS,
)
def fuse_not_selective(view: View) -> Iterator[Hit]:
    """A fuse of the job whose slowest opening may be after the upstream fuse's fastest."""
    for fuse in sizes(view).fuses.values():
        if fuse.selective is False and fuse.amps is not None and fuse.upstream_amps is not None:
            yield Hit(
                fuse.place,
                (fuse.name,),
                {"fuse": fuse.name, "amps": fuse.amps, "upstream": fuse.upstream_amps},
            )
