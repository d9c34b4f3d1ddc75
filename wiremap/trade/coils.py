"""Whether a wording speaks of a load with a coil."""

from __future__ import annotations

from functools import cache, lru_cache

from wiremap.trade.folding import folded
from wiremap.trade.tables import table


@cache
def _words() -> tuple[str, ...]:
    rows = table("coils.toml").rows
    return tuple(dict.fromkeys(word for row in rows for word in row["begin"]))


@cache
def _friends() -> tuple[str, ...]:
    return tuple(word for row in table("coils.toml").section("friend") for word in row["apart"])


@lru_cache(maxsize=4096)
def names_a_coil(wording: str) -> bool:
    """Whether a word of the wording begins with, or is compounded with, a word for a coil."""
    text = folded(wording).casefold()
    for friend in _friends():
        text = text.replace(friend, "")
    return any(word in text for word in _words())
