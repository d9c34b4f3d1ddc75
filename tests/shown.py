"""What the tool shows of given jobs: commands, pages, talks and sizes, a file each in `tests/shown/`.

`python tests/shown.py` writes the files anew, `python tests/shown.py NAME ...` some of them; `tests/test_shown.py`
holds the tool against them, so that a figure, a layout or an order that changed shows in a review.  They say what is,
not what is right: that is for the other tests.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path

from shown_bulk import FAULTY, of_cards, of_drawn_jobs, of_faulty, of_sizes, of_small_jobs
from shown_commands import COMMANDS, SHEETS, of_commands, of_sheet
from shown_talks import TALKS, of_bought, of_talk, of_walks
from shown_varied import (
    READ,
    of_readings,
    of_varied_papers,
    of_varied_proposals,
    of_varied_sheets,
    of_varied_small_jobs,
    of_wordings,
)

FOLDER = Path(__file__).resolve().parent / "shown"


def in_groups(
    name: str, made: Callable[[slice], Iterator[str]], groups: int
) -> dict[str, Callable[[], Iterator[str]]]:
    """A part shared out, so that the processors can share it: each group takes every so-many-th item."""
    return {f"{name}-{first}": partial(made, slice(first, None, groups)) for first in range(groups)}


PARTS: dict[str, Callable[[], Iterator[str]]] = {
    **{name: partial(of_commands, name) for name in COMMANDS},
    **{f"sheet-{name}": partial(of_sheet, name) for name in SHEETS},
    **{f"talk-{name}": partial(of_talk, name) for name in TALKS},
    **{f"faulty-{kind}": partial(of_faulty, kind) for kind in FAULTY},
    **in_groups("small-jobs", of_small_jobs, 6),
    **in_groups("cards", of_cards, 7),
    **in_groups("drawn-jobs", of_drawn_jobs, 4),
    **in_groups("sizes", of_sizes, 3),
    **in_groups("varied", partial(of_varied_papers, "job.yaml", 240), 4),
    **in_groups("varied-adapter", partial(of_varied_papers, "adapter/job.yaml", 100), 2),
    **in_groups("varied-small-jobs", of_varied_small_jobs, 3),
    **in_groups("varied-sheets", of_varied_sheets, 3),
    **in_groups("proposals", of_varied_proposals, 2),
    **{f"read-{name}": partial(of_readings, name, slice(None)) for name in READ},
    "wordings": of_wordings,
    **in_groups("bought", of_bought, 2),
    **in_groups("walks-splice", partial(of_walks, "job.yaml", "splice-in"), 4),
    **in_groups("walks-adapter", partial(of_walks, "adapter/job.yaml", "adapter"), 3),
}


def shown(name: str) -> str:
    """All of one part, a line each."""
    return "\n".join(PARTS[name]()) + "\n"


def file_of(name: str) -> Path:
    return FOLDER / f"{name}.txt"


if __name__ == "__main__":
    parts = sys.argv[1:] or list(PARTS)
    with ProcessPoolExecutor() as pool:
        for part, text in zip(parts, pool.map(shown, parts), strict=True):
            file_of(part).write_text(text, encoding="utf-8", newline="\n")
