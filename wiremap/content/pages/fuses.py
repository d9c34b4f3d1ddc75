"""Fuse against wire, one drawing for each source."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from wiremap.content.given import Given
from wiremap.content.pieces import Block, CurrentMark, Curve, FusePlot, Section, TextPiece
from wiremap.content.stages import Page, Stage
from wiremap.content.words import number
from wiremap.sizing.curves import fuse_curves, wire_curve
from wiremap.sizing.feed_parts import Feed, FuseSize, Judged

NOTHING = (
    "No feed and no fuse of this job could be sized: sizes, lengths or the source are not stated."
)
UNKNOWN = "nothing is known behind it"


def fuses_section(given: Given) -> Section:
    """A drawing, or a sentence, for each feed and each fuse of the job."""
    blocks = [block for feed in given.feeds for block in _feed(feed)]
    blocks += [block for fuse in given.fuses for block in _fuse(fuse)]
    return Section(
        key="fuses",
        title="Fuse against wire",
        blocks=tuple(blocks or [TextPiece(NOTHING)]),
        lead="Opening limits as quoted of ISO 8820-3, from 3.5 x partly memory; wire by k2A2 up to "
        "5 s, by its heat balance beyond.",
    )


def _feed(feed: Feed) -> Iterator[Block]:
    """The fuse before one of the machine's contacts."""
    name = f"fuse before {feed.address}"
    if feed.fed and feed.fed.fuse:
        name = feed.fed.fuse
    if feed.fuse_amps is not None and feed.judged and not feed.is_short_stub:
        title = f"{name}, {number(feed.fuse_amps)} A, feeds {feed.address}"
        curves = _curves(feed.fuse_amps, feed.judged)
        yield FusePlot(title, curves, _marks(feed.load_amps, feed.judged), feed.sentence)
    elif feed.sentence:
        yield TextPiece(f"{feed.address}: {feed.sentence}")
    if feed.found_sentence and feed.found_sentence != feed.sentence:
        yield TextPiece(f"As found: {feed.found_sentence}.")
    if feed.is_short_stub and feed.stub_mm is not None:
        length = number(feed.stub_mm)
        yield TextPiece(
            f"{feed.address} leads to a fuse of the job over {length} mm: the stub is judged by "
            "its length and by what a short on it lets through."
        )


def _fuse(fuse: FuseSize) -> Iterator[Block]:
    """A fuse that the job adds."""
    if fuse.amps is None or not fuse.judged:
        why = fuse.sized.why if fuse.sized else ""
        yield TextPiece(f"{fuse.name}: no drawing: {why or UNKNOWN}")
        return
    title = f"{fuse.name}, {number(fuse.amps)} A"
    sentence = title
    if fuse.leaflet_amps is not None:
        sentence += f": the maker's figure governs ({number(fuse.leaflet_amps)} A)"
    objections = [objection.text for judged in fuse.judged for objection in judged.objections]
    sentence += f": {'; '.join(objections)}" if objections else "; nothing speaks against it"
    curves = _curves(fuse.amps, fuse.judged)
    yield FusePlot(title, curves, _marks(fuse.load_amps, fuse.judged), f"{sentence}.")
    if fuse.upstream_sentence:
        yield TextPiece(f"Without it: {fuse.upstream_sentence}.")


def _weakest(judged: Sequence[Judged]) -> Judged:
    """The lead that stands the fewest amps for long."""
    return min(judged, key=lambda j: j.ampacity_amps)


def _curves(amps: float, judged: Sequence[Judged]) -> tuple[Curve, ...]:
    """Both limits of the fuse, and what the weakest lead behind it stands."""
    weakest = _weakest(judged)
    least, most = fuse_curves(amps, weakest.case.family)
    stands = f"{weakest.subject}: a {weakest.case.wire.name} lead stands this much"
    return (
        Curve(f"{number(amps)} A opens no sooner", least, dashed=True),
        Curve(f"{number(amps)} A opens no later", most),
        Curve(stands, wire_curve(weakest.case), heavy=True),
    )


def _marks(load: float | None, judged: Sequence[Judged]) -> tuple[CurrentMark, ...]:
    marks = {"load": load, "far-end short": _weakest(judged).far_end_amps}
    return tuple(CurrentMark(word, float(amps)) for word, amps in marks.items() if amps)


PAGE = Page(key="fuses", stage=Stage.ANNEX, make=fuses_section, order=3)
