"""Family `fuse`: is there one, is it the right one, does it open, does it open first."""

from __future__ import annotations

from wiremap.rules.cure import SIGN, said_anew
from wiremap.rules.registry import Family, Hits, Matter
from wiremap.rules.sized import fuses, sizes
from wiremap.rules.view import View
from wiremap.sizing.circuit import Protected, near_end_amps
from wiremap.sizing.fuse_limits import CLEARS, CLEARS_WELL, rating_row

MILLI = 1000.0  # thousandths of a unit
FUSE = Family("fuse", Matter.UNIT)
LARGER = "the size that load, ambient and inrush ask for, if wire and contacts stand it"
LIMITS = "ISO 8820-3 opening limits"


@FUSE.stop(
    "fuse-over-contact",
    what="{fuse}, {amps:g} A, is too large for the contact of {points}",
    why="The contact anneals and opens long before the fuse does.",
    fix="Fit a fuse of at most the contact's current, or lead the load past this contact.",
    source="maker's contact current",
)
def fuse_over_contact(view: View) -> Hits:
    """A fuse that is larger than a contact behind it is good for."""
    for fuse in fuses(view):
        judged = [found.judged for found in fuse.against("contact")]
        if judged:
            points = " and ".join(f"{j.subject} ({j.case.contact_amps:g} A)" for j in judged)
            yield fuse.hit(view, *(j.subject for j in judged), points=points)


@FUSE.caution(
    "fuse-too-small",
    what="{fuse}, {amps:g} A, is too small: {reason}",
    why="It opens in ordinary service, and then somebody fits a larger one.",
    fix="What serves here: {serves}.",
    source="75 % of the rating at 25 C (a protection distributor's terms)",
)
def fuse_too_small(view: View) -> Hits:
    """A fuse below what load, ambient or inrush ask for."""
    for fuse in fuses(view):
        for objection in fuse.worked_out.too_small[:1]:
            yield fuse.hit(view, reason=objection.text, serves=fuse.would_serve() or LARGER)


@FUSE.stop(
    "fuse-does-not-clear",
    what="{fuse}, {amps:g} A, need not open on a short at {point}: it draws {far:.3g} A ({rests}), "
    "under {times:g} x its rating",
    why="A short that the fuse does not clear heats the wire until something else gives way.",
    fix="Check these figures; if they hold, fit a smaller fuse, a thicker or shorter wire, or a "
    "better return" + said_anew("fuse_amps"),
    source=LIMITS,
)
def fuse_does_not_clear(view: View) -> Hits:
    """A far-end short that draws less than 1.35 times the rating at the lowest voltage."""
    return _clearing(view, 0, CLEARS)


@FUSE.caution(
    "fuse-clears-slowly",
    what="{fuse}, {amps:g} A, opens slowly on a short at {point}: it draws {far:.3g} A ({rests}), "
    "under {times:g} x its rating",
    why="Under twice its rating a fuse may take up to a minute or ten to open.",
    fix="Check these figures; if they hold, fit a smaller fuse, a thicker or shorter wire, or a "
    "better return" + said_anew("fuse_amps"),
    source=LIMITS,
)
def fuse_clears_slowly(view: View) -> Hits:
    """A far-end short that draws between 1.35 and 2 times the rating at the lowest voltage."""
    return _clearing(view, CLEARS, CLEARS_WELL)


def _clearing(view: View, least: float, times: float) -> Hits:
    """Fuses whose weakest far-end short draws at least `least` and under `times` the rating."""
    for fuse in fuses(view):
        shorts = [
            (judged.far_end_amps, judged.subject, _rests_on(judged.case))
            for judged in fuse.worked_out.judged
            if judged.far_end_amps is not None
        ]
        if not shorts:
            continue
        far, point, rests = min(shorts)
        if least * fuse.amps <= far < times * fuse.amps:
            facts = {"point": point, "far": far, "times": times, "rests": rests, **fuse.facts}
            yield view.hit_with((fuse.subject, point), facts, fuse.place)


