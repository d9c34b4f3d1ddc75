"""What becomes of the seats of an end when its whole face is read wrongly; a face in a text."""

from __future__ import annotations

from collections.abc import Mapping

from wiremap.model import Face, LookedAt
from wiremap.model.misread import misread


def whole_face(face: Face) -> Mapping[str, Mapping[str, str | None]]:
    """For each whole-face mistake, which contact's wire ends in each cavity (None: nobody's).

    A face is drawn and numbered by rows, so that only the count by columns can go wrong, not the
    other way round.
    """
    return {
        kind: places for kind, places in misread(face.rows).items() if kind != "by-columns-back"
    }


def draw(face: Face, mark: str, view: LookedAt | None = None) -> list[str]:
    """A small text drawing of a face from the asked side, one contact marked in brackets."""
    seen = face.seen_from(view or face.view)
    width = max((len(n) for n in seen.names), default=1)
    lines = [f"{seen.view} side" + (f", keyway {seen.key}" if seen.key else "")]
    for row in seen.padded():
        cells = (f"[{n:>{width}}]" if n == mark else f" {n or '':>{width}} " for n in row)
        lines.append("  " + " ".join(cells).rstrip())
    return lines
