"""One signal that became two, or two that became one: what a splice cannot do."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from wiremap.model import Cavity
from wiremap.propose.result import NeedsLogic


def logic_needed(
    a: Mapping[str, Cavity], b: Mapping[str, Cavity], joined: Collection[str]
) -> list[NeedsLogic]:
    """Left-over lamps whose light the other side parts or combines."""
    found = []
    for mine, far in ((a, b), (b, a)):
        for point, cavity in mine.items():
            lamp, side = cavity.reading.qualifier("lamp"), cavity.reading.qualifier("side")
            if point in joined or lamp is None:
                continue
            parts = lamp.split("-") if "-" in lamp else [lamp] if side is None else []
            partners = tuple(
                p
                for p, c in far.items()
                if c.reading.qualifier("lamp") in parts
                and p not in joined
                and (side is None or c.reading.qualifier("side") in (side, None))
            )
            if "-" in lamp and partners:
                found.append(
                    NeedsLogic(
                        (point, *partners),
                        f"one side has {lamp.replace('-', ' and ')} on one wire, the other apart: "
                        "joining them feeds one lamp from the other's switch; it takes a converter",
                    )
                )
            elif (
                side is None
                and len({far[p].reading.qualifier("side") for p in partners} - {None}) == 2
            ):
                found.append(
                    NeedsLogic(
                        (point, *partners),
                        f"one side has {lamp} for both sides on one wire, the other left and right apart: "
                        "a splice would tie left and right together",
                    )
                )
    return found


def both_sides(a: Mapping[str, Cavity], b: Mapping[str, Cavity]) -> list[str]:
    """Lamp contacts for both sides that face nothing but left and right ones: neither half alone is their partner."""
    return [
        point
        for mine, far in ((a, b), (b, a))
        for point, cavity in mine.items()
        if _faces_halves(cavity, mine, far)
    ]


def _faces_halves(cavity: Cavity, mine: Mapping[str, Cavity], far: Mapping[str, Cavity]) -> bool:
    lamp = cavity.reading.qualifier("lamp")
    if lamp is None or cavity.reading.qualifier("side") is not None or cavity.reading.unexplained:
        return False  # a word that nothing explains may name the side
    own, other = (
        {c.reading.qualifier("side") for c in side.values() if c.reading.qualifier("lamp") == lamp}
        for side in (mine, far)
    )
    return own == {None} and other == {"left", "right"}
