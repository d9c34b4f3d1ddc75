"""Whether a wording speaks of a load with a coil."""

from __future__ import annotations

from functools import cache, lru_cache

from wiremap.trade.folding import folded
from wiremap.trade.tables import table


@cache
def _words_for_coils() -> tuple[str, ...]:
    rows = table("coils.toml").rows
    return tuple(dict.fromkeys(word for row in rows for word in row["begin"]))


@cache
def _false_friends() -> tuple[str, ...]:
    """Beginnings of words that hold a word for a coil and mean none: a fan is no valve."""
    return tuple(word for row in table("coils.toml").section("friend") for word in row["apart"])


@lru_cache(maxsize=4096)
def names_a_coil(wording: str) -> bool:
    """Whether a wording holds a word for a coil, by itself or within a compound."""
    text = folded(wording).casefold()
    for word in _false_friends():
        text = text.replace(word, "")
    return any(word in text for word in _words_for_coils())
