"""What becomes of a face when the whole of it is read wrongly."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from wiremap.model import Face

WHOLE_FACE = ("mirrored", "rotated", "shifted", "rows-swapped", "by-columns", "snake")


def whole_face(face: Face) -> Mapping[str, Mapping[str, str | None]]:
    """For each whole-face mistake, which contact's wire ends in each cavity (None: the cavity stays empty).

    Keys are `mirrored`, `rotated`, `rows-swapped`, `by-columns`, `snake`, `shifted+1` and `shifted-1`; a mistake that
    moves nothing, or does the same as an earlier one, is left out.
    """
    rows = face.padded()
    grid = {(r, c): name for r, row in enumerate(rows) for c, name in enumerate(row) if name is not None}
    high, wide = len(rows), len(rows[0]) if rows else 0
    order = list(grid.values())
    places: dict[str, dict[str, str | None]] = {
        "mirrored": {n: grid.get((r, wide - 1 - c)) for (r, c), n in grid.items()},
        "rotated": {n: grid.get((high - 1 - r, wide - 1 - c)) for (r, c), n in grid.items()},
        "rows-swapped": {n: grid.get((high - 1 - r, c)) for (r, c), n in grid.items()},
        "by-columns": dict(zip((grid[k] for k in sorted(grid, key=lambda k: (k[1], k[0]))), order, strict=True)),
        "snake": {n: grid.get((r, wide - 1 - c)) if r % 2 else n for (r, c), n in grid.items()},
        "shifted+1": dict(zip(order, [None, *order[:-1]], strict=True)),
        "shifted-1": dict(zip(order, [*order[1:], None], strict=True)),
    }
    kept: dict[str, Mapping[str, str | None]] = {}
    for kind, place in places.items():
        if any(a != b for a, b in place.items()) and place not in kept.values():
            kept[kind] = MappingProxyType(place)
    return MappingProxyType(kept)


def draw(face: Face, mark: str, view: str | None = None) -> list[str]:
    """A small text drawing of a face from the asked side, one contact marked in brackets."""
    seen = face.seen_from(view or face.view)
    width = max((len(n) for n in seen.names), default=1)
    lines = [f"{seen.view} side" + (f", key {seen.key}" if seen.key else "")]
    for row in seen.padded():
        cells = (f"[{n:>{width}}]" if n == mark else f" {n or '':>{width}} " for n in row)
        lines.append("  " + " ".join(cells).rstrip())
    return lines