def _rests_on(case: Protected) -> str:
    """The figures that a short's current was worked out from."""
    assert case.source_ohms is not None and case.loop_ohms is not None
    before, wires = case.source_ohms * MILLI, case.loop_ohms * MILLI
    return (
        f"{case.min_volts:g} V over {before:.4g} milliohm before the fuse and {wires:.4g} of "
        "wire and return behind it"
    )


@FUSE.stop(
    "fuse-breaking-capacity",
    what="{fuse}: {reason}",
    why="A fuse that is asked to break more than it can bursts and goes on conducting as an arc.",
    fix="Fit a fuse that breaks as much at these volts, or one that does ahead of it, at the "
    "source; a longer lead with no fuse ahead only burns.",
    source="ISO 8820-3: 1000 A at 32 V",
)
def fuse_breaking_capacity(view: View) -> Hits:
    """A short-circuit current or a voltage beyond what the fuse can break."""
    for fuse in fuses(view):
        for found in (fuse.against("breaking") + fuse.against("rated-volts"))[:1]:
            near = near_end_amps(found.judged.case) or 0.0
            yield fuse.hit(view, near=near, reason=found.objection.text)


@FUSE.stop(
    "no-fuse-fits",
    what="{fuse}: {reason}",
    why="Load and wire leave no room for a fuse between them.",
    fix="{cure}",
    source=LIMITS,
)
def no_fuse_fits(view: View) -> Hits:
    """A fuse that the job asks to be sized and for which no rating does."""
    for fuse in sizes(view).fuses.values():
        if fuse.chosen and fuse.amps is None and fuse.sized is not None:
            cure = "; ".join(fuse.sized.cure) or "State what is missing."
            facts = {
                "fuse": fuse.name,
                "reason": fuse.sized.why,
                "cure": cure[0].upper() + cure[1:],
            }
            yield view.hit_with((fuse.name,), facts, fuse.place)


@FUSE.caution(
    "fuse-no-such-rating",
    matter=Matter.BENCH,
    what="{fuse}: there is no {amps:g} A blade fuse",
    why="Somebody will fit the next one that is at hand.",
    fix="Write a standard rating.",
    source="ISO 8820-3 ratings",
)
def fuse_no_such_rating(view: View) -> Hits:
    """A blade fuse of the job whose rating is not in the series."""
    for fuse in sizes(view).fuses.values():
        extra = view.job.extras[fuse.name]
        if extra.amps is None or extra.detail not in ("", "blade"):
            continue
        if rating_row(extra.amps) is None:
            yield view.hit(fuse.name, place=fuse.place, fuse=fuse.name, amps=extra.amps)


@FUSE.note(
    "fuse-to-be-changed",
    matter=Matter.BENCH,
    what="{fuse}: {found:g} A was found, {amps:g} A shall be fitted and the box relabelled; "
    "{sentence}",
    why="A label that still names the old size invites it back.",
    fix="Fit it, relabel the box, and write the change into the machine's papers.",
    source=LIMITS,
)
def fuse_to_be_changed(view: View) -> Hits:
    """An upstream fuse that is to be replaced by another size."""
    for feed in sizes(view).feeds:
        fed = feed.fed
        if fed is None or fed.found_amps is None or fed.fuse_amps is None:
            continue
        if fed.found_amps != fed.fuse_amps:
            facts = {
                "fuse": fed.fuse or feed.address,
                "found": fed.found_amps,
                "amps": fed.fuse_amps,
                "sentence": feed.found_sentence,
            }
            yield view.hit_with((feed.address,), facts, feed.place)


@FUSE.note(
    "fuse-not-selective",
    matter=Matter.HOUSE,
    what="{fuse}, {amps:g} A, need not open before the {upstream:g} A upstream",
    why="A fault in the new wiring may then put out what else hangs on the upstream fuse.",
    fix="Choose sizes farther apart, or sign it" + SIGN,
    source=LIMITS,
)
def fuse_not_selective(view: View) -> Hits:
    """A fuse of the job whose slowest opening may be after the upstream fuse's fastest."""
    for fuse in sizes(view).fuses.values():
        if fuse.selective is False and fuse.amps is not None and fuse.upstream_amps is not None:
            facts = {"fuse": fuse.name, "amps": fuse.amps, "upstream": fuse.upstream_amps}
            yield view.hit_with((fuse.name,), facts, fuse.place)
