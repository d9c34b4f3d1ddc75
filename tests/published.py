"""Published figures that tests hold the program against, read like the trade's tables."""

from __future__ import annotations

from pathlib import Path

from wiremap.trade.tables import Row, parse_table

PUBLISHED = Path(__file__).with_name("published.toml")


def published(section: str) -> tuple[Row, ...]:
    """The rows of one section of published.toml."""
    found = parse_table(PUBLISHED.name, PUBLISHED.read_text(encoding="utf-8"))
    return found.sections[section]
