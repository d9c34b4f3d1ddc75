"""Every single mistake that is modelled: each file of this room with a `MODELLED` is found."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Iterator

from wiremap import mistakes
from wiremap.mistakes.drawn import Drawn
from wiremap.mistakes.mistake import Mistake
from wiremap.mistakes.modelled import Modelled


def _found() -> Iterator[Modelled]:
    """What `MODELLED` says in each file of this room that has it."""
    for file in pkgutil.iter_modules(mistakes.__path__, f"{mistakes.__name__}."):
        if file.name != __name__:
            module = importlib.import_module(file.name)
            yield from getattr(module, "MODELLED", ())


ALL: tuple[Modelled, ...] = tuple(sorted(_found(), key=lambda modelled: modelled.order))


def every(drawn: Drawn) -> Iterator[Mistake]:
    """Every single mistake but the sampled ones, kind by kind; none leaves the metal as drawn."""
    for modelled in ALL:
        if not modelled.sampled:
            yield from modelled.make(drawn)


def supposed(drawn: Drawn) -> Iterator[Mistake]:
    """The mistakes that are supposed at each reading of a circuit that they concern."""
    for modelled in ALL:
        if modelled.supposed:
            yield from modelled.make(drawn)
