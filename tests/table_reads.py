"""Which rows and columns of the figure tables are read, found by running what reads them.

Run as a program it prints, as JSON, every [file, section, row, column] that was looked up while
the commands and a job were sized.  A process of its own, so that constants read at import count.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from wiremap.trade import tables

SEEN: set[tuple[str, str, int, str]] = set()


class Watched(dict[str, Any]):
    """A row that notes which of its columns are read."""

    place: tuple[str, str, int] = ("", "", 0)

    def __getitem__(self, key: str) -> Any:
        SEEN.add((*self.place, key))
        return super().__getitem__(key)

    def get(self, key: str, default: Any = None) -> Any:
        SEEN.add((*self.place, key))
        return super().get(key, default)


def watch() -> None:
    """Have every table that is read from now on note its look-ups."""
    parse = tables.parse_table

    def parsed(name: str, text: str) -> tables.Table:
        table = parse(name, text)
        sections = {}
        for section, rows in table.sections.items():
            sections[section] = tuple(watched(name, section, rows))
        return tables.Table(name, table.source, sections)

    tables.parse_table = parsed


def watched(name: str, section: str, rows: tuple[tables.Row, ...]) -> Iterator[Watched]:
    for number, row in enumerate(rows, 1):
        found = Watched(row)
        found.place = (name, section, number)
        yield found


def size_everything() -> None:
    """Every command of `size` over every size, a job, and the rooms that read at import."""
    from sizing_jobs import spreader
    from table_calls import CALLS

    import wiremap.rules as rules
    from wiremap.sizing.job import size_job

    rules.book()
    sizes = size_job(spreader())
    for feed in sizes.feeds:
        assert all(drop.weight for drop in feed.drops)
    assert sizes.cuts and sizes.continuity and sizes.loaded  # worked out when asked for
    for call in CALLS:
        call()


if __name__ == "__main__":
    watch()
    size_everything()
    print(json.dumps(sorted(SEEN)))
