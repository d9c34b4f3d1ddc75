"""Small faces beside the work: cavity numbers alone, from the side that the hands look at."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import replace
from functools import lru_cache

from wiremap.content.face_pieces import FaceBlock, FaceView, Hole, signs_told
from wiremap.content.faces import face_blocks, own_blocks
from wiremap.content.given import Given
from wiremap.graph import Harness
from wiremap.model import PROBED_FROM, LookedAt, Side

MOST_CAVITIES = 60  # a larger face is looked at on its own page


def small_faces(given: Given, ends: Collection[str], side: LookedAt) -> Iterator[FaceBlock]:
    """The faces of some ends from one side, without word flags."""
    small = list(_small(_blocks(given.harness), ends, side))
    legend = signs_told(small)
    for block in small:
        name = block.name
        if given.adapter and given.job.ends[name].is_machine:
            name = f"adapter's {name}"  # the machine's plug is called so too
        views = tuple(replace(view, owner=name) for view in block.views)
        yield replace(block, views=views, legend=legend)


@lru_cache(maxsize=2)
def _blocks(harness: Harness) -> tuple[FaceBlock, ...]:
    """The faces of a harness, which many a page shows."""
    return tuple(face_blocks(harness))


def machine_faces(given: Given) -> Iterator[FaceBlock]:
    """The mating faces of the machine's own connectors, for what is read before the work."""
    yield from _own_faces(own_blocks(given.harness, Side.MACHINE))


def plug_faces(given: Given, ends: Collection[str]) -> Iterator[FaceBlock]:
    """The mating faces of some of the machine's own connectors."""
    blocks = own_blocks(given.harness, Side.MACHINE)
    yield from _own_faces(block for block in blocks if block.name in ends)


def unit_faces(given: Given, ends: Collection[str]) -> Iterator[FaceBlock]:
    """The mating faces of new units' own plugs, for what is read in them."""
    blocks = own_blocks(given.harness, Side.UNIT)
    yield from _own_faces(block for block in blocks if block.name in ends)


def _own_faces(own: Iterable[FaceBlock]) -> Iterator[FaceBlock]:
    blocks = list(own)
    small = list(_small(blocks, {block.name for block in blocks}, PROBED_FROM))
    legend = signs_told(small)
    yield from (replace(block, legend=legend) for block in small)


def _small(
    blocks: Iterable[FaceBlock], ends: Collection[str], side: LookedAt
) -> Iterator[FaceBlock]:
    for block in blocks:
        if block.name in ends and block.views and block.cavities <= MOST_CAVITIES:
            views = tuple(_plain(view) for view in block.views if view.view == side)
            yield replace(block, views=views, flag_list=(), alike=())


def _plain(view: FaceView) -> FaceView:
    rows = tuple(tuple(_bare(hole) for hole in row) for row in view.rows)
    return replace(view, rows=rows)


def _bare(hole: Hole | None) -> Hole | None:
    return None if hole is None else replace(hole, flag="", alike=False)
