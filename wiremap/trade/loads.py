"""What a wording tells of a load: its watts, its kind and what that usually draws, and of a motor
which way it goes.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache, lru_cache

from wiremap.trade.coils import names_a_coil
from wiremap.trade.folding import folded
from wiremap.trade.tables import table
from wiremap.trade.told_figures import watts_in

TABLE = "loads.toml"
_NUMBERED = re.compile(r"[ _-]*\d+$")  # tells which of several loads it is, not what kind
_APART = re.compile(r"[^a-z0-9]+")


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """A kind of load: what its like are called, and the least that one usually draws [W].

    `words` are the words that name it, each as the pieces that a text must all hold.
    """

    name: str
    called: str
    least_watts: float
    heats: bool
    words: tuple[tuple[str, ...], ...]

    def named_by(self, text: str) -> tuple[str, ...]:
        """The pieces of the first word that a plain text holds; none where it holds none."""
        held = (pieces for pieces in self.words if all(piece in text for piece in pieces))
        return next(held, ())


@lru_cache(maxsize=4096)
def told_watts(wording: str) -> float | None:
    """The watts that a wording tells; None for none, for several, and for what gives sound."""
    watts = watts_in(wording)
    return watts[0] if len(watts) == 1 and not _has_any(_plain(wording), "sounds") else None


def kind_of_load(wording: str) -> Kind | None:
    """The kind of load that a wording names; None for none, and for a load's switch or coil."""
    return _kind_of(_NUMBERED.sub("", wording))


@lru_cache(maxsize=4096)
def _kind_of(wording: str) -> Kind | None:
    text = _plain(wording)
    for kind in _kinds():
        pieces = kind.named_by(text)
        if pieces:
            for piece in pieces:
                text = text.replace(piece, "")
            return None if _is_else(kind, text) or names_a_coil(wording) else kind
    return None


def _is_else(kind: Kind, rest: str) -> bool:
    """Whether what is left of a wording says that another thing than the load is meant."""
    words = (
        word
        for row in table(TABLE).section("not", words=tuple)
        if kind.name not in row.get("but", ())
        for word in row["words"]
    )
    return any(word in f" {rest} " for word in words)


@lru_cache(maxsize=4096)
def way_of_motor(wording: str) -> tuple[str, str]:
    """What a motor moves, and which way (`seat`, `up`); the way is empty where none is told.

    A motor that runs both ways has two contacts, so two wordings that differ in the way alone.
    """
    words = _plain(wording).split()
    ways = [word for word in words if word in _opposed()]
    return " ".join(word for word in words if word not in ways), " ".join(ways)


def _plain(wording: str) -> str:
    """A wording in lower case and without accents, its words between single spaces."""
    return _APART.sub(" ", folded(wording).casefold()).strip()


def _has_any(text: str, section: str) -> bool:
    return any(word in text for word in _listed(section))


@cache
def _listed(section: str) -> tuple[str, ...]:
    return tuple(
        word for row in table(TABLE).section(section, words=tuple) for word in row["words"]
    )


@cache
def _opposed() -> frozenset[str]:
    return frozenset(way for pair in _listed("opposed") for way in pair.split("/"))


@cache
def _kinds() -> tuple[Kind, ...]:
    rows = table(TABLE).section("kind", name=str, called=str, least_watts=float, words=tuple)
    return tuple(
        Kind(
            name=row["name"],
            called=row["called"],
            least_watts=row["least_watts"],
            heats=row.get("heats", False),
            words=tuple(tuple(word.split(" + ")) for word in row["words"]),
        )
        for row in rows
    )
