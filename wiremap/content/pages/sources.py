"""Where every statement and every number comes from."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from wiremap.content.given import Given
from wiremap.content.pieces import Block, Ledger, Section, TextPiece
from wiremap.content.stages import Page, Stage
from wiremap.content.words import listed, number
from wiremap.model import End
from wiremap.sizing.feed_parts import Feed
from wiremap.sizing.job_sizes import JobSizes
from wiremap.sizing.sized import Sized, Value

PAPER_SHARES = (18, 56, 58, 22, 26)
FIGURE_SHARES = (48, 28, 50, 64)
SETTLED_SHARES = (26, 16, 24, 124)


class SourcedFigure(NamedTuple):
    """One figure: what it is, its value, its formula, its source with its standing."""

    what: str
    value: str
    formula: str
    source: str


def sources_section(given: Given) -> Section:
    """Papers, assumptions, figures, and what was settled by name."""
    papers = tuple(_paper(end) for end in given.job.ends.values())
    columns = ("end", "paper", "source", "letters", "hash")
    blocks: list[Block] = [Ledger(columns, PAPER_SHARES, papers)]
    if given.sizes is not None:
        blocks += _sizes(given.sizes)
    blocks += _settled(given)
    return Section(key="sources", title="Assumptions and sources", blocks=tuple(blocks))


def _paper(end: End) -> tuple[str, ...]:
    pinout = end.pinout
    source = f"{pinout.source.name or 'no source named'} ({pinout.source.basis})"
    return end.name, pinout.title, source, pinout.letters or "words or IEC", pinout.digest


def _sizes(sizes: JobSizes) -> Iterator[Block]:
    yield TextPiece("Assumptions", strong=True)
    for assumption in sizes.assumptions:
        yield TextPiece(f"– {assumption}.")
    if sizes.missing:
        yield TextPiece("Not sized, for want of", strong=True)
    for missing in sizes.missing:
        yield TextPiece(f"– {missing}.")
    figures = _figures(sizes)
    if figures:
        rows = tuple(
            (f"{f.what}: {listed(*of)}", f.value, f.formula, f.source) for f, of in figures.items()
        )
        columns = ("figure, of what", "value", "formula", "source and standing")
        yield TextPiece("Figures, each with its formula, source and standing", strong=True)
        yield Ledger(columns, FIGURE_SHARES, rows)


def _figures(sizes: JobSizes) -> dict[SourcedFigure, dict[str, None]]:
    """Every figure with the fuses, feeds and joints that it is of."""
    sized: list[tuple[str, Sized | None]] = [
        (_of_wire(name, fuse.weakest), fuse.sized) for name, fuse in sizes.fuses.items()
    ]
    sized += [(_of_wire(_feed_name(feed), feed.weakest), feed.sized) for feed in sizes.feeds]
    sized += [(name, joint.sized) for name, joint in sizes.joints.items()]
    found: dict[SourcedFigure, dict[str, None]] = {}
    for name, answer in sized:
        for result in answer.results if answer else ():
            found.setdefault(_figure(result), {})[name] = None
    return found


def _of_wire(name: str, wire: str) -> str:
    """A feed or fuse with the wire behind it that its figures are of."""
    return name if wire in ("", name) else f"{name}, its wire at {wire}"


def _feed_name(feed: Feed) -> str:
    """A feed; where another fuse is in than the figures are for, both are told."""
    if feed.sized is None or not feed.sized.found or feed.fuse_amps is None:
        return feed.address
    computed = feed.sized.number("fuse")
    if computed == feed.fuse_amps:
        return feed.address
    fuse = feed.fed.fuse if feed.fed and feed.fed.fuse else "its fuse"
    return f"{feed.address} (were {fuse} {number(computed)} A; it is {number(feed.fuse_amps)} A)"


def _figure(result: Value) -> SourcedFigure:
    value = result.value
    shown = number(value) if isinstance(value, float) else str(value)
    return SourcedFigure(
        what=result.name.replace("_", " "),
        value=f"{shown} {result.unit}".strip(),
        formula=result.formula,
        source=f"{result.source} ({result.status})",
    )


def _settled(given: Given) -> Iterator[Block]:
    if not given.job.confirmed:
        return
    rows = tuple((c.circuit, c.by, c.date, c.how) for c in given.job.confirmed)
    yield TextPiece("Settled by name", strong=True)
    yield Ledger(("circuit", "by", "date", "how"), SETTLED_SHARES, rows)


PAGE = Page(key="sources", stage=Stage.ANNEX, make=sources_section, order=8)
